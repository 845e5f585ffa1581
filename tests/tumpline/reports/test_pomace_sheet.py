"""The sheet that goes to the farm with the pomace."""

import msgspec
import pytest

from records import SUMMARY, TRAILER, within
from tumpline.pressing.records import Unknown
from tumpline.reports.pomace_sheet import pomace_document, pomace_sheet
from tumpline.reports.sheet import Site
from tumpline.reports.words import Document
from tumpline.wire.documents import summary_document
from tumpline.wire.words import Refused

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London")
DOCUMENT = summary_document(SUMMARY)


def made(*summaries: Document) -> Document:
    """The document of trailer T2."""
    document = pomace_document(summaries, "T2")
    assert not isinstance(document, Refused)
    return document


def test_dry_mass_is_that_of_the_meter_until_there_is_a_ticket() -> None:
    """1200 kg at 24.5 % hold 294 kg of dry matter; with a ticket of 1300 kg they are 318.5 kg."""
    by_meter = made(DOCUMENT)
    assert by_meter["dry_mass_kg"]["value"] == pytest.approx(294.0)
    weighed = msgspec.structs.replace(SUMMARY, trailers=(msgspec.structs.replace(TRAILER, weighed=1300.0),))
    by_ticket = made(summary_document(weighed))
    assert by_ticket["dry_mass_kg"]["value"] == pytest.approx(318.5)


def test_the_sheet_tells_whose_fruit_it_was() -> None:
    """One step back: load, grower, varieties and mass."""
    document = made(DOCUMENT)
    page = pomace_sheet(document, SITE)
    for expected in ("trailer T2", "14 October 2026", "L-7", "Coppice Farm", "Top Late 60", "1\u202f200", "24.5"):
        assert expected in page


def test_cautions_defer_to_the_nutritionist_or_vet() -> None:
    """No ration is recommended; what is known to harm is named."""
    document = made(DOCUMENT)
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
    document = made(summary_document(msgspec.structs.replace(SUMMARY, trailers=(bare,))))
    assert document["dry_mass_kg"] is None
    assert "no pomace weigher is fitted" in pomace_sheet(document, SITE)


def test_a_trailer_that_was_filled_in_two_shifts_is_one_trip() -> None:
    """1200 kg at 24.5 % and 600 kg at 26 % are 1800 kg at 25 %: 450 kg of dry matter."""
    later = msgspec.structs.replace(
        SUMMARY,
        shift="late",
        start=SUMMARY.end,
        end=SUMMARY.end + 28800.0,
        trailers=(msgspec.structs.replace(TRAILER, pomace=within(600.0, 20.0), dry_matter=within(0.26, 0.02)),),
    )
    document = made(DOCUMENT, summary_document(later))
    assert [shift["shift"] for shift in document["shifts"]] == ["early", "late"]
    assert document["pomace_kg"]["value"] == 1800.0
    assert document["dry_matter_pct"]["value"] == pytest.approx(25.0)
    assert document["dry_mass_kg"]["value"] == pytest.approx(450.0)


def test_a_trailer_nobody_filled_has_no_sheet() -> None:
    """None is made up; the sentence says which there are."""
    refused = pomace_document([DOCUMENT], "T9")
    assert isinstance(refused, Refused) and "T2" in refused.reason
