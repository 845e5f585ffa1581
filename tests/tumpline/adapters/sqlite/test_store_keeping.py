"""What the store forgets, what it leaves out, and what a kill cannot take from it."""

import subprocess
import sys
from collections.abc import Iterator
from contextlib import closing
from pathlib import Path

import pytest

from tumpline.adapters.sqlite import SqliteStore
from tumpline.runtime.ports import Outputs, Row, Snapshot


@pytest.fixture(name="store")
def _store(tmp_path: Path) -> Iterator[SqliteStore]:
    with closing(SqliteStore(tmp_path / "works.db")) as store:
        yield store


def rows(*numbers: int) -> list[Row]:
    """Journal rows with these numbers, each arrived at its number of seconds."""
    return [Row(number, float(number), "tumpline/line-1/signal/juice/flow", b"1.5", "line-1", 0) for number in numbers]


def test_pruning_forgets_only_what_is_old_and_not_needed(store: SqliteStore) -> None:
    """Rows go when they are older than asked and not after the row given, so many at a time."""
    store.commit(rows(1, 2, 3, 4, 5), Outputs(), [])
    assert store.prune(before=5.0, seq=3, raw_before=0.0, limit=2) == 2
    assert store.prune(before=5.0, seq=3, raw_before=0.0, limit=2) == 1
    assert store.rows_after(0, 9) == rows(4, 5)
    assert store.prune(before=5.0, seq=9, raw_before=0.0, limit=9) == 1
    assert store.rows_after(0, 9) == rows(5)


def test_numbers_of_forgotten_rows_are_not_used_again(store: SqliteStore) -> None:
    """A journal that was pruned to nothing goes on counting."""
    store.commit(rows(1, 2), Outputs(through=2), [])
    store.prune(before=99.0, seq=2, raw_before=0.0, limit=9)
    assert (store.rows_after(0, 9), store.last_seq()) == ([], 2)


def test_a_row_set_aside_is_not_fed_again(store: SqliteStore) -> None:
    """A message that keeps stopping the service is counted, and then left out for good."""
    one, two = rows(1, 2)
    store.commit([one, two], Outputs(), [])
    assert [store.count_fault(one, "KeyError") for _ in range(3)] == [1, 2, 3]
    store.set_aside(one, "KeyError")
    assert store.rows_after(0, 9) == [two]


def test_points_wait_until_they_are_dropped_or_refused(store: SqliteStore) -> None:
    """What the outside store has, or will never take, is not offered again."""
    store.commit([], Outputs(points=["a 1", "b 2", "c 3"]), [])
    (a, _), (b, _), rest = store.points(9)
    store.drop_points([a])
    store.refuse_points([b], "it is no number")
    assert store.points(9) == [rest]


def test_lines_do_not_push_out_each_others_snapshots(store: SqliteStore) -> None:
    """A line that says little keeps its own."""
    store.commit([], Outputs(), [Snapshot("line-2", 1, None, b"quiet")])
    store.commit([], Outputs(), [Snapshot("line-1", seq, None, b"busy") for seq in (2, 3, 4)])
    assert [kept.seq for kept in store.snapshots("line-2")] == [1]


def test_a_program_that_is_killed_leaves_what_was_committed(tmp_path: Path) -> None:
    """Whatever a commit has returned for survives a kill, and the next program can start at once."""
    path = tmp_path / "works.db"
    program = (
        "import os, signal, sys\n"
        "from pathlib import Path\n"
        "from tumpline.adapters.sqlite import SqliteStore\n"
        "from tumpline.runtime.ports import Outputs, Row\n"
        "store = SqliteStore(Path(sys.argv[1]))\n"
        "store.commit([Row(1, 1.0, 'a', b'1')], Outputs(through=1), [])\n"
        "os.kill(os.getpid(), signal.SIGKILL)\n"
    )
    assert subprocess.run([sys.executable, "-c", program, str(path)], check=False).returncode == -9
    with closing(SqliteStore(path)) as store:
        assert store.rows_after(0, 9) == [Row(1, 1.0, "a", b"1")]
