"""What the runtime's tests share."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from stage import Stage


@pytest.fixture(name="stage")
def _stage(tmp_path: Path) -> Iterator[Stage]:
    """A line with everything around it."""
    stage = Stage(tmp_path)
    yield stage
    stage.close()
