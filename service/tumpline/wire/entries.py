"""Book entries: JSON of one kind to an entry, or to the reason why not in one sentence."""

from __future__ import annotations

import hashlib

import msgspec

from tumpline.pressing.entries import KINDS, Entry
from tumpline.pressing.events import EntryMade, EntryRefused
from tumpline.wire.entry_fields import entry_of
from tumpline.wire.jsontext import why_unreadable
from tumpline.wire.times import A_TIME, from_rfc3339, to_rfc3339
from tumpline.wire.words import Refused, did_you_mean, kind_of_value, listed, quoted

_COMMON = ("at", "by")
_document = msgspec.json.Decoder().decode


def read_entry(kind: str, payload: bytes, *, arrived: float, latest: float) -> EntryMade | EntryRefused:
    """
    The entry that a message on `book/<kind>` makes.

    `latest` is the last time it may claim to be of. Never raises on outside input.
    """
    made = _read(kind, payload, arrived, latest)
    return EntryRefused(kind, arrived, f"{kind}: {made.reason}.") if isinstance(made, Refused) else made


def _read(kind: str, payload: bytes, arrived: float, latest: float) -> EntryMade | Refused:
    if kind not in KINDS:
        return Refused(f"there is no such kind of entry{did_you_mean(kind, KINDS)}; {listed(KINDS)} is accepted")
    try:
        body = _document(payload)
    except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
        return Refused(f"{why_unreadable(payload, error)}; a JSON object is accepted")
    if not isinstance(body, dict):
        return Refused(f"the entry is {kind_of_value(body)}; a JSON object is accepted")
    at, by = _time(body, arrived, latest), body.get("by")
    if isinstance(at, Refused):
        return at
    if not isinstance(by, str) or not by.strip():
        return Refused('it does not say who made it; "by" with a name is accepted')
    entry = entry_of(kind, {name: value for name, value in body.items() if name not in _COMMON})
    if isinstance(entry, Refused):
        return entry
    return EntryMade(_id(kind, at, by.strip(), entry), at, arrived, by.strip(), entry)


def _id(kind: str, at: float, by: str, entry: Entry) -> str:
    """
    The same for the same entry: what it says counts, to the microsecond, and not how its JSON is laid out, which a
    recording may have changed. An entry that says no time of its own is of its arrival.
    """
    said = msgspec.json.encode((kind, to_rfc3339(at), by, entry))
    return f"{kind}-{hashlib.sha256(said).hexdigest()[:12]}"


def _time(body: dict[str, object], arrived: float, latest: float) -> float | Refused:
    given = body.get("at")
    if given is None:
        return arrived
    at = from_rfc3339(given) if isinstance(given, str) else None
    if at is None or at < 0.0:
        return Refused(f'"at" is {quoted(given)}; {A_TIME} is accepted')
    if at > latest:
        return Refused(f'"at" {quoted(given)} is in the future; up to {to_rfc3339(latest)} is accepted')
    return at
