"""What the runtime's tests share."""

from collections.abc import Iterator
from pathlib import Path

import pytest

from runtime_fakes import Rig


@pytest.fixture(name="rig")
def _rig(tmp_path: Path) -> Iterator[Rig]:
    """Two lines with everything around them."""
    rig = Rig(tmp_path)
    yield rig
    rig.close()
