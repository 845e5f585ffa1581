"""The embedded store: one SQLite file, written by the service alone, read by anybody meanwhile."""

from tumpline.adapters.sqlite.archive import Archive
from tumpline.adapters.sqlite.store import SqliteStore

__all__ = ["Archive", "SqliteStore"]
