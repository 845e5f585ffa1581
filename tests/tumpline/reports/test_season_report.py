"""The report of a season."""

import pytest

from paper import pages
from seasons import season
from tumpline.reports.season_report import season_report
from tumpline.reports.sheet import Site

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London")
PAGE = season_report(season(), SITE)


def test_it_tells_the_season_at_a_glance() -> None:
    """Days, shifts, loads, fruit, water and availability."""
    for expected in ("Season 2026", "14 October 2026 to 23 October 2026: 10 shifts, 30 loads", "60.0", "m³/t", "88"):
        assert expected in PAGE


def test_growers_and_varieties_stand_with_how_sure_they_differ() -> None:
    """Withy Bottom gives less than the others, by 55 L/t."""
    assert "Withy Bottom" in PAGE and "\u221255 (" in PAGE and ">less<" in PAGE
    assert "Bottom Pippin" in PAGE and "Varieties" in PAGE


def test_the_rate_is_held_against_the_yield_without_claiming_a_cause() -> None:
    """Loads at 3.8, 4.0 and 4.2 t/h gave 700, 690 and 640 L/t: 150 L/t less with one t/h more, and what that is not."""
    assert "One t/h more went with \u2212150 L/t" in PAGE
    assert "not what the rate alone does" in PAGE


def test_a_season_of_one_shift_is_told_too() -> None:
    """There is nothing to compare yet, and that is said."""
    page = season_report(season(1), SITE)
    assert "1 shift, 3 loads" in page and "too few loads" in page


def test_stops_and_hours_are_summed_up() -> None:
    """Ten stops of five minutes with the same reason."""
    assert "50 min 02 s, 10 stops" in PAGE and "Where the hours went" in PAGE


@pytest.mark.parametrize("shifts", [1, 90])
def test_it_prints_on_a_few_pages(shifts: int) -> None:
    """Even a long season is read, not filed."""
    assert pages(season_report(season(shifts), SITE)) <= 3
