"""The store as it is read, also while somebody else writes it."""

import sqlite3
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stored_shifts import stored
from tumpline.adapters.sqlite import Archive, SqliteStore
from tumpline.runtime.ports import EntryRow, FiguresRow, Outputs, StoreError

OCTOBER, MARCH = datetime(2026, 10, 14, 6, tzinfo=UTC), datetime(2026, 3, 2, 6, tzinfo=UTC)


def test_a_season_holds_its_own_shifts_and_a_row_for_every_load(tmp_path: Path) -> None:
    """Each in the order of the shifts' ends, with the shift's name on every load."""
    path = stored(tmp_path / "works.db", b=OCTOBER.replace(hour=14), a=OCTOBER, before=MARCH)
    with Archive(path) as archive:
        season = archive.season(2026)
    assert [summary["shift"] for summary in season["summaries"]] == ["a", "b"]
    assert [(load["shift"], load["load"]) for load in season["loads"]] == [("a", "L-7"), ("b", "L-7")]


def test_a_trace_is_of_one_line_and_its_time(tmp_path: Path) -> None:
    """From the first moment to the last, in order."""
    told = [FiguresRow(line, at, b'{"juice_l":%d}' % at) for at in (3.0, 1.0, 2.0) for line in ("line-1", "line-2")]
    with closing(SqliteStore(tmp_path / "works.db")) as store:
        store.commit([], Outputs(figures=told), [])
        with Archive(tmp_path / "works.db") as archive:
            assert archive.trace("line-1", 2.0, 3.0) == [(2.0, {"juice_l": 2.0}), (3.0, {"juice_l": 3.0})]


def test_entries_are_given_by_kind_in_the_order_of_their_times(tmp_path: Path) -> None:
    """Those who ask for no kind get all."""
    written = [
        EntryRow("line-1", f"{kind}-{at}", kind, at, at, "A", b"{}") for at, kind in ((2.0, "load"), (1.0, "note"))
    ]
    with closing(SqliteStore(tmp_path / "works.db")) as store:
        store.commit([], Outputs(entries=written), [])
    with Archive(tmp_path / "works.db") as archive:
        assert archive.entries("load") == written[:1]
        assert archive.entries() == [written[1], written[0]]


@pytest.mark.parametrize("content", [b"not a database" * 100, None], ids=["no store", "of another version"])
def test_what_is_no_store_is_said_and_left_alone(tmp_path: Path, content: bytes | None) -> None:
    """The sentence names the file."""
    path = tmp_path / "works.db"
    if content is None:
        with sqlite3.connect(path) as db:
            db.execute("PRAGMA user_version = 77")
        db.close()
    else:
        path.write_bytes(content)
    before = path.read_bytes()
    with pytest.raises(StoreError, match=r"works\.db"):
        Archive(path)
    assert path.read_bytes() == before
