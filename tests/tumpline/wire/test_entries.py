"""Book entries as messages: who, when, and which."""

import json

import pytest

from tumpline.pressing.entries import LoadOn, Note
from tumpline.pressing.events import EntryMade, EntryRefused
from tumpline.wire.entries import read_entry
from wire_line import ARRIVED


def read(kind: str, payload: bytes | dict[str, object], *, arrived: float = ARRIVED) -> EntryMade | EntryRefused:
    """What the message makes."""
    text = payload if isinstance(payload, bytes) else json.dumps(payload).encode()
    return read_entry(kind, text, arrived=arrived, latest=arrived + 60)


def made(kind: str, payload: bytes | dict[str, object], *, arrived: float = ARRIVED) -> EntryMade:
    """The entry it makes."""
    event = read(kind, payload, arrived=arrived)
    assert isinstance(event, EntryMade), event
    return event


def refused(kind: str, payload: bytes | dict[str, object]) -> str:
    """The reason why it makes none."""
    event = read(kind, payload)
    assert isinstance(event, EntryRefused) and event.kind == kind
    assert event.reason.startswith(f"{kind}: ") and event.reason.endswith(".")
    return event.reason


def test_an_entry_without_a_time_is_of_its_arrival() -> None:
    """What nobody dates happened when it came."""
    entry = made("load-on", {"load": "L-7", "by": "M. Reed"})
    assert (entry.at, entry.arrived, entry.by, entry.entry) == (ARRIVED, ARRIVED, "M. Reed", LoadOn("L-7"))


@pytest.mark.parametrize("at", ["2026-10-14T06:30:00Z", "2026-10-14T07:30:00+01:00"])
def test_an_entry_may_be_dated(at: str) -> None:
    """An entry may say when it was so."""
    assert made("note", {"text": "new cloth", "by": "M. Reed", "at": at}).at == ARRIVED - 1800


def test_a_null_time_is_no_time() -> None:
    """Whoever sends every key may leave it empty."""
    assert made("note", {"text": "x", "by": "M. Reed", "at": None}).at == ARRIVED


@pytest.mark.parametrize(
    ("payload", "words"),
    [
        (b"", "the payload is empty; a JSON object is accepted"),
        (b"[]", "the entry is a list; a JSON object is accepted"),
        (b"new cloth", "not JSON"),
        (b'{"text":"x","by":"\xff"}', "not UTF-8"),
        (b"[" * 100_000, "nested too deeply"),
        ({"text": "x"}, 'it does not say who made it; "by" with a name is accepted'),
        ({"text": "x", "by": " "}, "it does not say who made it"),
        ({"text": "x", "by": 7}, "it does not say who made it"),
        ({"text": "x", "by": "M", "at": "2026-10-14T07:00:00"}, "with Z or an offset"),
        ({"text": "x", "by": "M", "at": 1791961200}, '"at" is 1791961200; a time such as'),
        ({"text": "x", "by": "M", "at": "1960-01-01T00:00:00Z"}, '"at" is "1960-01-01T00:00:00Z"'),
        ({"text": "x", "by": "M", "at": "2026-10-14T07:02:00Z"}, "is in the future; up to 2026-10-14T07:01:00.000000Z"),
        ({"text": "x", "by": "M", "txt": "y"}, 'the field "txt" is not known (did you mean "text"?)'),
    ],
)
def test_what_cannot_be_read_is_refused_in_a_sentence(payload: bytes | dict[str, object], words: str) -> None:
    """The sentence says what was wrong and what would have been accepted."""
    sentence = refused("note", payload)
    assert (words in sentence and "accepted" in sentence) or "not JSON" in sentence


def test_an_unknown_kind_is_answered_with_the_nearest() -> None:
    """Topics are typed by people too."""
    sentence = refused("load-om", {"load": "L-7", "by": "M. Reed"})
    assert 'no such kind of entry (did you mean "load-on"?)' in sentence
    assert "shift-start" in sentence


def test_ids_name_the_kind() -> None:
    """A correction can be read by people."""
    assert made("load-on", {"load": "L-7", "by": "M. Reed"}).id.startswith("load-on-")


def test_the_same_entry_has_the_same_id_however_it_is_written() -> None:
    """A recording that lays out the JSON anew still holds the entry that a correction points at."""
    first = b'{"load":"L-7","grower":"Coppice Farm","net_kg":4210,"varieties":[{"name":"Top Late","share":1}],"by":"M"}'
    again = b"""{ "by": "M", "net_kg": 4.21e3, "load": "L-7", "brix": null,
                  "grower": "Coppice Farm", "varieties":[{"share":1.0,"name":"Top Late"}] }"""
    assert made("load", first).id == made("load", again).id


def test_different_entries_have_different_ids() -> None:
    """Neither what, who, when nor the kind may change without the id."""
    ids = {
        made("load-on", {"load": "L-7", "by": "M"}).id,
        made("load-on", {"load": "L-8", "by": "M"}).id,
        made("load-on", {"load": "L-7", "by": "N"}).id,
        made("load-on", {"load": "L-7", "by": "M", "at": "2026-10-14T06:00:00Z"}).id,
        made("load-on", {"load": "L-7", "by": "M"}, arrived=ARRIVED + 1e-6).id,
        made("load-off", {"load": "L-7", "by": "M"}).id,
    }
    assert len(ids) == 6


def test_a_dated_entry_keeps_its_id_whenever_it_arrives() -> None:
    """The same dated entry delivered twice is one entry."""
    body: dict[str, object] = {"text": "x", "by": "M", "at": "2026-10-14T06:00:00Z"}
    assert made("note", body).id == made("note", body, arrived=ARRIVED + 5).id


def test_a_name_is_trimmed() -> None:
    """Blanks around a name are nobody's."""
    entry = made("note", {"text": "x", "by": " M. Reed "})
    assert (entry.by, entry.entry) == ("M. Reed", Note("x"))
