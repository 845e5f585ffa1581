"""
What a season costs to be read: ninety shifts, held against a plain SELECT of the same rows and against one shift.

Figures are printed, not judged: they belong to the machine. `pytest -m bench -s` shows them.
"""

import sqlite3
import time
from collections.abc import Callable
from contextlib import closing
from pathlib import Path

import msgspec
import pytest

from records import LOAD, SEVEN, SUMMARY, TRAILER, VAT
from stored_shifts import row
from tumpline.adapters.sqlite import Archive, SqliteStore
from tumpline.app.exporting import export_csv
from tumpline.app.tracing import trace
from tumpline.pressing.records import Share, Summary
from tumpline.runtime.ports import FiguresRow, Outputs

pytestmark = pytest.mark.bench

SHIFTS, LOADS, POINTS = 90, 8, 1440
FIGURES = (
    b'{"throughput_t_per_h":3.9,"juice_l_per_min":44.1,"pressure_bar":4.5,"yield_l_per_t":688.1,"yield_low":671.9}'
)


def shift(number: int) -> Summary:
    """A day's shift of eight loads into two vats."""
    start = SEVEN + 86400.0 * number
    names = [f"{number:02d}-{n}" for n in range(LOADS)]
    shares = tuple(Share(name, LOAD.juice) for name in names)
    return msgspec.structs.replace(
        SUMMARY,
        shift=f"day-{number}",
        start=start,
        end=start + 28800.0,
        loads=tuple(msgspec.structs.replace(LOAD, load=name, on=start, off=start + 28800.0) for name in names),
        vats=tuple(msgspec.structs.replace(VAT, vat=f"V{number % 12 + n}", shares=shares) for n in range(2)),
        trailers=(msgspec.structs.replace(TRAILER, shares=shares),),
    )


@pytest.fixture(name="store", scope="module")
def _store(tmp_path_factory: pytest.TempPathFactory) -> Path:
    path = tmp_path_factory.mktemp("season") / "season.db"
    with closing(SqliteStore(path)) as store:
        for number in range(SHIFTS):
            day = shift(number)
            figures = [FiguresRow("line-1", day.start + 5.0 * n, FIGURES) for n in range(POINTS)]
            store.commit([], Outputs(figures=figures, summaries=[row(day)]), [])
    return path


def best(work: Callable[[], object], *, of: int = 5) -> float:
    """Seconds of the quickest of some runs: what the work costs, and not what else the machine did."""
    took = []
    for _ in range(of):
        begun = time.perf_counter()
        work()
        took.append(time.perf_counter() - begun)
    return min(took)


def plain_select(path: Path) -> list[tuple[object, ...]]:
    """The same rows without any meaning."""
    with closing(sqlite3.connect(path)) as db:
        return db.execute("SELECT * FROM summary").fetchall() + db.execute("SELECT * FROM pressed").fetchall()


def season(path: Path) -> int:
    """A season's document."""
    with Archive(path) as archive:
        return len(archive.season(2026)["loads"])


def shift_trace(path: Path) -> int:
    """The figures of one shift among those of a season."""
    with Archive(path) as archive:
        last = archive.summaries()[-1]
        return len(archive.trace(last.line, last.start, last.end))


def test_what_ninety_shifts_cost(store: Path) -> None:
    """Everything a document of a season is made from, as multiples of reading the bare rows."""
    assert (season(store), shift_trace(store)) == (SHIFTS * LOADS, POINTS)
    bare = best(lambda: plain_select(store))
    queries: dict[str, Callable[[], object]] = {
        "season with its load rows": lambda: season(store),
        "one shift's trace": lambda: shift_trace(store),
        "trace of a vat": lambda: trace(store, "vat", "V5", 2026),
        "trace of a load": lambda: trace(store, "load", "45-3", 2026),
        "loads as a table": lambda: export_csv("loads", store, 2026),
    }
    print(f"\n{SHIFTS} shifts of {LOADS} loads; the bare rows take {1000.0 * bare:.1f} ms")
    for name, query in queries.items():
        took = best(query)
        print(f"{name}: {took / bare:.1f} times the bare rows ({1000.0 * took:.0f} ms)")
