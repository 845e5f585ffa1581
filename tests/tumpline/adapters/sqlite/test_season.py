"""What is kept of a shift that is over, and for how long."""

import sqlite3
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import msgspec
import pytest

from records import SEVEN, SUMMARY
from stored_shifts import row
from tumpline.adapters.sqlite import Archive, SqliteStore
from tumpline.runtime.ports import FiguresRow, Outputs, ReadingRow


@pytest.fixture(name="path")
def _path(tmp_path: Path) -> Path:
    return tmp_path / "works.db"


@pytest.fixture(name="store")
def _store(path: Path) -> Iterator[SqliteStore]:
    with closing(SqliteStore(path)) as store:
        yield store


def figures(count: int, *, since: float = SEVEN + 60.0) -> list[FiguresRow]:
    """Figures a few seconds apart, of a line that presses 4 t/h at 1.5 bar."""
    document = b'{"throughput_t_per_h":4.0,"pressure_bar":1.5}'
    return [FiguresRow("line-1", since + 5.0 * n, document) for n in range(count)]


def test_a_summary_told_anew_keeps_the_one_before(store: SqliteStore, path: Path) -> None:
    """Both versions can be had, the newest first; told once more it makes no further version."""
    first, second = row(SUMMARY), row(msgspec.structs.replace(SUMMARY, notes=("fog until ten",)))
    for told in (first, second, second):
        store.commit([], Outputs(summaries=[told]), [])
    with Archive(path) as archive:
        (now,) = archive.summaries()
        assert now == second
        assert archive.earlier(now) == [msgspec.json.decode(first.document)]


def test_how_a_load_was_pressed_is_stored_with_its_summary(store: SqliteStore, path: Path) -> None:
    """Its means are there although the figures they came from are not kept for ever."""
    store.commit([], Outputs(figures=figures(20), summaries=[row(SUMMARY)]), [])
    store.forget_series(readings_before=0.0, figures_before=2 * SEVEN, limit=1000)
    with Archive(path) as archive:
        (load,) = archive.season(2026)["loads"]
        assert archive.trace("line-1", 0.0, 2 * SEVEN) == []
    assert (load["pressure_bar"], load["throughput_t_per_h"]) == (1.5, 4.0)


def test_the_oldest_readings_and_figures_go_first_and_so_many_at_a_time(store: SqliteStore, path: Path) -> None:
    """What is younger than asked stays."""
    readings = [ReadingRow("line-1", "juice/flow", float(n), 1.0, 0) for n in range(5)]
    store.commit([], Outputs(readings=readings, figures=figures(3, since=0.0)), [])
    assert store.forget_series(readings_before=4.0, figures_before=6.0, limit=3) == 3
    assert store.forget_series(readings_before=4.0, figures_before=6.0, limit=3) == 3
    assert store.forget_series(readings_before=4.0, figures_before=6.0, limit=3) == 0
    with sqlite3.connect(path) as db:
        assert db.execute("SELECT at FROM reading").fetchall() == [(4.0,)]
        assert db.execute("SELECT at FROM figures").fetchall() == [(10.0,)]
    db.close()
