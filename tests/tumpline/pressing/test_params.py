"""The numbers a line is built from."""

from press_stories import params
from tumpline.pressing.params import Accuracy, Quantity, SignalParams


def test_a_signal_is_found_by_its_name() -> None:
    """A signal that is not fitted is None, not an error."""
    line = params(current=False)
    found = line.signal("juice/flow")
    assert found is not None
    assert found.quantity is Quantity.VOLUME_FLOW
    assert line.signal("mill/current") is None


def test_the_span_of_a_signal_is_between_its_physical_limits() -> None:
    """-1 to 9 bar span 10 bar."""
    assert SignalParams("press/pressure", Quantity.PRESSURE, -1e5, 9e5, Accuracy()).span == 10e5
