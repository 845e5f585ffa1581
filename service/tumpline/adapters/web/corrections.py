"""Putting an entry right: what stood in it, as a form shows it, and what of that was changed."""

from datetime import datetime
from zoneinfo import ZoneInfo

import msgspec

from tumpline.adapters.web.forms import Field, Form, form_for
from tumpline.adapters.web.typed import Kept, Typed, read
from tumpline.adapters.web.words import Words
from tumpline.pressing.entries import Trailer
from tumpline.pressing.logbook import Noted

TIMES = ("start", "end")
"""Fields that are a moment, which entries have in seconds since 1970."""


def form_of(noted: Noted) -> Form | None:
    """The form an entry is put right with; None where another entry is written instead."""
    weighed = isinstance(noted.entry, Trailer) and noted.entry.net_kg is not None
    form = form_for(noted.kind, weighed=weighed)
    if form is None:
        return None
    own = {*noted.entry.__struct_fields__, "at"}
    return msgspec.structs.replace(form, fields=tuple(_any_load(field) for field in form.fields if field.key in own))


def _any_load(field: Field) -> Field:
    """Loads that have gone on since can be named too."""
    return msgspec.structs.replace(field, known="lots") if field.known in ("waiting", "on") else field


def filled(noted: Noted, words: Words, zone: ZoneInfo) -> Kept:
    """The entry as its form shows it."""
    kept: dict[str, list[str]] = {}
    for key, value in msgspec.to_builtins(noted.entry).items():
        if key == "varieties":
            kept["variety"] = [variety["name"] for variety in value]
            kept["share"] = [_plain(100.0 * variety["share"], words) for variety in value]
        elif isinstance(value, list | tuple):
            kept[key] = [", ".join(value)]
        elif isinstance(value, float) and key in TIMES:
            _wall(kept, key, value, zone)
        elif isinstance(value, float):
            kept[key] = [_plain(value, words)]
        elif value is not None:
            kept[key] = [str(value)]
    _wall(kept, "at", noted.at, zone)
    return kept


def _wall(kept: dict[str, list[str]], key: str, at: float, zone: ZoneInfo) -> None:
    """A time as the site's clock showed it, and which of the two where it showed it twice."""
    wall = datetime.fromtimestamp(at, zone)
    kept[key], kept[f"{key}_fold"] = [wall.replace(tzinfo=None).isoformat(timespec="seconds")], [str(wall.fold)]


def changes(noted: Noted, typed: Typed, form: Form, words: Words, zone: ZoneInfo) -> dict[str, object]:
    """The fields that no longer say what they said, None where they now say nothing."""
    before = read(form, filled(noted, words, zone), words=words, zone=zone)
    return {key: value for key, value in typed.values.items() if value != before.values.get(key)}


def _plain(value: float, words: Words) -> str:
    return f"{value:.6g}".replace(".", words("number.decimal"))
