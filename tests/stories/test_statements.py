"""A correction to last week's load reaches the statements that rest on it."""

import msgspec

from press_stories import params
from records import CORRECTION, SEVEN, SUMMARY
from tumpline.pressing.book import Book
from tumpline.pressing.entries import Load, Variety
from tumpline.pressing.records import CorrectionRecord
from tumpline.pressing.told import Told
from tumpline.reports.sheet import Site
from tumpline.reports.statement import statement, statement_document
from tumpline.wire.documents import summary_document
from tumpline.wire.figures import Document
from tumpline.wire.season import load_rows, season_document

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London")
FIRST = msgspec.structs.replace(SUMMARY, corrections=())
WRONG = Load("L-7", "Coppice Farm", 4120.0, (Variety("Top Late", 0.6), Variety("Acre Russet", 0.4)))


def season(right: Load | None) -> Document:
    """The season as it is told: with the load as it was first written, or put right a week later."""
    told = Told()
    told.keep(FIRST)
    summaries = [FIRST]
    if right is not None:
        names = [name for name in ("grower", "net_kg") if getattr(right, name) != getattr(WRONG, name)]
        before, after = ({name: getattr(load, name) for name in names} for load in (WRONG, right))
        correction = CorrectionRecord(CORRECTION.entry, "load", "L-7", SEVEN + 7 * 86400.0, "N. Vale", before, after)
        summaries = told.correct(correction, SEVEN, WRONG, right, book=Book(), params=params())
    documents = [summary_document(summary) for summary in summaries]
    return season_document(2026, documents, [row for document in documents for row in load_rows(document, {})])


def page(grower: str, right: Load | None = None) -> str:
    """The grower's statement."""
    return statement(statement_document(season(right), grower), SITE)


def test_a_mass_put_right_is_the_one_that_counts_and_both_are_told() -> None:
    """4300 kg instead of 4120, by whom and when."""
    sheet = page("Coppice Farm", Load("L-7", "Coppice Farm", 4300.0, WRONG.varieties))
    assert "4\u202f300" in sheet
    assert "Corrected by N. Vale on 21 October 2026: net_kg 4300, was 4120." in sheet
    assert "Corrected" not in page("Coppice Farm")


def test_a_load_given_to_its_true_grower_leaves_the_other_s_statement_with_a_word() -> None:
    """It stands in one statement; both say that it was put right."""
    right = Load("L-7", "Long Acre", 4120.0, WRONG.varieties)
    theirs, others = page("Long Acre", right), page("Coppice Farm", right)
    assert "1 load pressed" in theirs and "0 loads pressed" in others
    for sheet in (theirs, others):
        assert "Corrected by N. Vale on 21 October 2026: grower Long Acre, was Coppice Farm." in sheet
