"""A table becomes entries of the book, or a word about every row that cannot."""

import asyncio
from pathlib import Path

import pytest

from settings_files import good
from tumpline.app.errors import CommandError
from tumpline.app.importing import Taken, import_document, import_table, told
from tumpline.runtime.clock import Clock
from tumpline.wire.sheets import Rejected

HEAD = "load,grower,net_kg,varieties\n"


def table(folder: Path, text: str) -> Path:
    """The table as a file."""
    path = folder / "loads.csv"
    path.write_bytes(text.encode())
    return path


def imported(folder: Path, text: str, *, line: str | None = None) -> Taken:
    """What becomes of a table where nothing needs to be sent."""
    work = import_table(good(folder), "loads", table(folder, text), line=line, by="office", partly=False, clock=Clock())
    return asyncio.run(work)


def test_one_bad_row_keeps_all_of_them_back_and_every_bad_one_is_named(tmp_path: Path) -> None:
    """By line, column, and what is accepted; nobody has to look for the half that went in."""
    rows = "L-1,Long Acre,4000,Acre Russet\nL-2,Long Acre,-1,Acre Russet\nL-3,Long Acre\n"
    result = imported(tmp_path, HEAD + rows)
    first, second, last = told(Path("loads.csv"), result).splitlines()
    assert first.startswith('loads.csv, line 3, column net_kg: "net_kg" is -1; a mass above 0')
    assert second == "loads.csv, line 4: it has 2 cells; 4 is accepted, as in the first row."
    assert last == "None of the 3 rows was sent; --partly takes the good ones."
    document = import_document(Path("loads.csv"), "loads", result)
    assert [(one["line"], one["column"], one["value"]) for one in document["rejected"]] == [
        (3, "net_kg", "-1"),
        (4, None, None),
    ]
    assert (document["rows"], document["taken"]) == (3, 0)


def test_a_load_of_tomorrow_is_rejected(tmp_path: Path) -> None:
    """Its time is named."""
    result = imported(tmp_path, f"{HEAD.strip()},at\nL-1,Long Acre,4000,Acre Russet,2999-01-01T00:00:00Z\n")
    ((number, rejected),) = result.rejected
    assert (number, rejected.column, result.rows) == (2, "at", 1)
    assert "is in the future" in rejected.reason


def test_what_the_service_did_is_told() -> None:
    """How many rows it took, and of how many it said nothing."""
    result = Taken(rows=4, sent=True, taken=2, unanswered=1, rejected=[(3, Rejected(None, None, "There is no room"))])
    assert told(Path("vats.csv"), result).splitlines() == [
        "vats.csv, line 3: There is no room.",
        "In the book now: 2 of 4 rows.",
        "Of 1 the service said nothing: it had them already, or has not come to them yet.",
    ]


def test_a_line_that_is_not_there_is_refused(tmp_path: Path) -> None:
    """The sentence says which there are."""
    with pytest.raises(CommandError, match=r"There is no line line-9; --line with one of line-1 is accepted\."):
        imported(tmp_path, HEAD, line="line-9")
