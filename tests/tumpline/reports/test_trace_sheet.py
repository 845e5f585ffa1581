"""One step back and one step forward, on paper."""

import msgspec

from records import MOVE, SUMMARY, TRAILER
from tumpline.reports.sheet import Site
from tumpline.reports.trace_sheet import trace_sheet
from tumpline.wire.documents import summary_document
from tumpline.wire.figures import Document
from tumpline.wire.traces import trace_load, trace_trailer, trace_vat
from tumpline.wire.words import Refused

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London")
DOCUMENT = summary_document(
    msgspec.structs.replace(
        SUMMARY,
        moves=(msgspec.structs.replace(MOVE, to_vat=None, taken_by="the bottling hall"),),
        trailers=(msgspec.structs.replace(TRAILER, weighed=1210.0, taken_by="Long Acre"),),
    )
)


def page(trace: Document | Refused) -> str:
    """The sheet of a trace."""
    assert not isinstance(trace, Refused)
    return trace_sheet(trace, SITE)


def test_a_vat_says_whose_fruit_it_holds_and_who_took_of_it() -> None:
    """Load, grower, varieties and litres; the move out of the works, when and to whom."""
    sheet = page(trace_vat([DOCUMENT], "V1"))
    for expected in (
        "Traceability: vat V1",
        "Regulation (EC) 178/2002",
        "L-7",
        "Coppice Farm",
        "Top Late",
        "2\u202f900",
    ):
        assert expected in sheet
    for expected in ("out of the works", "the bottling hall", "14 October 2026 10:00"):
        assert expected in sheet


def test_a_trailer_says_whose_pomace_it_carried_and_where_to() -> None:
    """Its trips with their weights and takers."""
    sheet = page(trace_trailer([DOCUMENT], "T2"))
    for expected in (
        "Traceability: trailer T2",
        "1\u202f200 (1\u202f162 to 1\u202f238)",
        "1\u202f210",
        "taken by Long Acre",
    ):
        assert expected in sheet


def test_a_load_says_where_it_went() -> None:
    """The vats and trailers its juice and pomace went to."""
    sheet = page(trace_load([DOCUMENT], "L-7"))
    for expected in ("Traceability: load L-7", "V1", "2\u202f900 L on 14 October 2026", "T2", "Long Acre"):
        assert expected in sheet


def test_what_nobody_took_is_said() -> None:
    """An empty step forward is a sentence, not a gap."""
    quiet = summary_document(msgspec.structs.replace(SUMMARY, moves=()))
    sheet = page(trace_vat([quiet], "V1"))
    assert "nobody is named who took any" in sheet and "No juice of it was moved or taken" in sheet


def test_only_the_last_trips_stand_on_the_sheet() -> None:
    """Fifteen trips are twelve and a word about the others."""
    shifts = [
        {
            **DOCUMENT,
            "shift": f"{number:02}",
            "start": f"2026-10-{number + 1:02}T07:00:00Z",
            "end": f"2026-10-{number + 1:02}T15:00:00Z",
        }
        for number in range(15)
    ]
    assert "3 earlier trips" in page(trace_trailer(shifts, "T2"))
