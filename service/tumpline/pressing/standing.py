"""The book as it stands: every entry once, as the last correction of it left it."""

from __future__ import annotations

from collections.abc import Iterable

import msgspec

from tumpline.pressing.entries import Correct
from tumpline.pressing.events import EntryMade


def standing(made: Iterable[EntryMade]) -> list[EntryMade]:
    """Entries in the order in which they arrived to the same in the order of their times, put right where they were."""
    entries: dict[str, EntryMade] = {}
    for event in made:
        if not isinstance(event.entry, Correct):
            entries.setdefault(event.id, event)
        elif event.entry.entry in entries:
            entries[event.entry.entry] = _corrected(entries[event.entry.entry], event.entry)
    return sorted(entries.values(), key=lambda event: event.at)


def _corrected(event: EntryMade, correction: Correct) -> EntryMade:
    fields = msgspec.to_builtins(event.entry) | correction.fields
    at = msgspec.convert(fields.pop("at", event.at), float)
    return msgspec.structs.replace(event, at=at, entry=msgspec.convert(fields, type(event.entry)))
