"""The whole store for tools of other people's."""

from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest

from stored_shifts import stored
from tumpline.adapters.sqlite import SqliteStore
from tumpline.app import parquet
from tumpline.app.errors import CommandError, Status
from tumpline.app.parquet import export_parquet
from tumpline.runtime.ports import EntryRow, FiguresRow, Outputs, ReadingRow

MORNING = datetime(2026, 10, 14, 6, tzinfo=UTC)
AT = MORNING.timestamp()


def rows(folder: Path, table: str) -> list[dict[str, Any]]:
    """A table's rows as another program reads them."""
    pq = pytest.importorskip("pyarrow.parquet", reason="Parquet is an extra")
    found: list[dict[str, Any]] = pq.read_table(folder / f"{table}.parquet").to_pylist()
    return found


def test_every_table_can_be_read_by_others(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Readings are in the units of documents, moments are times, and what was unknown is empty."""
    pytest.importorskip("pyarrow", reason="Parquet is an extra")
    monkeypatch.setattr(parquet, "_AT_ONCE", 1)
    path = stored(tmp_path / "works.db", early=MORNING)
    with closing(SqliteStore(path)) as store:
        series = Outputs(
            readings=[ReadingRow("line-1", "mill/throughput", AT, 1.0, 0), ReadingRow("line-1", "his/own", AT, 2.0, 1)],
            figures=[FiguresRow("line-1", AT, b"{}"), FiguresRow("line-1", AT + 5.0, b'{"pressure_bar":1.5}')],
            entries=[EntryRow("line-1", "note-1", "note", AT, AT, "Ada", '{"text":"früh"}'.encode())],
        )
        store.commit([], series, [])
        said: list[str] = []
        export_parquet(path, tmp_path / "out", say=said.append)
    readings = rows(tmp_path / "out", "readings")
    told = {r["signal"]: (r["value"], r["unit"], r["late"], r["at"]) for r in readings}
    assert told == {
        "mill/throughput": (pytest.approx(3.6), "t/h", False, MORNING),
        "his/own": (2.0, "SI", True, MORNING),
    }
    assert [figures["pressure_bar"] for figures in rows(tmp_path / "out", "figures")] == [None, 1.5]
    assert rows(tmp_path / "out", "entries")[0]["payload"] == '{"text":"früh"}'
    (shift,), (vat,) = rows(tmp_path / "out", "shifts"), rows(tmp_path / "out", "loads_vats")
    assert (shift["start"], shift["fruit_kg_value"]) == (MORNING, 4200.0)
    assert (vat["load"], vat["vat"], vat["juice_l_value"]) == ("L-7", "V1", 2900.0)
    assert f"{tmp_path / 'out' / 'readings'}.parquet: 2 rows" in said


def test_what_cannot_be_written_is_a_sentence(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A folder that is a file, and a machine without the library, are each said."""
    path = stored(tmp_path / "works.db", early=MORNING)
    if parquet.pa is not None:
        with pytest.raises(CommandError, match=r"works\.db cannot be written"):
            export_parquet(path, path, say=lambda words: None)
    monkeypatch.setattr(parquet, "pa", None)
    with pytest.raises(CommandError, match=r"pip install 'tumpline\[parquet\]'") as error:
        export_parquet(path, tmp_path / "out", say=lambda words: None)
    assert error.value.status is Status.BAD_SETTINGS
