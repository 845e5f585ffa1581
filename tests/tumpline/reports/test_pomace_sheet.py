"""The sheet that goes to the farm with the pomace."""

import msgspec
import pytest

from records import SUMMARY, TRAILER
from tumpline.pressing.records import Unknown
from tumpline.reports.pomace_sheet import pomace_document, pomace_sheet
from tumpline.reports.sheet import Site
from tumpline.wire.documents import summary_document

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London")
DOCUMENT = summary_document(SUMMARY)


def test_dry_mass_is_that_of_the_meter_until_there_is_a_ticket() -> None:
    """1200 kg at 24.5 % hold 294 kg of dry matter; with a ticket of 1300 kg they are 318.5 kg."""
    by_meter = pomace_document(DOCUMENT, "T2")
    assert by_meter is not None and by_meter["dry_mass_kg"]["value"] == pytest.approx(294.0)
    weighed = msgspec.structs.replace(SUMMARY, trailers=(msgspec.structs.replace(TRAILER, weighed=1300.0),))
    by_ticket = pomace_document(summary_document(weighed), "T2")
    assert by_ticket is not None and by_ticket["dry_mass_kg"]["value"] == pytest.approx(318.5)


def test_the_sheet_tells_whose_fruit_it_was() -> None:
    """One step back: load, grower, varieties and mass."""
    document = pomace_document(DOCUMENT, "T2")
    assert document is not None
    page = pomace_sheet(document, SITE)
    for expected in ("trailer T2", "14 October 2026", "L-7", "Coppice Farm", "Dabinett 60", "1\u202f200", "24.5"):
        assert expected in page


def test_cautions_defer_to_the_nutritionist_or_vet() -> None:
    """No ration is recommended; what is known to harm is named."""
    document = pomace_document(DOCUMENT, "T2")
    assert document is not None
    page = pomace_sheet(document, SITE)
    for expected in (
        "nutritionist or vet",
        "not fit as the only feed",
        "urea or biuret",
        "pregnant cattle",
        "178/2002",
    ):
        assert expected in page


def test_an_unweighed_unmetered_trailer_says_so() -> None:
    """Unknown is a reason, not nought."""
    bare = msgspec.structs.replace(TRAILER, pomace=Unknown("no pomace weigher is fitted"))
    document = pomace_document(summary_document(msgspec.structs.replace(SUMMARY, trailers=(bare,))), "T2")
    assert document is not None and document["dry_mass_kg"] is None
    assert "no pomace weigher is fitted" in pomace_sheet(document, SITE)


def test_a_trailer_of_another_shift_has_no_sheet_here() -> None:
    """None is made up."""
    assert pomace_document(DOCUMENT, "T9") is None
