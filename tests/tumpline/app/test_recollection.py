"""After a restart people see the book, the refusals and the past alarms again."""

from pathlib import Path

import pytest

from fake_line import NOW, alarm
from tumpline.adapters.sqlite import SqliteStore
from tumpline.app.recollection import remember
from tumpline.pressing.records import AlarmState
from tumpline.runtime.board import Board
from tumpline.runtime.ports import AlarmRow, EntryRow, EventRow, Outputs, RefusedRow
from tumpline.wire.documents import alarm_document, encode

LOAD = (
    b'{"load": "15", "grower": "Long Acre", "net_kg": 4120, "by": "Ada",'
    b' "varieties": [{"name": "top late", "share": 1}]}'
)
ON = b'{"load": "16", "by": "Ada"}'


def entry(kind: str, payload: bytes, at: float, line: str = "line-1") -> EntryRow:
    """An entry as it is stored."""
    return EntryRow(line, f"{kind}-{int(at)}", kind, at, at, "Ada", payload)


@pytest.fixture(name="board")
def _board(tmp_path: Path) -> Board:
    """A board that remembers a store in which something of everything was kept."""
    over = alarm(state=AlarmState.NORMAL, active=False, cleared=NOW, by="Ada")
    refused = encode({"data": {"kind": "load-on", "reason": "There is no load 16."}})
    outputs = Outputs(
        entries=[
            entry("load", LOAD, NOW - 60.0),
            entry("load-on", ON, NOW),
            entry("load", LOAD, NOW - 90 * 86400.0),
            entry("load", LOAD, NOW, line="line-gone"),
        ],
        events=[EventRow("line-1", "e1", NOW, "entry.refused", refused)],
        refused=[RefusedRow(1, 0, "line-1", "juice/flow", NOW, "It is no number.", b"\xff")],
        alarms=[
            AlarmRow(1, 0, "line-1", "mill-blocked", encode(alarm_document(alarm(), "line-1"))),
            AlarmRow(2, 0, "line-1", "mill-blocked", encode(alarm_document(over, "line-1"))),
        ],
    )
    path = tmp_path / "works.db"
    store = SqliteStore(path)
    store.commit([], outputs, [])
    board = Board(["line-1"])
    remember(path, board)
    store.close()
    return board


def test_the_book_is_there_again(board: Board) -> None:
    """Entries of the last two weeks are there, and what the line did not take is marked as that."""
    said = [(noted.kind, noted.refused) for noted in board.line("line-1").book.entries]
    assert said == [("load-on", "There is no load 16."), ("load", None)]


def test_refusals_are_there_again(board: Board) -> None:
    """With their reason and their bytes."""
    assert [(row.subject, row.payload) for row in board.line("line-1").refusals] == [("juice/flow", b"\xff")]


def test_past_alarms_are_there_again(board: Board) -> None:
    """Those that are over, and none that is open."""
    (past,) = board.line("line-1").past_alarms
    assert (past.name, past.state, past.cleared, past.by) == ("mill-blocked", AlarmState.NORMAL, NOW, "Ada")
    assert board.line("line-1").alarms == ()
