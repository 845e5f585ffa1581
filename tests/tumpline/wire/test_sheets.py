"""Tables of loads and vats: what a row means, and what is wrong with one."""

import pytest

from tumpline.pressing.entries import KINDS, Load, Variety
from tumpline.wire.sheets import Rejected, body_of, cells_of, columns, header_problem, read_columns

GOOD = {"load": "L-7", "grower": "Coppice Farm", "net_kg": "4210", "varieties": "Coppice Red", "by": "office"}


def rejected(**cells: str) -> Rejected:
    """Why a row with these cells is not taken."""
    found = body_of("loads", {**GOOD, **cells}, decimal_comma=False)
    assert isinstance(found, Rejected)
    return found


def test_a_row_is_the_entry_that_somebody_could_have_typed() -> None:
    """Numbers are numbers, an empty cell tells nothing, and shares may be in per cent or not."""
    cells = {**GOOD, "varieties": "Coppice Red 70 % / Pedlar's Bitter 0.3", "brix": "12.1", "harvested": ""}
    assert body_of("loads", cells, decimal_comma=False) == {
        "load": "L-7",
        "grower": "Coppice Farm",
        "net_kg": 4210.0,
        "varieties": [{"name": "Coppice Red", "share": 0.7}, {"name": "Pedlar's Bitter", "share": 0.3}],
        "by": "office",
        "brix": 12.1,
    }
    vat = body_of("vats", {"vat": "V1", "capacity_l": "8000,5", "by": "office"}, decimal_comma=True)
    assert vat == {"vat": "V1", "capacity_l": 8000.5, "by": "office"}


def test_an_entry_written_into_cells_is_read_as_the_same_entry() -> None:
    """What is exported can be imported."""
    load = Load("L-7", "Coppice Farm", 4210.25, (Variety("Coppice Red", 0.7), Variety("Pedlar's Bitter", 0.3)), 12.1)
    body = body_of("loads", {**cells_of(load), "by": "office"}, decimal_comma=False)
    assert isinstance(body, dict)
    assert body == {
        name: value if name != "varieties" else [{"name": v.name, "share": v.share} for v in load.varieties]
        for name, value in {"by": "office", **{n: getattr(load, n) for n in load.__struct_fields__}}.items()
        if value is not None
    }


@pytest.mark.parametrize(
    ("cells", "column", "words"),
    [
        ({"net_kg": "4x"}, "net_kg", 'it is "4x"; a number such as 4210.5 is accepted'),
        ({"net_kg": "4210,5"}, "net_kg", "a number such as"),
        ({"net_kg": "-5"}, "net_kg", "a mass above 0 and up to 1000 t is accepted"),
        ({"grower": ""}, "grower", "it lacks grower"),
        ({"varieties": "Coppice Red 60 % / Acre Russet 30 %"}, "varieties", "add up to 0.9"),
        ({"varieties": "Coppice Red 60 % / Acre Russet"}, "varieties", '"Acre Russet" says no share'),
        ({"at": "yesterday"}, "at", "a time such as"),
        ({"by": ""}, "by", "--by"),
    ],
)
def test_what_is_wrong_with_a_row_is_said_by_column(cells: dict[str, str], column: str, words: str) -> None:
    """With the value that stands there, and what is accepted."""
    found = rejected(**cells)
    assert (found.column, found.value) == (column, next(iter(cells.values())))
    assert words in found.reason


@pytest.mark.parametrize(
    ("header", "words"),
    [
        (["load", "growr", "net_kg", "varieties"], 'the column "growr" is not known (did you mean "grower"?)'),
        (["load", "grower", "net_kg"], "does not name varieties"),
        (["load", "load", "grower", "net_kg", "varieties"], "is there 2 times"),
    ],
)
def test_a_table_s_first_row_names_its_columns(header: list[str], words: str) -> None:
    """What cannot be a table of loads is said before any row is read."""
    assert words in str(header_problem("loads", header))
    assert header_problem("loads", columns("loads")) is None


def test_what_the_program_found_out_is_not_read_back() -> None:
    """Its own tables have `line` after the columns that people fill in."""
    assert read_columns(["load", "by", "line", "juice_l_value"]) == ["load", "by"]
    assert read_columns(["load", "by"]) == ["load", "by"]
    assert all("line" not in entry.__struct_fields__ for entry in KINDS.values())
