"""What people may do with an alarm, and what the watchman says of it."""

import msgspec

from press_stories import Story, load, params, play
from tumpline.pressing.entries import Acknowledge, Shelve, Unshelve
from tumpline.pressing.events import ReadingTaken
from tumpline.pressing.params import LineParams
from tumpline.pressing.records import AlarmState


def test_an_alarm_nobody_knows_is_refused_with_those_there_are() -> None:
    """A mistyped name gets the list of names."""
    told = play(Story().idle(5).write(Acknowledge("mil-blocked")).events)
    (refused,) = told.events("entry.refused")
    assert "mill-blocked" in str(refused.data["reason"])


def blocked() -> Story:
    """A mill that has been blocked for twenty seconds."""
    story = Story().start().write(load("41", 9800.0)).put_on("41").idle(20).run(300)
    return story.run(20, fruit=0.0, current=42.0)


def test_shelving_ends_by_itself() -> None:
    """After its minutes the alarm is back, because it still holds."""
    story = blocked().write(Shelve("mill-blocked", minutes=2.0, note="fitter is here"))
    shelved = story.now
    changes = play(story.run(180, fruit=0.0, current=0.0).events, finish=False).alarms("mill-blocked")
    assert [a.state for a in changes] == [AlarmState.UNACKNOWLEDGED, AlarmState.SHELVED, AlarmState.UNACKNOWLEDGED]
    assert (changes[1].by, changes[1].shelved_until) == ("Ned", shelved + 120.0)


def test_an_alarm_may_be_taken_from_the_shelf_early() -> None:
    """Once fruit has come back it leaves the shelf as normal."""
    story = blocked().write(Shelve("mill-blocked", minutes=60.0)).run(60).write(Unshelve("mill-blocked")).run(10)
    assert play(story.events, finish=False).alarms("mill-blocked")[-1].state is AlarmState.NORMAL


def with_watch(name: str, **numbers: float | bool) -> LineParams:
    """The line of the stories with other numbers for one watch."""
    line = params()
    watch = msgspec.structs.replace(line.watches[name], **numbers)
    return msgspec.structs.replace(line, watches=line.watches | {name: watch})


def test_a_watch_that_is_off_raises_nothing() -> None:
    """The line is still said to be blocked: only the alarm stays away."""
    told = play(blocked().events, with_watch("mill-blocked", on=False), finish=False)
    assert told.raised == []
    assert "blocked" in told.conditions


def test_a_lost_signal_may_be_given_more_time() -> None:
    """On top of its own patience."""
    story = Story().start().idle(10).run(120).run(25, silent=["juice/flow"])
    assert play(story.events, finish=False).raised == ["signal-lost"]
    assert play(story.events, with_watch("signal-lost", delay=30.0), finish=False).raised == []


def test_a_sensor_that_freezes_is_lost_by_name() -> None:
    """Readings that never change while all others move are no readings."""
    story = Story().start().idle(10).run(300)
    frozen = [
        read_as(e, 0.02) if isinstance(e, ReadingTaken) and e.signal == "flume/flow" else e
        for e in Story(now=story.now).run(200).events
    ]
    (alarm,) = play([*story.events, *frozen], finish=False).alarms("signal-lost")
    assert alarm.subject == "flume/flow"
    assert "frozen" in alarm.cause


def read_as(reading: ReadingTaken, value: float) -> ReadingTaken:
    """The same reading with another value."""
    return ReadingTaken(reading.signal, reading.at, value, reading.arrived)
