import math

import pytest

from tumpline.pressing.qartod import Flag, FlatLine, gap, gross_range, rate_of_change, spike


@pytest.mark.parametrize(("silent", "flag"), [(0.0, Flag.GOOD), (10.0, Flag.GOOD), (10.1, Flag.MISSING)])
def test_silence_is_missing(silent: float, flag: Flag) -> None:
    """A signal is missing once nothing was heard for longer than it may be silent."""
    assert gap(100.0 + silent, 100.0, 10.0) is flag


def test_a_signal_never_heard_is_missing() -> None:
    """Before the first reading there is nothing to judge."""
    assert gap(100.0, -math.inf, 10.0) is Flag.MISSING


def test_the_worse_range_decides() -> None:
    """What the sensor cannot have read is a failure, even where the suspect range is wider by mistake."""
    assert gross_range(60.0, fail=(10.0, 50.0), suspect=(0.0, 100.0)) is Flag.FAIL


def test_a_rate_is_judged_by_its_time() -> None:
    """The same step is suspect in one second and good in ten."""
    assert rate_of_change(-5.0, 1.0, suspect=1.0) is Flag.SUSPECT
    assert rate_of_change(-5.0, 10.0, suspect=1.0) is Flag.GOOD


def test_a_ramp_is_no_spike() -> None:
    """However steep, a straight line has no reading that stands apart."""
    assert spike(0.0, 500.0, 1000.0, suspect=1.0) is Flag.GOOD


def test_a_run_ends_with_the_first_different_reading() -> None:
    """What is told at the end is how long the readings alike were seen, silence after them not counted."""
    line = FlatLine()
    assert [line.take(at, value, 0.0) for at, value in ((0, 1.0), (1, 2.0), (5, 2.0), (9, 2.0))] == [
        None,
        0,
        None,
        None,
    ]
    assert line.take(60.0, 3.0, 0.0) == 8.0
    assert line.since == 60.0


def test_a_tolerance_holds_for_the_whole_run() -> None:
    """A slow drift is not flat, though no two neighbours differ by more than the tolerance."""
    line = FlatLine()
    for at in range(10):
        line.take(float(at), 0.4 * at, 1.0)
    assert line.flag(suspect=3.5, fail=9.0) is Flag.GOOD
