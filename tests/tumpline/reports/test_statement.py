"""What a grower is told."""

import pytest

from seasons import season
from tumpline.reports.sheet import Site
from tumpline.reports.statement import statement, statement_document

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London")
CORRECTION = {
    "at": "2026-11-03T10:00:00Z",
    "by": "press lead",
    "entry": "load-1",
    "kind": "load",
    "load": "03-C",
    "was": {"net_kg": 1910},
    "is": {"net_kg": 2010},
}


def test_loads_are_added_up() -> None:
    """Ten loads weighed in at 2010 kg are 20100 kg; 2000 kg milled each, 1408 or 1392 L: 14000 L, 700 L/t."""
    document = statement_document(season(), "Coppice Farm")
    assert document["net_kg"] == 20100.0
    assert document["fruit_kg"]["value"] == 20000.0
    assert document["juice_l"]["value"] == pytest.approx(14000.0)
    assert document["yield_l_per_t"]["value"] == pytest.approx(700.0)
    assert [load["load"] for load in document["loads"]] == [f"{number:02}-C" for number in range(10)]


def test_the_sheet_tells_every_load_and_the_sum() -> None:
    """Day, load, masses, juice, yield and vats; then what all were together, and how they compare."""
    page = statement(statement_document(season(), "Coppice Farm"), SITE)
    for expected in ("Statement for Coppice Farm", "14 Oct", "09-C", "1\u202f392", "20\u202f100", "14\u202f000"):
        assert expected in page
    assert "These loads together gave 35 L/t more than all other loads of the season" in page


def test_too_few_loads_are_not_compared() -> None:
    """Two loads are no ground for praise."""
    page = statement(statement_document(season(2), "Coppice Farm"), SITE)
    assert "too few loads to hold these against those of others" in page


def test_a_correction_shows_both_versions_and_who() -> None:
    """It stands in the statement of whose load it was, and in no other."""
    corrected = season()
    corrected["summaries"][3]["corrections"] = [CORRECTION]
    sentence = "Corrected by press lead on 3 November 2026: net_kg 2010, was 1910."
    assert sentence in statement(statement_document(corrected, "Coppice Farm"), SITE)
    assert sentence not in statement(statement_document(corrected, "Long Acre"), SITE)


def test_a_grower_who_brought_nothing_has_an_empty_statement() -> None:
    """Unknown, not nought."""
    document = statement_document(season(), "Nobody")
    assert (document["loads"], document["net_kg"], document["yield_l_per_t"]) == ([], None, None)
