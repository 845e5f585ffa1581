"""The report of a shift."""

import msgspec
import pytest

from crowded import crowded
from paper import pages
from records import SUMMARY
from tumpline.pressing.records import Summary
from tumpline.reports.sheet import Site
from tumpline.reports.shift_report import shift_report
from tumpline.wire.documents import summary_document

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London")


@pytest.mark.parametrize("font", ["", "'DejaVu Sans'"])
@pytest.mark.parametrize("summary", [SUMMARY, crowded()], ids=["quiet", "crowded"])
def test_it_prints_on_two_pages(summary: Summary, font: str) -> None:
    """A quiet shift and one with 25 loads, 30 stops and nine vats fill two sheets, in a narrow font and a wide one."""
    document = summary_document(summary)
    budget = {"source": "a source of doubt with a long name", "u_l_per_t": 1.0, "share_pct": 10.0, "common": True}
    document["yield_budget"] = [budget] * 9
    html = shift_report(document, [], SITE)
    if font:
        html = html.replace('"Source Sans 3", "Noto Sans", "Liberation Sans", Arial,', font + ",")
    assert pages(html) == 2


def test_it_tells_the_shift_at_a_glance() -> None:
    """Whose shift, when on the wall clock, and the figures with their intervals or the reason."""
    html = shift_report(summary_document(SUMMARY), [], SITE)
    for expected in (
        "Hollow Lane Cider Works",
        "Shift early, 14 October 2026",
        "08:00 to 16:00 BST, crew: M. Reed, N. Vale",
        "705 to 724",
        "the sugar of the juice is not measured",
        "5 min 00 s",
        "blocked mill",
        "Vat V1",
    ):
        assert expected in html


def test_gallons_stand_beside_litres_where_the_site_asks() -> None:
    """714.3 L/t are 160 imperial gallons per long ton."""
    imperial = Site(name="Hollow Lane Cider Works", timezone="Europe/London", imperial=True)
    assert "160 imperial gal/long ton" in shift_report(summary_document(SUMMARY), [], imperial)


def test_it_ends_with_the_standing_notice() -> None:
    """Whoever acts on the page has read what it cannot promise."""
    html = shift_report(summary_document(SUMMARY), [], SITE)
    assert html.rindex("isolate and lock it off") > html.rindex("Remarks")


def test_a_shift_of_which_little_is_known_still_has_its_report() -> None:
    """No loads, stops, vats, figures or availability: reasons instead of noughts."""
    bare = msgspec.structs.replace(SUMMARY, loads=(), stops=(), vats=(), availability=None, effectiveness=None)
    html = shift_report(summary_document(bare), [], SITE)
    assert "No load was named" in html and "no stop" in html and "no time of this shift is accounted for" in html
