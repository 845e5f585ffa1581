"""Yield and dryness: right within their intervals, and unknown where they cannot be known."""

import math

import pytest

from press_stories import params
from tumpline.pressing import extraction
from tumpline.pressing.attribution import Attribution, Way
from tumpline.pressing.book import Book
from tumpline.pressing.learning import Learned, guessed
from tumpline.pressing.ledger import Flow, Ledger, PumpMark
from tumpline.pressing.quantities import Estimate, combined, limits, normal
from tumpline.pressing.records import Known, Unknown
from tumpline.pressing.residence import Transport, aligned

TRANSPORT = Transport(45.0, 20.0)
WAY = Way(TRANSPORT, pumped=False, params=params())
YIELD = 0.0007


def known(figure: Known) -> Estimate:
    """The figure, or the reason why there is none as a failure."""
    assert not isinstance(figure, Unknown), figure.why
    return figure


def pressed(fruit: list[float]) -> tuple[Ledger, Attribution]:
    """A ledger with the juice of this fruit (kg a bin), after its time in the press, given away."""
    juice = [YIELD * kg for kg in aligned(fruit, TRANSPORT, params().rated_throughput)]
    none = [0.0] * len(fruit)
    ledger = Ledger(
        0.0,
        Flow(fruit, of_reading=0.015 * sum(fruit)),
        Flow(juice, 0.01 * sum(juice)),
        Flow(none),
        Flow(none),
        none,
        none,
    )
    given_away = Attribution()
    given_away.extend(ledger, Book(), WAY)
    return ledger, given_away


def test_a_yield_is_a_ratio_of_sums_with_both_meters_limits() -> None:
    """700 L from 1000 kg, good to 1 % and 1.5 %: 0.7 m³/t and u = 0.7 √(1 %² + 1.5 %²)/√3."""
    found = known(
        extraction.yield_of(Estimate(0.7, (limits("juice", 0.007),)), Estimate(1e3, (limits("fruit", 15.0),)))
    )
    assert found.value == pytest.approx(YIELD)
    assert found.u == pytest.approx(YIELD * math.hypot(0.01, 0.015) / math.sqrt(3.0))


def test_no_fruit_is_no_yield() -> None:
    """Nothing milled, or less than the meter can tell from nothing: a reason, not infinity."""
    for fruit in (Estimate(0.0), Estimate(1.0, (limits("fruit", 5.0),))):
        found = extraction.yield_of(Estimate(0.7), fruit)
        assert isinstance(found, Unknown)
        assert found.why


def test_the_yield_of_the_last_ten_minutes_follows_the_fruit_through_the_press() -> None:
    """Steady, after a gap, and with the feed halved it is 700 L/t, though juice and fruit of a minute differ."""
    for fruit in ([5.0] * 150, [5.0] * 100 + [0.0] * 12 + [5.0] * 60, [5.0] * 100 + [2.6] * 60):
        found = known(extraction.recent_yield(*pressed(fruit), 18.0))
        assert found.value == pytest.approx(YIELD, rel=1e-3)
        low, high = found.figure()[1:]
        assert low < YIELD < high


def test_fruit_that_comes_unevenly_makes_the_live_yield_less_sharp() -> None:
    """While fruit wanders, the residence time decides which fruit the juice is held against."""
    steady = known(extraction.recent_yield(*pressed([5.0] * 150), 18.0))
    uneven = known(extraction.recent_yield(*pressed([5.0] * 100 + [3.0] * 20 + [5.0] * 30), 18.0))
    assert uneven.u > steady.u


@pytest.mark.parametrize(
    ("fruit", "why"),
    [
        ([5.0] * 20, "three minutes"),
        ([0.0] * 150, "three minutes"),
        ([5.0] * 120 + [0.0] * 40, "running empty"),
    ],
    ids=["just begun", "nothing", "running empty"],
)
def test_a_line_that_fills_or_drains_has_no_live_yield(fruit: list[float], why: str) -> None:
    """It is unknown, and the reason says so."""
    found = extraction.recent_yield(*pressed(fruit), 18.0)
    assert isinstance(found, Unknown)
    assert why in found.why


def test_a_part_of_a_flow_is_as_good_as_the_whole() -> None:
    """Half the fruit has half the doubt: the meter's error is common to all of the shift."""
    flow = Flow([5.0] * 10, of_reading=0.75)
    whole, half = flow.estimate("fruit"), known(extraction.part_of(flow, "fruit", 25.0))
    assert (half.value, half.u) == pytest.approx((25.0, whole.u / 2.0))
    assert known(extraction.part_of(Flow([0.0] * 10), "fruit", 0.0)).value == 0.0


def test_a_meter_that_was_never_heard_has_no_sum() -> None:
    """Every bin closed blind is not a sum of zero; one bin that was heard is a sum."""
    silent = Flow([0.0] * 10, blind=10)
    for figure in (extraction.sum_of(silent, "juice/flow"), extraction.part_of(silent, "juice/flow", 0.0)):
        assert isinstance(figure, Unknown)
        assert "juice/flow was not heard" in figure.why
    assert known(extraction.sum_of(Flow([0.0] * 10, blind=9), "juice/flow")).value == 0.0


def test_time_without_readings_is_the_doubt_of_the_load_it_fell_in() -> None:
    """Half a flow of which nothing was hidden is sharper than the half in which the meter was silent."""
    flow = Flow([5.0] * 10, of_reading=0.75, gaps_squared=9.0)
    heard, silent = (known(extraction.part_of(flow, "fruit", 25.0, hidden=hidden)) for hidden in (0.0, 3.0))
    assert heard.value == silent.value == pytest.approx(25.0)
    assert heard.u == pytest.approx(0.375 / math.sqrt(3.0))
    assert silent.u == pytest.approx(math.hypot(0.375, 3.0) / math.sqrt(3.0))


def test_a_way_that_is_hardly_known_costs_litres_at_the_ends_of_a_load() -> None:
    """More doubt with a way that was not learned, none without a neighbour."""
    ledger, _ = pressed([5.0] * 200)
    vague = guessed(params().residence)
    sharp = Learned(vague.transport, 1.0, 2.0, learned=True)
    assert extraction.on_its_way(ledger, 0, vague) == 0.0
    assert 0.0 < extraction.on_its_way(ledger, 1, sharp) < extraction.on_its_way(ledger, 1, vague)


def test_juice_that_may_come_in_bursts_has_no_live_yield_yet() -> None:
    """Between the first sharp rise and the fall after it nobody knows whether a sump fills."""
    ledger, given_away = pressed([5.0] * 150)
    ledger.marks = [PumpMark(100.0, 0.1, True), PumpMark(110.0, 0.2, False)]
    found = extraction.recent_yield(ledger, given_away, 18.0)
    assert isinstance(found, Unknown)
    assert "bursts" in found.why
    assert isinstance(extraction.recent_yield(ledger, given_away, 18.0, steady=True), Estimate)


def test_the_difference_of_two_loads_is_sharper_than_either() -> None:
    """The meters' limits are the same error in both yields and all but cancel; what is each load's own does not."""
    meter = limits("accuracy of juice/flow", 7e-6)
    one = extraction.own_of(Estimate(7.0e-4, (meter, normal("residence time", 1e-6))), "41")
    two = extraction.own_of(Estimate(6.8e-4, (meter, normal("residence time", 1e-6))), "42")
    found = combined(((known(one), 1.0), (known(two), -1.0)))
    assert found.value == pytest.approx(2e-5)
    assert found.u == pytest.approx(math.sqrt(2.0) * 1e-6)
    assert isinstance(extraction.own_of(Unknown("no fruit"), "43"), Unknown)


def test_a_budget_is_sorted_and_its_shares_sum_to_one() -> None:
    """Terms of one source count once; what adds nothing is left out."""
    lines = extraction.budget(
        Estimate(1.0, (normal("gap", 0.1), limits("accuracy of x", 0.5), normal("gap", 0.1), normal("none", 0.0)))
    )
    assert [line.source for line in lines] == ["accuracy of x", "gap"]
    assert sum(line.share for line in lines) == pytest.approx(1.0)
    assert [line.common for line in lines] == [True, False]
    assert extraction.budget(Estimate(1.0)) == []
