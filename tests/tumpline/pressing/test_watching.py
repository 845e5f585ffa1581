"""What people may do with an alarm, and what the watchman says of it."""

from press_stories import Story, load, play
from tumpline.pressing.entries import Acknowledge, Shelve, Unshelve
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
