"""One signal: its integral, its gaps, its counters, and what is counted."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tumpline.pressing.effects import Quality
from tumpline.pressing.signals import Signal, counter_increase, gap_half_width

small = settings(max_examples=25, derandomize=True, deadline=None)
STALE = 10.0


def heard(*readings: tuple[float, float]) -> Signal:
    """A signal that took these (time, value) readings in this order."""
    signal = Signal("juice/flow")
    for at, value in readings:
        signal.take(at, value, lateness=5.0)
    return signal


def test_the_integral_of_straight_lines_is_exact() -> None:
    """A ramp from 0 to 10 over ten seconds and ten seconds at 10 hold 150, cut anywhere."""
    signal = heard((0.0, 0.0), (10.0, 10.0), (20.0, 10.0))
    assert signal.integral(0.0, 20.0, STALE).value == pytest.approx(150.0)
    assert signal.integral(2.5, 7.5, STALE).value == pytest.approx(25.0)


def test_the_newest_reading_is_held_and_nothing_stands_before_the_first() -> None:
    """Beyond the newest reading it counts on; before the first there is nothing to count."""
    signal = heard((10.0, 2.0), (11.0, 4.0))
    assert signal.integral(11.0, 14.0, STALE).value == pytest.approx(12.0)
    assert signal.integral(0.0, 11.0, STALE).value == pytest.approx(3.0)
    assert Signal("juice/flow").integral(0.0, 5.0, STALE).value == 0.0


@small
@given(
    values=st.lists(st.floats(0.0, 100.0), min_size=3, max_size=30),
    cut=st.floats(0.01, 0.99),
)
def test_the_parts_of_a_stretch_sum_to_the_whole(values: list[float], cut: float) -> None:
    """Wherever a stretch is cut in two, the two integrals sum to the one."""
    signal = heard(*((float(i), v) for i, v in enumerate(values)))
    end = float(len(values) - 1)
    first, second = signal.integral(0.0, cut * end, STALE), signal.integral(cut * end, end, STALE)
    assert first.value + second.value == pytest.approx(signal.integral(0.0, end, STALE).value, abs=1e-9)


def test_a_gap_is_filled_by_a_straight_line_whose_doubt_grows_with_it() -> None:
    """A minute without readings between 2 and 4 counts 180, and may hide what half its step would."""
    signal = heard((0.0, 2.0), (60.0, 4.0))
    gap = signal.integral(0.0, 60.0, STALE)
    assert gap.value == pytest.approx(180.0)
    assert 0.0 < gap.fill <= 60.0
    assert heard((0.0, 2.0), (8.0, 4.0)).integral(0.0, 8.0, STALE).fill == 0.0
    assert gap_half_width(2.0, 2.0, 600.0) > gap_half_width(2.0, 2.0, 60.0) > 0.0
    assert gap_half_width(2.0, 2.0, 3600.0) == 2.0


def test_a_gap_between_two_zeros_hides_nothing() -> None:
    """A pump that stands before and after a gap is not suspected of having run."""
    gap = heard((0.0, 0.0), (60.0, 0.0)).integral(0.0, 60.0, STALE)
    assert (gap.value, gap.fill, gap.flowing) == (0.0, 0.0, 0.0)


def test_scattering_readings_leave_more_doubt_than_steady_ones() -> None:
    """The readings' own scatter is what their mean is worth."""
    steady = heard(*((float(i), 5.0) for i in range(60)))
    rough = heard(*((float(i), 5.0 + (-1.0) ** i) for i in range(60)))
    assert steady.integral(0.0, 59.0, STALE).scatter == 0.0
    assert math.sqrt(rough.integral(0.0, 59.0, STALE).scatter) == pytest.approx(math.sqrt(2.0 * 59.0))


def test_readings_are_taken_in_the_order_of_their_own_time() -> None:
    """Swapped, doubled and late readings: the integral is that of the right order, and each is counted."""
    signal = heard((0.0, 0.0), (2.0, 2.0), (1.0, 1.0), (2.0, 2.0), (9.0, 9.0))
    assert signal.take(1.5, 50.0, 5.0) is Quality.LATE
    assert signal.integral(0.0, 9.0, STALE).value == pytest.approx(40.5)
    counts = signal.counts
    assert (counts.received, counts.used, counts.duplicate, counts.late) == (6, 4, 1, 1)
    assert (signal.newest, signal.newest_at) == (9.0, 9.0)


def test_what_is_settled_takes_no_more_readings() -> None:
    """A bin that was closed stays as it is."""
    signal = heard((0.0, 1.0), (5.0, 1.0), (6.0, 1.0))
    signal.settle(5.0, STALE)
    assert signal.take(4.0, 9.0, 5.0) is Quality.LATE


def test_missing_time_and_the_longest_gap_are_counted() -> None:
    """A gap counts as missing beyond the time in which a signal turns stale; a silent end counts too."""
    signal = Signal("juice/flow")
    signal.begin_counting(0.0)
    for at in (1.0, 2.0, 32.0, 33.0):
        signal.take(at, 1.0, 5.0)
    signal.settle(35.0, STALE)
    record = signal.record(36.0, STALE)
    assert (record.missing, record.longest_gap) == (20.0, 30.0)
    record = signal.record(63.0, STALE)
    assert (record.missing, record.longest_gap) == (40.0, 30.0)


def test_a_signal_is_fresh_until_it_is_stale() -> None:
    """Exactly at the limit it is still trusted."""
    signal = heard((100.0, 1.0))
    assert signal.fresh(110.0, STALE)
    assert not signal.fresh(110.1, STALE)
    assert not Signal("juice/flow").fresh(0.0, STALE)


def test_the_mean_of_nothing_is_not_known() -> None:
    """Where no reading lies there is no mean."""
    signal = heard((1.0, 10.0), (2.0, 14.0))
    assert signal.mean(0.0, 5.0) == 12.0
    assert signal.mean(3.0, 5.0) is None


def test_old_readings_are_forgotten_without_touching_the_newest_stretch() -> None:
    """After half an hour the signal still integrates its last minutes exactly, and remembers only some of the rest."""
    signal = Signal("juice/flow")
    for second in range(1800):
        signal.take(float(second), 2.0, 5.0)
    signal.settle(1790.0, STALE)
    assert len(signal.times) < 1000
    assert signal.integral(1700.0, 1790.0, STALE).value == pytest.approx(180.0)


def test_a_counter_counts_over_its_roll_over() -> None:
    """From 995 over 1000 to 5 are ten, whole or in parts."""
    signal = heard((0.0, 985.0), (5.0, 995.0), (10.0, 5.0), (15.0, 15.0))
    whole = counter_increase(signal, 0.0, 15.0, 1000.0, STALE)
    assert whole is not None
    assert whole.value == pytest.approx(30.0)
    half = counter_increase(signal, 0.0, 7.5, 1000.0, STALE)
    assert half is not None
    assert half.value == pytest.approx(15.0)


@pytest.mark.parametrize(("before", "rollover"), [(500.0, 1000.0), (995.0, None)])
def test_any_other_fall_of_a_counter_is_a_reset(before: float, rollover: float | None) -> None:
    """Far from its capacity, or with none known, a fall says nothing about what flowed."""
    signal = heard((0.0, before - 1.0), (5.0, before), (10.0, 5.0))
    assert counter_increase(signal, 0.0, 10.0, rollover, STALE) is None
    before_it = counter_increase(signal, 0.0, 5.0, rollover, STALE)
    assert before_it is not None
    assert before_it.value == pytest.approx(1.0)


def test_a_counter_says_nothing_about_time_it_does_not_cover() -> None:
    """Before its first reading, after its newest, or over a silence the flow has to do."""
    signal = heard((10.0, 1.0), (15.0, 2.0), (40.0, 3.0))
    assert counter_increase(signal, 5.0, 15.0, None, STALE) is None
    assert counter_increase(signal, 15.0, 40.0, None, STALE) is None
    assert counter_increase(signal, 15.0, 45.0, None, STALE) is None
    assert counter_increase(Signal("juice/total"), 0.0, 5.0, None, STALE) is None
