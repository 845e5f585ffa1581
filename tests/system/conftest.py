"""What system tests need beside the project: a real broker."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from mosquitto import mosquitto
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
