"""One signal's numbers."""

import pytest

from tumpline.pressing.params import Accuracy, Quantity, SignalParams
from tumpline.wire.formats import PayloadFormat
from tumpline.wire.meters import Meter

BAR = 1e5


def pressure(low: float = 0.0, high: float = 10.0, *, to: tuple[float, float] = (0.0, 10.0), **raw: float) -> Meter:
    """A pressure transmitter of 4-20 mA, its range in bar."""
    params = SignalParams("press/pressure", Quantity.PRESSURE, low * BAR, high * BAR, Accuracy())
    from_ = (raw.get("from_low", 4.0), raw.get("from_high", 20.0))
    return Meter(params=params, format_=PayloadFormat(unit="bar", kind="scaled", from_=from_, to=to))


def in_bar(meter: Meter, current: float) -> float | None:
    """What a current means; None where it is refused."""
    factor, offset = meter.scales[None]
    si = current * factor + offset
    return si / BAR if meter.low <= si <= meter.high else None


@pytest.mark.parametrize(
    ("current", "bar"),
    # NAMUR NE 43 (2003) as quoted in two secondary pages: 3.8 to 20.5 mA is a measurement; the line itself is linear
    [
        (3.6, None), (3.7, None), (3.8, -0.125), (4.0, 0.0), (12.0, 5.0), (20.0, 10.0), (20.5, 10.3125), (20.7, None),
        (21.0, None),
    ],
)  # fmt: skip
def test_a_current_loop_measures_from_3_8_to_20_5(current: float, bar: float | None) -> None:
    """Between the limits of NE 43 the line is straight, beyond them there is no value."""
    found = in_bar(pressure(), current)
    assert found == (None if bar is None else pytest.approx(bar, abs=1e-9))


@pytest.mark.parametrize(
    ("current", "words"),
    [
        (0.0, "failure signal"), (3.6, "failure signal"), (21.0, "failure signal"), (22.0, "failure signal"),
        (3.61, "not a measurement"), (3.79, "not a measurement"), (20.51, "not a measurement"),
        (20.99, "not a measurement"),
    ],
)  # fmt: skip
def test_failure_and_uncertainty_are_told_apart(current: float, words: str) -> None:
    """A broken sensor says so by its current, and the sentence passes that on."""
    meter = pressure()
    factor, offset = meter.scales[None]
    assert words in meter.out_of_range(current * factor + offset)


def test_a_narrower_range_stays_narrow() -> None:
    """A range inside the scale is the site's own knowledge and is kept to."""
    meter = pressure(1.0, 9.0)
    assert [in_bar(meter, ma) for ma in (5.0, 12.0, 19.0)] == [None, pytest.approx(5.0), None]
    assert "1 to 9 bar" in meter.out_of_range(0.5 * BAR)


def test_a_scale_may_run_downwards() -> None:
    """A transmitter may send less for more."""
    assert in_bar(pressure(to=(10.0, 0.0)), 16.0) == pytest.approx(2.5)
    assert in_bar(pressure(to=(10.0, 0.0)), 3.8) == pytest.approx(10.125)


def test_counts_have_no_failure_signal() -> None:
    """Only 4-20 mA follows NE 43; counts are kept to the range."""
    meter = pressure(from_low=0.0, from_high=1000.0)
    assert in_bar(meter, 1000.0) == pytest.approx(10.0)
    assert in_bar(meter, 1001.0) is None
    assert "10.01 bar is outside" in meter.out_of_range(10.01 * BAR)


@pytest.mark.parametrize(("unit", "current"), [("mA", 12.0), ("A", 0.012)])
def test_a_current_may_name_its_unit(unit: str, current: float) -> None:
    """Milliamperes and amperes mean the same current."""
    factor, offset = pressure().scales[unit]
    assert current * factor + offset == pytest.approx(5.0 * BAR)


def test_a_wrong_unit_is_answered_with_the_right_ones() -> None:
    """The sentence names every unit that would do."""
    flow = SignalParams("juice/flow", Quantity.VOLUME_FLOW, 0.0, 1.0, Accuracy())
    words = Meter(params=flow, format_=PayloadFormat(unit="L/min")).wrong_unit("kg")
    assert words.startswith('juice/flow: the unit "kg"')
    assert "L/min" in words and "m3/s" in words
    assert "mA or A is accepted" in pressure().wrong_unit("bar")


@pytest.mark.parametrize("value", [float("nan"), float("inf"), float("-inf")])
def test_what_is_no_number_is_said_to_be_none(value: float) -> None:
    """Not a number, and infinity, are named for what they are."""
    assert "not a number" in pressure().out_of_range(value)


def test_a_value_beyond_the_range_says_past_which_end() -> None:
    """A current no meter can read is still a high one; the failure signal of NE 43 and no number are neither."""
    flow = Meter(
        params=SignalParams("mill/current", Quantity.CURRENT, 0.0, 90.0, Accuracy()), format_=PayloadFormat(unit="A")
    )
    assert [flow.beyond(x) for x in (-1.0, 45.0, 107.0, float("nan"))] == ["low", None, "high", None]
    loop = pressure()
    factor, offset = loop.scales[None]
    currents = (3.5, 3.7, 12.0, 20.7, 21.5)
    assert [loop.beyond(i * factor + offset) for i in currents] == [None, "low", None, "high", None]
