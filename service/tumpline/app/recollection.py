"""What people had in front of them before the program ended: the book, what was refused, the alarms that are over."""

from collections.abc import Iterable
from pathlib import Path

import msgspec

from tumpline.adapters.sqlite.archive import Archive
from tumpline.pressing.effects import TellAlarm, TellEvent
from tumpline.pressing.events import EntryMade
from tumpline.pressing.logbook import KEPT
from tumpline.pressing.records import AlarmRecord, AlarmState
from tumpline.runtime.board import PAST_ALARMS, Board
from tumpline.runtime.ports import EntryRow, RefusedRow
from tumpline.wire.entries import read_entry
from tumpline.wire.figures import Document
from tumpline.wire.times import from_rfc3339

_ALARM_TIMES = ("raised", "cleared", "acknowledged", "shelved_until")
_decode = msgspec.json.Decoder(Document).decode


def remember(store: Path, board: Board) -> None:
    """Put on the board what is in the store; lines that are no longer there are left out."""
    with Archive(store) as archive:
        _book(archive.entries(), board)
        _refused_entries(archive.rows("event", ("line", "at", "kind", "document")), board)
        _refusals(archive.rows("refused", RefusedRow._fields), board)
        _alarms(archive.rows("alarm", ("line", "document")), board)


def _book(rows: Iterable[EntryRow], board: Board) -> None:
    kept = [row for row in rows if row.line in board.lines]
    newest = max((row.arrived for row in kept), default=0.0)
    for row in sorted(kept, key=lambda row: row.arrived):
        if row.arrived > newest - KEPT:
            made = read_entry(row.kind, row.payload, arrived=row.arrived, latest=float("inf"))
            if isinstance(made, EntryMade):
                board.enter(row.line, made)


def _refused_entries(rows: Iterable[tuple[object, ...]], board: Board) -> None:
    for line, at, kind, document in rows:
        if kind == "entry.refused" and line in board.lines:
            data = _decode(_bytes(document))["data"]
            board.tell(TellEvent("entry.refused", float(str(at)), data), str(line))


def _refusals(rows: Iterable[tuple[object, ...]], board: Board) -> None:
    refused = (msgspec.convert(row, RefusedRow) for row in rows)
    for row in sorted(refused, key=lambda row: row.arrived):
        if row.line in board.lines:
            board.refuse(row)


def _alarms(rows: Iterable[tuple[object, ...]], board: Board) -> None:
    over = [(line, document) for line, document in rows if b'"normal"' in _bytes(document) and line in board.lines]
    for line, document in over[-PAST_ALARMS * len(board.lines) :]:
        alarm = _alarm(_decode(_bytes(document)))
        if alarm.state is AlarmState.NORMAL:
            board.tell(TellAlarm(alarm), str(line))


def _alarm(document: Document) -> AlarmRecord:
    """The record an alarm's document was written from."""
    fields = {key: document[key] for key in AlarmRecord.__struct_fields__ if key in document}
    times = {key: from_rfc3339(text) for key in _ALARM_TIMES if (text := document.get(key)) is not None}
    return msgspec.convert({**fields, **times}, AlarmRecord)


def _bytes(value: object) -> bytes:
    return value if isinstance(value, bytes) else str(value).encode()
