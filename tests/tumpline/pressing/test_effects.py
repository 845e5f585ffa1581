"""Effects: a shift asks for every kind of them, and none is an order to a machine."""

from typing import get_args

from press_stories import Story, load, play
from tumpline.pressing.effects import Effect, Quality


def test_a_shift_with_a_blockage_asks_for_every_kind_of_effect() -> None:
    """Readings, figures, live views, events, alarms and the summary: nothing else, and none of them missing."""
    story = Story().start().write(load("41", 9800.0)).put_on("41").idle(20).run(300).run(20, fruit=0.0, current=42.0)
    told = play(story.run(120).end().events)
    assert {type(e) for e in told.effects} == set(get_args(Effect))


def test_the_numbers_of_a_quality_never_change() -> None:
    """They are stored with every reading."""
    assert [(q.name, q.value) for q in Quality] == [("GOOD", 0), ("LATE", 1)]
