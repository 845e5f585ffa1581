"""What system tests need beside the project: a real broker, a real browser."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser

from mosquitto import mosquitto
from page_in_browser import chromium
from programs import Running
from works import Neighbour


@pytest.fixture(name="broker")
def _broker(tmp_path: Path) -> Iterator[Running]:
    """A mosquitto of this test's own."""
    with mosquitto(tmp_path) as broker:
        yield broker


@pytest.fixture(name="neighbour")
def _neighbour(broker: Running) -> Iterator[Neighbour]:
    """Somebody else at the broker."""
    with Neighbour(broker.port) as neighbour:
        yield neighbour


@pytest.fixture(scope="module", name="browser")
def _browser() -> Iterator[Browser]:
    """Debian's Chromium, one for all tests of a module."""
    with chromium() as browser:
        yield browser
