"""A store of an earlier version becomes one of this."""

import sqlite3
from datetime import UTC, datetime
from pathlib import Path

from stored_shifts import stored
from tumpline.adapters.sqlite import Archive, SqliteStore


def test_a_store_of_the_version_before_goes_on_with_its_shifts(tmp_path: Path) -> None:
    """The service starts on it, and a season can be read from it afterwards."""
    path = stored(tmp_path / "works.db", early=datetime(2026, 10, 14, 7, tzinfo=UTC))
    with sqlite3.connect(path) as db:
        db.executescript(
            "DROP TABLE superseded; DROP TABLE pressed; DROP INDEX summary_start; DROP INDEX entry_kind;"
            """INSERT INTO figures VALUES ('line-1', 1791964800.0, '{"throughput_t_per_h": 4, "pressure_bar": 1.5}');"""
            "PRAGMA user_version = 1;"
        )
    db.close()
    SqliteStore(path).close()
    with Archive(path) as archive:
        (load,) = archive.season(2026)["loads"]
    assert (load["load"], load["pressure_bar"]) == ("L-7", 1.5)
