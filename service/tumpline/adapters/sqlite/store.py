"""The embedded store: one SQLite file with one writer.

Write-ahead log with `synchronous=FULL`: what `commit` has returned for survives a power cut, so that acknowledging a
message afterwards is honest. Everything has a natural key, so that writing it again after a crash changes nothing.
"""

import sqlite3
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path

from tumpline.adapters.sqlite.season import forget_series, keep_means, keep_summary
from tumpline.adapters.sqlite.tables import in_words, prepare
from tumpline.runtime.ports import (
    FiguresRow,
    Outgoing,
    Outputs,
    Row,
    Snapshot,
    StoreError,
    SummaryRow,
)

_BUSY_MS = 5000
_KEEP_SNAPSHOTS = 2  # the one before the newest is there for the day the newest cannot be read

_WRITES = (
    ("figures", "INSERT OR REPLACE INTO figures VALUES (?, ?, ?)"),
    ("events", "INSERT OR IGNORE INTO event VALUES (?, ?, ?, ?, ?)"),
    ("alarms", "INSERT OR REPLACE INTO alarm VALUES (?, ?, ?, ?, ?)"),
    ("entries", "INSERT OR IGNORE INTO entry VALUES (?, ?, ?, ?, ?, ?, ?)"),
    ("refused", "INSERT OR REPLACE INTO refused VALUES (?, ?, ?, ?, ?, ?, ?)"),
)
"""Which part of `Outputs` goes where; its rows have the columns' order."""


class SqliteStore:
    """The store in the file at `path`. Fits `runtime.ports.Store`; to be called by one thread at a time."""

    def __init__(self, path: Path) -> None:
        """Open the file, or make it; StoreError where that cannot be, or where another program is using it."""
        self._path = path
        self._series: dict[tuple[str, str], int] = {}
        with in_words(path):
            path.parent.mkdir(parents=True, exist_ok=True)
            self._guard = _guard(path)
            self._db = sqlite3.connect(path, isolation_level=None, check_same_thread=False)
            self._db.execute(f"PRAGMA busy_timeout = {_BUSY_MS}")
            if prepare(self._db, path):
                self._bring_up()

    def close(self) -> None:
        """Let go of the file."""
        self._db.close()
        self._guard.close()

    def commit(self, rows: Sequence[Row], outputs: Outputs, snapshots: Sequence[Snapshot]) -> None:
        """Make all of it durable, or nothing."""
        with self._transaction() as db:
            db.executemany("INSERT INTO journal VALUES (?, ?, ?, ?, ?, ?)", rows)
            if outputs.readings:
                series = self._series_ids(outputs)
                db.executemany(
                    "INSERT OR IGNORE INTO reading VALUES (?, ?, ?, ?)",
                    [(series[r[0], r[1]], r[2], r[3], r[4]) for r in outputs.readings],
                )
            for part, statement in _WRITES:
                values = getattr(outputs, part)
                if values:
                    db.executemany(statement, values)
            for summary in outputs.summaries:
                keep_summary(db, summary)
            db.executemany(
                "INSERT INTO outgoing (line, topic, payload, retain) VALUES (?, ?, ?, ?)",
                [m[1:] for m in outputs.outgoing],
            )
            db.executemany("INSERT INTO point (text) VALUES (?)", [(text,) for text in outputs.points])
            db.executemany("DELETE FROM outgoing WHERE id = ?", [(number,) for number in outputs.confirmed])
            db.execute("INSERT OR REPLACE INTO mark VALUES ('through', ?)", (outputs.through,))
            self._keep_snapshots(snapshots)

    def last_seq(self) -> int:
        """Number of the newest journal row there ever was; 0 before the first."""
        with in_words(self._path):
            (newest,) = self._db.execute("SELECT coalesce(max(seq), 0) FROM journal").fetchone()
            return max(int(newest), self.through())

    def through(self) -> int:
        """The journal row up to which outputs are stored."""
        with in_words(self._path):
            found = self._db.execute("SELECT value FROM mark WHERE name = 'through'").fetchone()
            return int(found[0]) if found else 0

    def snapshots(self, line: str) -> Sequence[Snapshot]:
        """A line's snapshots, newest first."""
        with in_words(self._path):
            found = self._db.execute("SELECT * FROM snapshot WHERE line = ? ORDER BY seq DESC", (line,))
            return [Snapshot(*row) for row in found]

    def rows_after(self, seq: int, limit: int) -> Sequence[Row]:
        """The next journal rows, in order, without those set aside; none at the end."""
        with in_words(self._path):
            found = self._db.execute(
                "SELECT * FROM journal WHERE seq > ? AND seq NOT IN (SELECT seq FROM set_aside) ORDER BY seq LIMIT ?",
                (seq, limit),
            )
            return [Row(*row) for row in found]

    def newest_rows(self, count: int) -> Sequence[Row]:
        """The last journal rows, in order."""
        with in_words(self._path):
            found = self._db.execute("SELECT * FROM journal ORDER BY seq DESC LIMIT ?", (count,)).fetchall()
            return [Row(*row) for row in reversed(found)]

    def outgoing_after(self, last: int, limit: int) -> Sequence[Outgoing]:
        """Messages not confirmed yet, oldest first."""
        with in_words(self._path):
            found = self._db.execute("SELECT * FROM outgoing WHERE id > ? ORDER BY id LIMIT ?", (last, limit))
            return [Outgoing(*row) for row in found]

    def newest_figures(self, line: str, count: int) -> Sequence[FiguresRow]:
        """A line's last computed figures, oldest first."""
        with in_words(self._path):
            found = self._db.execute("SELECT * FROM figures WHERE line = ? ORDER BY at DESC LIMIT ?", (line, count))
            return [FiguresRow(*row) for row in reversed(found.fetchall())]

    def summaries(self) -> Sequence[SummaryRow]:
        """Every shift summed up, in the order of their ends."""
        with in_words(self._path):
            return [SummaryRow(*row) for row in self._db.execute('SELECT * FROM summary ORDER BY "end", line')]

    def count_fault(self, row: Row, reason: str) -> int:
        """How often this row has now stopped the service."""
        with self._transaction() as db:
            db.execute(
                "INSERT INTO fault VALUES (?, 1, ?) ON CONFLICT DO UPDATE SET count = count + 1", (row.seq, reason)
            )
            return int(db.execute("SELECT count FROM fault WHERE seq = ?", (row.seq,)).fetchone()[0])

    def set_aside(self, row: Row, reason: str) -> None:
        """Keep this row out of the journal's replay, with its bytes and the reason."""
        with self._transaction() as db:
            db.execute("INSERT OR REPLACE INTO set_aside VALUES (?, ?, ?, ?, ?, ?, ?)", (*row, reason))

    def prune(self, *, before: float, seq: int, raw_before: float, limit: int) -> int:
        """Forget journal rows up to `seq` from before `before`, at most `limit`; and raw refusals."""
        with self._transaction() as db:
            db.execute("DELETE FROM refused WHERE arrived < ?", (raw_before,))
            oldest = "SELECT seq FROM journal WHERE seq <= ? ORDER BY seq LIMIT ?"
            return db.execute(
                f"DELETE FROM journal WHERE seq IN ({oldest}) AND arrived < ?", (seq, limit, before)
            ).rowcount

    def forget_series(self, *, readings_before: float, figures_before: float, limit: int) -> int:
        """Forget readings and figures from before these moments, at most `limit`."""
        with self._transaction() as db:
            return forget_series(db, readings_before=readings_before, figures_before=figures_before, limit=limit)

    def points(self, limit: int) -> Sequence[tuple[int, str]]:
        """Points waiting for the outside time-series store, oldest first."""
        with in_words(self._path):
            return self._db.execute("SELECT id, text FROM point ORDER BY id LIMIT ?", (limit,)).fetchall()

    def drop_points(self, ids: Sequence[int]) -> None:
        """Forget these points."""
        with self._transaction() as db:
            db.executemany("DELETE FROM point WHERE id = ?", [(number,) for number in ids])

    def refuse_points(self, ids: Sequence[int], reason: str) -> None:
        """Put these points aside with the reason."""
        with self._transaction() as db:
            for number in ids:
                db.execute(
                    "INSERT OR REPLACE INTO point_refused SELECT id, text, ? FROM point WHERE id = ?", (reason, number)
                )
                db.execute("DELETE FROM point WHERE id = ?", (number,))

    def _bring_up(self) -> None:
        """What a file of an earlier version did not keep of its shifts."""
        summaries = self.summaries()
        with self._transaction() as db:
            for summary in summaries:
                keep_means(db, summary)

    def _keep_snapshots(self, snapshots: Sequence[Snapshot]) -> None:
        for snapshot in snapshots:
            self._db.execute("INSERT OR REPLACE INTO snapshot VALUES (?, ?, ?, ?)", snapshot)
            self._db.execute(
                "DELETE FROM snapshot WHERE line = ?1 AND seq NOT IN"
                " (SELECT seq FROM snapshot WHERE line = ?1 ORDER BY seq DESC LIMIT ?2)",
                (snapshot.line, _KEEP_SNAPSHOTS),
            )

    def _series_ids(self, outputs: Outputs) -> dict[tuple[str, str], int]:
        for line, signal in {(r[0], r[1]) for r in outputs.readings}.difference(self._series):
            self._db.execute("INSERT OR IGNORE INTO series (line, signal) VALUES (?, ?)", (line, signal))
            found = self._db.execute("SELECT id FROM series WHERE line = ? AND signal = ?", (line, signal))
            self._series[line, signal] = found.fetchone()[0]
        return self._series

    @contextmanager
    def _transaction(self) -> Iterator[sqlite3.Connection]:
        with in_words(self._path):
            self._db.execute("BEGIN IMMEDIATE")
            try:
                yield self._db
                self._db.execute("COMMIT")
            except BaseException:  # whatever it was, half a transaction must not stay open
                self._series.clear()
                if self._db.in_transaction:
                    self._db.execute("ROLLBACK")
                raise


def _guard(path: Path) -> sqlite3.Connection:
    """
    Hold a second, empty database locked as long as the program lives.

    The store itself cannot be: people want to read it meanwhile. The system lets go of the lock whatever ends us.
    """
    lock = path.with_name(path.name + ".lock")
    guard = sqlite3.connect(lock, isolation_level=None, timeout=0, check_same_thread=False)
    try:
        guard.execute("PRAGMA locking_mode = EXCLUSIVE")
        guard.execute("BEGIN EXCLUSIVE")
    except sqlite3.OperationalError as error:
        guard.close()
        if error.sqlite_errorcode == sqlite3.SQLITE_BUSY:
            raise StoreError(f"{path} is in use by another tumpline; one at a time is accepted.") from error
        raise
    return guard
