"""Room in the vat where no meter tells its level."""

import pytest

from press_stories import RATED, YIELD, Story, params
from tumpline.pressing.effects import TellAlarm
from tumpline.pressing.entries import Dip, Vat
from tumpline.pressing.line import PressLine
from tumpline.pressing.records import AlarmRecord

MINUTE = 60.0 * RATED * YIELD
"""m³ of juice in a minute."""


def nearly_full(story: Story) -> list[AlarmRecord]:
    """Every time the vat was told to be nearly full."""
    line = PressLine(params())
    effects = [effect for event in story.events for effect in line.handle(event)]
    told = [e.alarm for e in effects if isinstance(e, TellAlarm) and e.alarm.name == "vat-nearly-full"]
    return [alarm for alarm in told if alarm.active]


def test_without_a_level_meter_the_book_tells_when_a_vat_is_full() -> None:
    """A vat told to have room for twenty minutes of juice is told to be nearly full ten minutes ahead."""
    story = Story().start().write(Vat("A", capacity_l=5000.0, contents_l=5000.0 - 20e3 * MINUTE)).idle(10).run(1000)
    (alarm, *_) = nearly_full(story)
    assert alarm.raised is not None
    assert alarm.raised - story.now == pytest.approx(-1000 + 600 + 60, abs=150)
    assert " A is " in alarm.cause


def test_a_dip_makes_room_again() -> None:
    """Somebody looked: there is far less in it than was reckoned, and nothing is raised."""
    story = Story().start().write(Vat("A", capacity_l=5000.0, contents_l=5000.0 - 20e3 * MINUTE)).idle(10).run(120)
    story.write(Dip("A", 1000.0)).run(880)
    assert nearly_full(story) == []


def test_a_vat_of_unknown_contents_is_not_said_to_be_full() -> None:
    """Nobody said what was in it."""
    assert nearly_full(Story().start().write(Vat("A", capacity_l=700.0)).idle(10).run(1000)) == []
