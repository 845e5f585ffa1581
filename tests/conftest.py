"""What every test may count on."""

import logging
from collections.abc import Iterator

import pytest
import structlog


@pytest.fixture(autouse=True)
def logs_of_its_own() -> Iterator[None]:
    """A command that a test ran has set up logging to that test's own output, which is closed afterwards."""
    yield
    if structlog.is_configured():
        structlog.reset_defaults()
        logging.getLogger().handlers.clear()
