"""Events: what has happened cannot be changed, and every kind of it is understood."""

from typing import get_args

import pytest

from press_stories import START, params
from tumpline.pressing.entries import Note
from tumpline.pressing.events import EntryMade, EntryRefused, Event, ReadingRefused, ReadingTaken, TimePassed
from tumpline.pressing.line import PressLine

ONE_OF_EACH: list[Event] = [
    ReadingTaken("juice/flow", START, 0.0008, START),
    ReadingRefused("juice/flow", START, "The value is NaN; a finite number was expected."),
    EntryMade("entry-1", START, START, "Ned", Note("quiet")),
    EntryRefused("load", START, "net_kg is missing."),
    TimePassed(START + 1.0),
]


def test_a_line_takes_every_kind_of_event() -> None:
    """None of them stops it, in whatever order they come first."""
    assert {type(e) for e in ONE_OF_EACH} == set(get_args(Event))
    for first in range(len(ONE_OF_EACH)):
        line = PressLine(params())
        for event in ONE_OF_EACH[first:] + ONE_OF_EACH[:first]:
            assert isinstance(line.handle(event), list)


def test_what_happened_cannot_be_changed() -> None:
    """An event is a value: kept, compared, replayed."""
    event = ReadingTaken("juice/flow", START, 0.0008, START)
    assert event == ONE_OF_EACH[0]
    with pytest.raises(AttributeError, match="immutable"):
        event.value = 0.0  # type: ignore[misc]  # the refusal is what is tested
