"""The store: all or nothing, the same however often it is written, and in words where it cannot be."""

import sqlite3
from collections.abc import Iterator
from pathlib import Path

import pytest

from tumpline.adapters.sqlite import Archive, SqliteStore
from tumpline.adapters.sqlite import store as store_module
from tumpline.runtime.ports import (
    AlarmRow,
    EntryRow,
    EventRow,
    FiguresRow,
    Outgoing,
    Outputs,
    ReadingRow,
    RefusedRow,
    Row,
    Snapshot,
    StoreError,
    SummaryRow,
)


@pytest.fixture(name="path")
def _path(tmp_path: Path) -> Path:
    return tmp_path / "deep" / "tumpline.db"


@pytest.fixture(name="store")
def _store(path: Path) -> Iterator[SqliteStore]:
    store = SqliteStore(path)
    yield store
    store.close()


def row(seq: int, payload: bytes = b"4.1") -> Row:
    """A journal row."""
    return Row(seq, 1000.0 + seq, "tumpline/line-1/signal/mill/throughput", payload, "line-1", seq)


def everything() -> Outputs:
    """One of each that a line may ask to keep."""
    return Outputs(
        through=1,
        readings=[ReadingRow("line-1", "mill/throughput", 1000.0, 1.1, 0)],
        figures=[FiguresRow("line-1", 1000.0, b'{"fruit_kg":1.0}')],
        events=[EventRow("line-1", "e1", 1000.0, "load.on", b"{}")],
        alarms=[AlarmRow(1, 0, "line-1", "juice-low", b"{}")],
        summaries=[SummaryRow("line-1", "early", 0.0, 1000.0, b"{}", b"")],
        entries=[EntryRow("line-1", "note-1", "note", 1000.0, 1000.0, "Ada", b"{}")],
        refused=[RefusedRow(1, 0, "line-1", "mill/throughput", 1000.0, "It is no number.", b"x")],
    )


def contents(path: Path) -> dict[str, list[tuple[object, ...]]]:
    """Every table with its rows, read by somebody else."""
    with sqlite3.connect(path) as db:
        names = [name for (name,) in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")]
        found = {name: db.execute(f"SELECT * FROM {name}").fetchall() for name in names}
    db.close()
    return found


def test_what_was_committed_is_there_for_the_next_start(store: SqliteStore, path: Path) -> None:
    """Rows, outputs and snapshots survive the program."""
    store.commit([row(1), row(2)], everything(), [Snapshot("line-1", 1, 0.5, b"state")])
    store.close()
    again = SqliteStore(path)
    assert list(again.rows_after(0, 10)) == [row(1), row(2)]
    assert (again.last_seq(), again.through()) == (2, 1)
    assert list(again.snapshots("line-1")) == [Snapshot("line-1", 1, 0.5, b"state")]
    assert list(again.newest_figures("line-1", 5)) == everything().figures
    again.close()


def test_writing_the_same_again_changes_nothing(store: SqliteStore, path: Path) -> None:
    """What a start gives once more after a crash is already there."""
    store.commit([row(1)], everything(), [])
    before = contents(path)
    store.commit([], everything(), [])
    assert contents(path) == before


def test_a_commit_that_fails_leaves_nothing_behind(store: SqliteStore, path: Path) -> None:
    """With the disk full neither rows nor outputs are there, the sentence says so, and the same can be tried again."""
    store._db.execute("PRAGMA max_page_count = 40")
    large = Outputs(events=[EventRow("line-1", str(n), 0.0, "note", bytes(4000)) for n in range(100)])
    before = contents(path)
    with pytest.raises(StoreError, match=r"The disk that holds .*tumpline\.db is full; messages stay with the broker"):
        store.commit([row(1)], large, [])
    assert contents(path) == before
    store._db.execute("PRAGMA max_page_count = 4000")
    store.commit([row(1)], large, [])
    assert len(contents(path)["event"]) == 100


def test_a_store_that_somebody_else_has_locked_says_so(path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """While another program writes, the sentence says that messages wait; afterwards it goes on."""
    monkeypatch.setattr(store_module, "_BUSY_MS", 0)
    store, other = SqliteStore(path), sqlite3.connect(path, isolation_level=None)
    other.execute("BEGIN IMMEDIATE")
    with pytest.raises(StoreError, match="is locked by another program; messages stay with the broker"):
        store.commit([row(1)], Outputs(), [])
    other.close()
    store.commit([row(1)], Outputs(), [])
    store.close()


def test_one_program_at_a_time_has_the_store(store: SqliteStore, path: Path) -> None:
    """A second one is told so, and may have it when the first has let go."""
    with pytest.raises(StoreError, match="in use by another tumpline"):
        SqliteStore(path)
    store.close()
    SqliteStore(path).close()


@pytest.mark.parametrize(
    ("content", "words"),
    [(b"not a database" * 100, "is not a store that can be read"), (None, "another version of this one")],
)
def test_a_file_that_is_not_ours_is_left_alone(tmp_path: Path, content: bytes | None, words: str) -> None:
    """Whatever the file is, it is not overwritten."""
    path = tmp_path / "other.db"
    if content is None:
        with sqlite3.connect(path) as db:
            db.executescript("CREATE TABLE theirs (a); PRAGMA user_version = 99")
        db.close()
    else:
        path.write_bytes(content)
    before = path.read_bytes()
    with pytest.raises(StoreError, match=words):
        SqliteStore(path)
    assert path.read_bytes() == before


def test_a_folder_that_cannot_be_made_is_named(tmp_path: Path) -> None:
    """A path that leads through a file says so in one sentence."""
    (tmp_path / "file").touch()
    with pytest.raises(StoreError, match=r"file/tumpline\.db cannot be used"):
        SqliteStore(tmp_path / "file" / "tumpline.db")


def test_the_last_snapshots_are_kept(store: SqliteStore) -> None:
    """The newest comes first, and the one before it is there for the day the newest cannot be read."""
    for seq in (1, 2, 3):
        store.commit([row(seq)], Outputs(through=seq), [Snapshot("line-1", seq, None, b"%d" % seq)])
    assert [snapshot.seq for snapshot in store.snapshots("line-1")] == [3, 2]


def test_outgoing_messages_stay_until_they_are_confirmed(store: SqliteStore) -> None:
    """They come back oldest first, each with an id of its own, and go when it is confirmed."""
    told = [Outgoing(0, "line-1", "tumpline/line-1/event", b"%d" % n, n == 1) for n in range(3)]
    store.commit([], Outputs(outgoing=told), [])
    first, second, third = store.outgoing_after(0, 10)
    assert [(m.payload, bool(m.retain)) for m in (first, second, third)] == [(b"0", False), (b"1", True), (b"2", False)]
    store.commit([], Outputs(confirmed=[second.id]), [])
    assert list(store.outgoing_after(first.id, 10)) == [third]


def test_raw_bytes_are_kept_for_their_time(store: SqliteStore, path: Path) -> None:
    """What could not be used is kept as it came, and forgotten when its time is over."""
    store.commit([row(1)], everything(), [])
    assert contents(path)["refused"][0][-1] == b"x"
    store.prune(before=0.0, seq=0, raw_before=1000.5, limit=10)
    assert contents(path)["refused"] == []


def test_reports_read_while_the_service_writes(store: SqliteStore, path: Path) -> None:
    """Summaries can be had from a store that is in use, in the order in which the shifts ended."""
    late = SummaryRow("line-1", "late", 1000.0, 2000.0, b"{}", b"")
    store.commit([], Outputs(summaries=[late, *everything().summaries]), [])
    with Archive(path) as archive:
        assert [summary.shift for summary in archive.summaries()] == ["early", "late"]


def test_a_report_of_nothing_makes_no_store(tmp_path: Path) -> None:
    """Asking for reports where there is no store is an error, not an empty store."""
    with pytest.raises(StoreError, match=r"nowhere\.db cannot be used"):
        Archive(tmp_path / "nowhere.db")
    assert list(tmp_path.iterdir()) == []
