"""A shift in which nothing goes wrong: the figures hold what was true, and the parts sum to the whole."""

import pytest

from press_stories import START, YIELD, Story, inside, known, load, params, plain_shift, play
from tumpline.pressing.entries import Trailer, Vat
from tumpline.pressing.params import Accuracy, Quantity, SignalParams
from tumpline.pressing.records import Condition, Unknown

POMACE = SignalParams("pomace/flow", Quantity.MASS_FLOW, 0.0, 2.0, Accuracy(of_reading=0.02))

GAINS = [
    {},
    {"mill/throughput": 1.012, "juice/flow": 0.993},
    {"mill/throughput": 0.988, "juice/flow": 1.007},
]
"""Meters right, and wrong by less than their makers allow."""


@pytest.mark.parametrize("gains", GAINS, ids=["right", "fruit high", "fruit low"])
def test_fruit_juice_and_yield_of_the_shift_lie_in_their_intervals(gains: dict[str, float]) -> None:
    """What was true is between low and high as long as every meter keeps its maker's limits."""
    story = plain_shift(gains=gains)
    summary = play(story.events).summary
    fruit, juice = sum(story.milled.values()), sum(story.pressed.values())
    assert inside(fruit, summary.fruit)
    assert inside(juice, summary.juice)
    assert inside(juice / fruit, summary.extraction)


@pytest.mark.parametrize("gains", GAINS, ids=["right", "fruit high", "fruit low"])
def test_each_load_has_its_own_fruit_juice_and_yield(gains: dict[str, float]) -> None:
    """Two loads without a break between them are told apart, and the truth of each lies in its intervals."""
    story = plain_shift(gains=gains)
    loads = {r.load: r for r in play(story.events).summary.loads}
    assert set(loads) == {"41", "42"}
    for name, record in loads.items():
        assert inside(story.milled[name], record.milled)
        assert inside(story.pressed[name], record.juice)
        assert inside(YIELD, record.extraction)


def test_a_load_that_yields_more_is_told_from_its_neighbour() -> None:
    """Two loads of 740 and 660 L/t are each found within one per cent where the meters are right."""
    story = Story().start().write(load("41", 1000.0)).write(load("42", 1000.0)).put_on("41").idle(20)
    story.run(900, juice=740 / 700).idle(400).put_on("42").idle(20).run(900, juice=660 / 700).idle(400).end()
    first, second = play(story.events).summary.loads
    assert known(first.extraction).value * 1e6 == pytest.approx(740.0, rel=0.01)
    assert known(second.extraction).value * 1e6 == pytest.approx(660.0, rel=0.01)


def test_loads_vats_and_trailers_sum_to_the_shift() -> None:
    """Not a litre and not a kilogram is given away twice, or to nobody."""
    story = Story().start().write(Vat("A")).write(Trailer("green"))
    story.write(load("41", 700.0)).write(load("42", 700.0)).put_on("41").idle(25).run(400)
    story.write(Vat("B")).run(230).put_on("42").run(600).write(Trailer("red")).idle(400).end()
    summary = play(story.events, params(POMACE)).summary
    assert sum(known(r.milled).value for r in summary.loads) == pytest.approx(known(summary.fruit).value)
    assert sum(known(r.juice).value for r in summary.loads) == pytest.approx(known(summary.juice).value)
    assert [v.vat for v in summary.vats] == ["A", "B"]
    assert sum(known(v.juice).value for v in summary.vats) == pytest.approx(known(summary.juice).value)
    for vat in summary.vats:
        assert sum(known(s.amount).value for s in vat.shares) == pytest.approx(known(vat.juice).value)
    assert [t.trailer for t in summary.trailers] == ["green", "red"]


def test_the_seconds_of_all_conditions_sum_to_the_shift() -> None:
    """Every second of the shift was something."""
    summary = play(plain_shift().events).summary
    assert sum(summary.time.values()) == pytest.approx(summary.end - summary.start, abs=6.0)
    assert summary.time[Condition.PRESSING] == pytest.approx(30 * 60 - 50, abs=30.0)
    assert Condition.BLOCKED not in summary.time


def test_a_plain_shift_says_what_the_line_did_and_raises_nothing() -> None:
    """The line fills, presses, drains and stands; going home is neither a stop nor an alarm."""
    told = play(plain_shift().events)
    assert told.conditions == ["stopped", "filling", "pressing", "draining", "stopped"]
    assert told.raised == []
    assert told.summary.stops == ()


def test_the_summary_says_whose_shift_it_was() -> None:
    """The shift's name, crew, start and end are those of its entries."""
    story = plain_shift()
    summary = play(story.events).summary
    assert (summary.shift, summary.crew) == ("early", ("Ned", "Isla"))
    assert (summary.start, summary.end) == (START, story.now - 60.0)


def test_the_live_view_states_no_yield_while_the_line_fills() -> None:
    """The yield of the last ten minutes is unknown at first, and right once the line has pressed for a while."""
    story = Story().start().idle(10).run(40)
    told = play(story.events, finish=False)
    live = told.line.live(story.now)
    assert live.condition is Condition.FILLING
    assert isinstance(live.recent_yield, Unknown)
    told = play(story.run(900).events, finish=False)
    assert inside(YIELD, told.line.live(story.now).recent_yield)
    assert known(told.line.live(story.now).recent_yield).value == pytest.approx(YIELD, rel=0.01)


def test_a_shift_without_a_current_meter_has_the_same_figures() -> None:
    """The four expected signals are enough for every figure."""
    with_meter, without = plain_shift(), plain_shift(current=False)
    a = play(with_meter.events).summary
    b = play(without.events, params(current=False)).summary
    assert (a.fruit, a.juice, a.extraction, a.time) == (b.fruit, b.juice, b.extraction, b.time)
