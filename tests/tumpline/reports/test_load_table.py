"""Loads below each other."""

import re

import msgspec

from records import LOAD, SUMMARY, within
from tumpline.reports.load_table import OWN, load_table, loads_compared
from tumpline.wire.book_documents import load_document
from tumpline.wire.documents import summary_document

LOADS = [load_document(msgspec.structs.replace(LOAD, load=f"L-{i}")) for i in range(5)]


def cells(made: str) -> list[str]:
    """The words of all cells."""
    return re.findall(r"<td[^>]*>([^<]*)</td>", made)


def test_a_load_stands_with_its_fruit_its_juice_and_its_yield() -> None:
    """Grower, varieties, weighed and milled mass, juice, yield and interval in one row."""
    row = cells(load_table(LOADS[:1], 700.0, shown=5).text)
    for expected in ("L-0", "Coppice Farm", "4\u202f210", "4\u202f200", "3\u202f000", "714", "705 to 724", "not known"):
        assert expected in row


def test_loads_that_have_no_room_are_counted() -> None:
    """Nobody takes a shortened table for a whole one."""
    made = load_table(LOADS, 700.0, shown=3).text
    assert "2 more loads" in made
    assert "more load" not in load_table(LOADS, 700.0, shown=5).text


def test_a_shift_without_loads_says_so() -> None:
    """An empty table is a sentence."""
    assert "No load was named" in load_table([], None, shown=5).text


def test_the_difference_of_two_loads_is_sharper_than_their_intervals() -> None:
    """40 L/t apart, each with 3 L/t of its own: 1.96 √(3² + 3²) = 8.3, whatever the meters share."""
    loads = (LOAD, msgspec.structs.replace(LOAD, load="L-8", extraction=within(754.2857142857e-6, 30e-6)))
    document = summary_document(msgspec.structs.replace(SUMMARY, loads=loads))
    for load in document["loads"]:
        load[OWN] = 3.0
    assert "L-8 gave 40 L/t more than L-7 (95 % interval 32 to 48)" in loads_compared(document)


def test_nothing_is_compared_where_the_loads_own_doubt_is_not_told() -> None:
    """A difference without its interval is not stated."""
    assert loads_compared({"loads": [{**load, OWN: None} for load in LOADS]}) == ""
