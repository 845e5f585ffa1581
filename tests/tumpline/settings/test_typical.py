"""What is assumed of meters."""

import pytest

from tumpline.settings.signal import Signal
from tumpline.settings.typical import typical_of
from tumpline.wire.catalogue import CATALOGUE


@pytest.mark.parametrize("name", [*CATALOGUE, "vat/V1/volume"])
def test_every_signal_can_be_left_at_its_name(name: str) -> None:
    """A signal of which nothing is said has a range and limits that fit its unit."""
    params = Signal(name=name).params()
    assert params.low < params.high
    assert params.accuracy.of_reading > 0.0 or params.accuracy.fixed > 0.0 or name == "line/emergency-stop"
    assert typical_of(name).low <= typical_of(name).high
