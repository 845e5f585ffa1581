"""Shifts as a table for a spreadsheet."""

import csv
import io

import msgspec

from records import SUMMARY
from tumpline.pressing.records import Summary, Unknown
from tumpline.reports.table import loads_csv, shifts_csv
from tumpline.wire.documents import summary_document


def rows(*summaries: Summary) -> list[dict[str, str]]:
    """The table as a spreadsheet reads it."""
    return list(csv.DictReader(io.StringIO(shifts_csv(map(summary_document, summaries)))))


def test_every_shift_has_a_row_in_the_order_given() -> None:
    """Two shifts are two rows below one header."""
    late = msgspec.structs.replace(SUMMARY, shift="late")
    assert [(row["line"], row["shift"]) for row in rows(SUMMARY, late)] == [("line-1", "early"), ("line-1", "late")]


def test_a_figure_has_its_interval_beside_it() -> None:
    """Value, low and high are three columns whose names carry the unit."""
    (row,) = rows(SUMMARY)
    low, value, high = (float(row[f"fruit_kg_{part}"]) for part in ("low", "value", "high"))
    assert (low, value, high) == (4143.0, 4200.0, 4257.0)
    assert float(row["juice_l_value"]) == 3000.0
    assert float(row["pressing_s"]) == 25200.0


def test_what_is_not_known_is_an_empty_cell() -> None:
    """No figure, number or mean that is unknown can be taken for 0."""
    unknown = msgspec.structs.replace(SUMMARY, pomace=Unknown("it was not weighed"), mean_stop=None, availability=None)
    (row,) = rows(unknown)
    cells = ("pomace_kg_value", "pomace_kg_low", "pomace_kg_high", "potential_alcohol_pct_value", "mean_stop_s")
    assert [row[cell] for cell in (*cells, "availability")] == [""] * 6


def test_a_name_with_a_comma_stays_in_its_cell() -> None:
    """What people call their shifts cannot move the columns."""
    (row,) = rows(msgspec.structs.replace(SUMMARY, shift='wet, "cold"'))
    assert (row["shift"], row["fruit_kg_value"]) == ('wet, "cold"', "4200.0")


def test_no_shift_is_a_header_alone() -> None:
    """An empty table still says what its columns would be."""
    assert shifts_csv([]) == "line,shift,start,end\n"


def test_loads_have_a_row_each() -> None:
    """Figures as three columns, varieties as words; no load is a header alone."""
    load = {"load": "L-7", "grower": "Long Acre", "varieties": [{"name": "Top Late", "share": 1.0}], "juice_l": None}
    figure = {"value": 3000.0, "low": 2980.0, "high": 3020.0}
    first, second = csv.DictReader(io.StringIO(loads_csv([{**load, "juice_l": figure}, load])))
    assert (first["varieties"], first["juice_l_low"]) == ("Top Late", "2980.0")
    assert second["juice_l_value"] == ""
    assert loads_csv([]) == "load,grower\n"
