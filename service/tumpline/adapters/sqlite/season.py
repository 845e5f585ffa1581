"""What the store keeps of a shift that is over, written in the transaction that stores its summary."""

import sqlite3

import msgspec

from tumpline.runtime.ports import SummaryRow
from tumpline.wire.figures import Document
from tumpline.wire.season import TracePoint, load_times, means_of

_decode = msgspec.json.Decoder(Document).decode
_decode_figures = msgspec.json.Decoder(dict[str, float]).decode
_IS_IT = "line = :line AND shift = :shift AND start = :start"


def keep_summary(db: sqlite3.Connection, row: SummaryRow) -> None:
    """Store a summary. One that says something else about the same shift is kept beside it as an earlier version."""
    db.execute(
        f"INSERT INTO superseded SELECT line, shift, start, (SELECT count(*) FROM superseded WHERE {_IS_IT}) + 1,"
        f" document FROM summary WHERE {_IS_IT} AND document <> :document",
        row._asdict(),
    )
    db.execute("INSERT OR REPLACE INTO summary VALUES (?, ?, ?, ?, ?, ?)", row)
    keep_means(db, row)


def keep_means(db: sqlite3.Connection, row: SummaryRow) -> None:
    """Store how each load of the shift was pressed: a season's figures are too many to be read for every report."""
    for load, span in load_times(_decode(row.document), row.start, row.end).items():
        found = db.execute("SELECT at, document FROM figures WHERE line = ? AND at >= ? AND at <= ?", (row.line, *span))
        means = means_of(TracePoint(at, _decode_figures(document)) for at, document in found)
        db.execute("INSERT OR IGNORE INTO pressed VALUES (?, ?, ?, ?, ?, ?)", (*row[:3], load, *means))


def forget_series(db: sqlite3.Connection, *, readings_before: float, figures_before: float, limit: int) -> int:
    """Forget readings and computed figures from before these moments, at most `limit` of them; how many went."""
    gone = 0
    for (series,) in db.execute("SELECT id FROM series").fetchall():
        gone += _forget(db, "reading", "series", series, readings_before, limit - gone)
    line = ""
    while line := db.execute("SELECT min(line) FROM figures WHERE line > ?", (line,)).fetchone()[0]:
        gone += _forget(db, "figures", "line", line, figures_before, limit - gone)
    return gone


def _forget(db: sqlite3.Connection, table: str, key: str, value: object, before: float, limit: int) -> int:
    """The oldest rows of one series; its key is its order, so nothing else is read."""
    oldest = f"SELECT at FROM {table} WHERE {key} = ?1 AND at < ?2 ORDER BY at LIMIT ?3"
    return db.execute(f"DELETE FROM {table} WHERE {key} = ?1 AND at IN ({oldest})", (value, before, limit)).rowcount
