"""Tables for spreadsheets, which can be imported again."""

import csv
import io
from contextlib import closing
from datetime import UTC, datetime
from pathlib import Path

import pytest

from stored_shifts import stored
from tumpline.adapters.sqlite import SqliteStore
from tumpline.app.errors import CommandError
from tumpline.app.exporting import export_csv
from tumpline.app.tables import read_table
from tumpline.runtime.ports import EntryRow, Outputs
from tumpline.wire.entries import read_entry

MORNING = datetime(2026, 10, 14, 6, tzinfo=UTC)
AT = MORNING.timestamp()
LOAD = (
    b'{"load": "%s", "grower": "Coppice Farm", "net_kg": 4210, "by": "Ada",'
    b' "varieties": [{"name": "Coppice Red", "share": 1}]}'
)


def entry(kind: str, payload: bytes, *, at: float = AT) -> EntryRow:
    """An entry as the service stores it."""
    made = read_entry(kind, payload, arrived=at, latest=at)
    return EntryRow("line-1", getattr(made, "id", ""), kind, at, at, "Ada", payload)


def exported(what: str, store: Path, season: int | None = None) -> list[dict[str, str]]:
    """The table's rows."""
    return list(csv.DictReader(io.StringIO(export_csv(what, store, season))))


@pytest.fixture(name="store")
def _store(tmp_path: Path) -> Path:
    """One shift that pressed load L-7, and the book with a load more."""
    path = stored(tmp_path / "works.db", early=MORNING)
    pressed, waiting = entry("load", LOAD % b"L-7"), entry("load", LOAD % b"L-8", at=AT + 60.0)
    correction = entry("correct", b'{"entry": "%s", "net_kg": 4120, "by": "Bea"}' % pressed.id.encode(), at=AT + 99.0)
    refused = entry("load", LOAD.replace(b"Coppice Farm", b"Long Acre") % b"L-8", at=AT + 120.0)
    with closing(SqliteStore(path)) as store:
        store.commit([], Outputs(entries=[pressed, waiting, correction, refused]), [])
    return path


def test_loads_are_as_the_book_has_them_now_with_what_became_of_them(store: Path) -> None:
    """A corrected mass is the corrected one, a refused ticket is none, a load in the yard has no figure, not even 0."""
    pressed, waiting = exported("loads", store)
    assert (pressed["load"], pressed["net_kg"], pressed["shift"], pressed["vats"]) == (
        "L-7",
        "4120",
        "early",
        "V1 2900",
    )
    assert float(pressed["juice_l_value"]) == 3000.0
    assert (waiting["load"], waiting["shift"], waiting["juice_l_value"]) == ("L-8", "", "")
    assert waiting["grower"] == "Coppice Farm"


def test_exported_loads_can_be_imported(store: Path, tmp_path: Path) -> None:
    """Every row is accepted as it is."""
    table = tmp_path / "loads.csv"
    table.write_text(export_csv("loads", store, None))
    rows, rejected = read_table("loads", table, None)
    assert ([row["load"] for row in rows.values()], rejected) == (["L-7", "L-8"], [])


def test_vats_and_shifts_have_a_row_for_each_shift(store: Path, tmp_path: Path) -> None:
    """Vats say what is in them and whose, and can be imported again."""
    (vat,) = exported("vats", store)
    assert (vat["vat"], vat["capacity_l"], vat["shift"], vat["from"]) == (
        "V1",
        "10000.0",
        "early",
        "L-7 2900 / no load ?",
    )
    table = tmp_path / "vats.csv"
    table.write_text(export_csv("vats", store, None))
    rows, rejected = read_table("vats", table, "office")
    assert (len(rows), rejected) == (1, [])
    assert [row["shift"] for row in exported("shifts", store)] == ["early"]


def test_a_season_leaves_out_the_others(store: Path) -> None:
    """A table of a season without shifts has its header alone; no store is an error."""
    assert [len(exported(what, store, 2026)) for what in ("loads", "vats", "shifts")] == [2, 1, 1]
    assert [len(exported(what, store, 2025)) for what in ("loads", "vats", "shifts")] == [0, 0, 0]
    with pytest.raises(CommandError, match=r"nowhere\.db cannot be used"):
        export_csv("loads", store.with_name("nowhere.db"), None)
