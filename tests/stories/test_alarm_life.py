"""Alarms and stops of whole shifts: what people do with them, and what is left of them in the summary."""

from __future__ import annotations

import pytest

from press_stories import RATED, START, Story, load, params, play
from tumpline.pressing.entries import Acknowledge, Correct, InService, OutOfService, Reason, Shelve
from tumpline.pressing.line import PressLine
from tumpline.pressing.records import AlarmState

HIGH = 42.0
"""A in a mill that is blocked."""


def pressing(*, minutes: float = 60.0) -> Story:
    """The first ten minutes of a load that is milled in so many."""
    return Story().start().write(load("41", RATED * 60.0 * minutes)).put_on("41").idle(20).run(600)


def block(story: Story, seconds: int = 200) -> Story:
    """The mill blocks, and trips a few seconds later."""
    return story.run(4, fruit=0.0, current=HIGH).run(seconds, fruit=0.0, current=0.0)


def test_one_blockage_is_one_alarm_from_the_first_second_to_the_summary() -> None:
    """Raised, acknowledged, cleared: one occurrence with all its times, and nothing beside it asks for anybody."""
    story = block(pressing(minutes=20.0)).write(Acknowledge("mill-blocked"), by="Isla").run(600).idle(200).end()
    told = play(story.events)
    announced = [alarm for alarm in told.summary.alarms if alarm.announced]
    assert [alarm.name for alarm in announced] == ["mill-blocked"]
    (alarm,) = announced
    assert (alarm.state, alarm.by, alarm.times) == (AlarmState.NORMAL, "Isla", 1)
    assert alarm.raised is not None
    assert alarm.cleared is not None
    assert alarm.raised < alarm.cleared
    assert told.summary.alarm_load.count == 1


def test_a_mill_that_blocks_again_and_again_is_one_alarm_that_comes_and_goes() -> None:
    """An hour of it is told a few times, says so in the summary, and leaves the memory of the line as it was."""
    story = pressing()
    for _ in range(180):
        story.run(4, fruit=0.0, current=HIGH).run(8)
    short, long = (play(story.events[:n], finish=False) for n in (len(story.events) // 2, len(story.events)))
    assert len(long.alarms("mill-blocked")) == len(short.alarms("mill-blocked")) <= 6
    assert len(long.line.snapshot()) < 1.6 * len(short.line.snapshot())  # the ledger of the hour grows, as it has to
    told = play(story.run(120).end().events)
    assert told.summary.alarm_load.chattering == ("mill-blocked",)
    assert max(alarm.times for alarm in told.summary.alarms) > 150
    assert told.summary.alarm_load.count <= 3


def test_an_alarm_out_of_service_asks_for_nobody_until_it_is_put_back() -> None:
    """The mill's alarm is out of service while its weigher is calibrated; then it tells what still holds."""
    story = pressing().write(OutOfService("mill-blocked", note="calibration"), by="Isla")
    told = play(block(story).write(InService("mill-blocked")).idle(5).events, finish=False)
    states = [alarm.state for alarm in told.alarms("mill-blocked")]
    assert states == [AlarmState.OUT_OF_SERVICE, AlarmState.OUT_OF_SERVICE, AlarmState.UNACKNOWLEDGED]
    assert not told.alarms("mill-blocked")[1].announced


def test_a_shelf_ends_at_its_minute_although_the_program_was_started_anew() -> None:
    """What is shelved and since when is remembered with everything else."""
    story = block(pressing()).write(Shelve("mill-blocked", minutes=5.0, note="fitter is here"))
    line = PressLine(params())
    for event in story.events:
        line.handle(event)
    line = PressLine.restore(params(), line.snapshot())
    ends = story.now + 300.0
    seen = len(story.events)
    for event in story.run(400, fruit=0.0, current=0.0).events[seen:]:
        line.handle(event)
        (alarm,) = [a for a in line.live(START).alarms if a.name == "mill-blocked"]
        shelved = alarm.state is AlarmState.SHELVED
        assert shelved == (getattr(event, "at", 0.0) < ends)


def test_an_alarm_that_stands_when_the_shift_changes_is_counted_in_the_first() -> None:
    """The second shift shows it too, and does not count it again."""
    story = block(pressing(minutes=15.0)).start("late")
    story.run(120, fruit=0.0, current=0.0)
    first, second = play(story.run(300).end().events).summaries
    assert "mill-blocked" in [alarm.name for alarm in first.alarms]
    assert "mill-blocked" in [alarm.name for alarm in second.alarms]
    assert (first.alarm_load.count, second.alarm_load.count) == (1, 0)


@pytest.mark.parametrize("corrected", [False, True])
def test_a_reason_given_to_a_stop_can_be_put_right_later(corrected: bool) -> None:
    """The summary has what was said last, and who said it."""
    story = block(pressing(minutes=16.0)).run(60)
    stop = next(e.data["stop"] for e in play(story.events, finish=False).events("stop.ended"))
    story.write(Reason(str(stop), "no fruit"), by="Ned")
    if corrected:
        entry = f"entry-{len(story.events) - 1}"
        story.write(Correct(entry, {"reason": "blocked mill", "note": "a stone"}), by="Isla")
    (told,) = play(story.run(300).idle(200).end().events).summary.stops
    expected = ("blocked mill", "a stone", "Isla") if corrected else ("no fruit", None, "Ned")
    assert (told.reason, told.note, told.by) == expected
    assert told.fruit_not_pressed == pytest.approx(RATED * 208.0, rel=0.02)


def test_a_stop_of_the_shift_before_gets_its_reason_late() -> None:
    """The summary of that shift is told anew, and the open shift is not touched."""
    story = block(pressing(minutes=16.0)).run(100).start("late").run(120)
    stop = next(e.data["stop"] for e in play(story.events, finish=False).events("stop.ended"))
    told = play(story.write(Reason(str(stop), "blocked mill"), by="Isla").events)
    first, anew, second = told.summaries
    assert (first.shift, anew.shift, second.shift) == ("early", "early", "late")
    assert (first.stops[0].reason, anew.stops[0].reason, anew.stops[0].by) == (None, "blocked mill", "Isla")
    assert second.stops == ()


def test_a_reason_for_a_stop_that_never_was_is_refused() -> None:
    """The sentence says where stops were looked for."""
    (refused,) = play(pressing().write(Reason("stop-1", "break")).events).events("entry.refused")
    assert "There is no stop stop-1 in this shift" in str(refused.data["reason"])
