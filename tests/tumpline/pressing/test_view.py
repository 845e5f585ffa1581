"""The live view: what is known at one moment, and why the rest is not."""

import pytest

from press_stories import RATED, YIELD, Story, inside, known, load, params, play
from tumpline.pressing.entries import Trailer, Vat
from tumpline.pressing.records import AlarmState, Condition, Live, Unknown


def view(story: Story) -> Live:
    """What the line knows at the end of a story."""
    return play(story.events, params(current=story.current), finish=False).line.live(story.now)


def test_a_line_that_heard_nothing_knows_nothing() -> None:
    """Unknown, with no reading of any signal and no figure of zero for the yield."""
    live = play([], finish=False).line.live(0.0)
    assert live.condition is Condition.UNKNOWN
    assert all(s.value is None and not s.fresh for s in live.signals)
    assert isinstance(live.recent_yield, Unknown)
    assert isinstance(live.shift_yield, Unknown)
    assert isinstance(live.load_yield, Unknown)
    assert (live.load, live.vat, live.trailer, live.stop, live.alarms) == (None, None, None, None, ())


def test_a_line_that_presses_knows_its_load_vat_and_trailer() -> None:
    """Yields around 700 L/t, tonnes of the load still to come, and when the vat will be full."""
    story = Story().start().write(load("41", 9800.0)).put_on("41")
    story.write(Vat("A", capacity_l=2000.0, contents_l=500.0)).write(Trailer("green")).idle(20).run(900)
    live = view(story)
    assert (live.condition, live.shift) == (Condition.PRESSING, "early")
    for figure in (live.recent_yield, live.shift_yield, live.load_yield):
        assert inside(YIELD, figure)
    assert live.load_left == pytest.approx(9800.0 - 900 * RATED, abs=15.0)
    assert live.vat is not None
    assert live.vat.contents is not None
    assert live.vat_full_in == pytest.approx((2.0 - live.vat.contents) / (RATED * YIELD), rel=0.01)
    assert live.trailer is not None
    assert live.trailer.trailer == "green"


def test_no_yield_of_the_last_ten_minutes_while_the_line_drains() -> None:
    """The reason names the condition; the shift's yield stands."""
    live = view(Story().start().idle(10).run(600).idle(70))
    assert live.condition is Condition.DRAINING
    assert isinstance(live.recent_yield, Unknown)
    assert "draining" in live.recent_yield.why
    assert known(live.shift_yield).value == pytest.approx(YIELD, rel=0.02)


def test_a_vat_without_contents_or_capacity_is_never_said_to_be_full() -> None:
    """Where nobody said how much is in it, nobody knows when it is full."""
    assert view(Story().start().write(Vat("A", capacity_l=2000.0)).run(600)).vat_full_in is None


def test_a_switch_to_another_vat_shows_at_once() -> None:
    """The view follows what is written down between two closed bins."""
    story = Story().start().write(Vat("A")).run(600)
    line = play(story.events, finish=False).line
    before = line.live(story.now).vat
    story.write(Vat("B"))
    line.handle(story.events[-1])
    after = line.live(story.now).vat
    assert before is not None
    assert after is not None
    assert (before.vat, after.vat) == ("A", "B")


def test_alarms_that_are_not_normal_and_the_stop_going_on_are_shown() -> None:
    """Two minutes into a blockage both are there."""
    story = Story().start().write(load("41", 9800.0)).put_on("41").idle(20).run(300)
    live = view(story.run(120, fruit=0.0, current=42.0))
    assert [(a.name, a.state) for a in live.alarms] == [("mill-blocked", AlarmState.UNACKNOWLEDGED)]
    assert live.stop is not None
    assert live.stop.end is None
    assert live.stop.condition is Condition.BLOCKED


def test_the_meters_are_held_against_each_other_while_the_shift_goes_on() -> None:
    """A balance of the shift so far as soon as there is fruit, none before."""
    assert view(Story().start().idle(20)).balance is None
    balance = view(Story().start().idle(20).run(900)).balance
    assert balance is not None
    assert "fruit_kg" in balance.reconciled
