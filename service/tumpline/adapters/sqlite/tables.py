"""The store's tables, how a file of an earlier version gets them, and what is wrong with a file in words."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Any

from tumpline.runtime.ports import StoreError

VERSION = 2
"""Of the tables; the one before is brought up to it, a file of any other is refused rather than guessed at."""

_FIRST = """
CREATE TABLE journal (seq INTEGER PRIMARY KEY, arrived REAL, topic TEXT, payload BLOB, line TEXT, mid INTEGER);
CREATE TABLE set_aside (
    seq INTEGER PRIMARY KEY, arrived REAL, topic TEXT, payload BLOB, line TEXT, mid INTEGER, reason TEXT);
CREATE TABLE fault (seq INTEGER PRIMARY KEY, count INTEGER, reason TEXT);
CREATE TABLE mark (name TEXT PRIMARY KEY, value INTEGER);
CREATE TABLE snapshot (line TEXT, seq INTEGER, lag REAL, state BLOB, PRIMARY KEY (line, seq));
CREATE TABLE series (id INTEGER PRIMARY KEY, line TEXT, signal TEXT, UNIQUE (line, signal));
CREATE TABLE reading (series INTEGER, at REAL, value REAL, quality INTEGER, PRIMARY KEY (series, at)) WITHOUT ROWID;
CREATE TABLE figures (line TEXT, at REAL, document BLOB, PRIMARY KEY (line, at)) WITHOUT ROWID;
CREATE TABLE event (line TEXT, id TEXT, at REAL, kind TEXT, document BLOB, PRIMARY KEY (line, id));
CREATE TABLE alarm (seq INTEGER, step INTEGER, line TEXT, name TEXT, document BLOB, PRIMARY KEY (seq, step));
CREATE TABLE summary (
    line TEXT, shift TEXT, start REAL, "end" REAL, document BLOB, record BLOB, PRIMARY KEY (line, shift, start));
CREATE TABLE entry (
    line TEXT, id TEXT, kind TEXT, at REAL, arrived REAL, "by" TEXT, payload BLOB, PRIMARY KEY (line, id));
CREATE TABLE refused (
    seq INTEGER, step INTEGER, line TEXT, subject TEXT, arrived REAL, reason TEXT, payload BLOB,
    PRIMARY KEY (seq, step));
CREATE INDEX refused_arrived ON refused (arrived);
CREATE TABLE outgoing (id INTEGER PRIMARY KEY AUTOINCREMENT, line TEXT, topic TEXT, payload BLOB, retain INTEGER);
CREATE TABLE point (id INTEGER PRIMARY KEY AUTOINCREMENT, text TEXT);
CREATE TABLE point_refused (id INTEGER PRIMARY KEY, text TEXT, reason TEXT);
"""
_SECOND = """
CREATE TABLE superseded (
    line TEXT, shift TEXT, start REAL, number INTEGER, document BLOB, PRIMARY KEY (line, shift, start, number));
CREATE TABLE pressed (
    line TEXT, shift TEXT, start REAL, load TEXT, pressure REAL, throughput REAL,
    PRIMARY KEY (line, shift, start, load));
CREATE INDEX summary_start ON summary (start);
CREATE INDEX entry_kind ON entry (kind, at);
"""
_STEPS = (_FIRST, _SECOND)
"""What each version has over the one before it."""


def prepare(db: sqlite3.Connection, path: Path) -> bool:
    """
    Make the tables that a file lacks; True where it was one of an earlier version.

    One that is not ours is left as it is, with a StoreError.
    """
    version = int(db.execute("PRAGMA user_version").fetchone()[0])
    (tables,) = db.execute("SELECT count(*) FROM sqlite_master").fetchone()
    if version not in (range(1, VERSION + 1) if tables else (0,)):
        raise StoreError(
            f"{path} was written by another program, or another version of this one (its tables are of "
            f"version {version}); version 1 to {VERSION} is accepted."
        )
    db.execute("PRAGMA journal_mode = WAL")
    db.execute("PRAGMA synchronous = FULL")
    if version < VERSION:
        db.executescript(f"BEGIN; {''.join(_STEPS[version:])} PRAGMA user_version = {VERSION}; COMMIT;")
    return 0 < version < VERSION


@contextmanager
def in_words(path: Path) -> Iterator[None]:
    """Within the block what SQLite and the system complain about becomes a StoreError."""
    try:
        yield
    except (sqlite3.DatabaseError, OSError) as error:
        raise StoreError(_sentence(path, error)) from error


def _sentence(path: Path, error: Any) -> str:
    """What is wrong with the file, for people."""
    if isinstance(error, OSError):
        return f"{path} cannot be used: {error.strerror or error}."
    match error.sqlite_errorcode & 0xFF:  # the lower byte is the kind, the rest its detail
        case sqlite3.SQLITE_FULL:
            return f"The disk that holds {path} is full; messages stay with the broker until there is room."
        case sqlite3.SQLITE_BUSY | sqlite3.SQLITE_LOCKED:
            return f"{path} is locked by another program; messages stay with the broker until it lets go."
        case sqlite3.SQLITE_NOTADB | sqlite3.SQLITE_CORRUPT:
            return f"{path} is not a store that can be read ({error}); restore it from a copy, or name another file."
        case _:
            return f"{path} cannot be used: {error}."
