"""Values with their intervals."""

import re

import pytest

from tumpline.reports.interval_plots import common_scale, interval_mark

ONE, OTHER = {"value": 700.0, "low": 690.0, "high": 710.0}, {"value": 650.0, "low": 640.0, "high": 660.0}


def middle(drawn: object) -> float:
    """Where the point is."""
    found = re.search(r'<circle cx="([\d.]+)"', str(drawn))
    assert found is not None
    return float(found[1])


def test_intervals_share_one_axis() -> None:
    """The larger value stands further to the right, by the same scale."""
    scale = common_scale([ONE, None, OTHER], 30.0)
    assert scale is not None
    assert (
        middle(interval_mark("a", OTHER, scale, 675.0)) < scale(675.0) < middle(interval_mark("b", ONE, scale, 675.0))
    )


def test_the_interval_is_told_in_words_too() -> None:
    """Whoever hears the page hears value and ends."""
    drawn = interval_mark("a", ONE, common_scale([ONE], 30.0), None)
    assert "700, between 690 and 710" in str(drawn)


def test_a_loads_own_doubt_is_the_thick_part() -> None:
    """Of ±10 L/t, ±3.9 are the load's own (2 L/t times 1.96); without it there is one bar."""
    scale = common_scale([ONE], 30.0)
    assert scale is not None
    drawn = str(interval_mark("a", ONE, scale, None, own=2.0))
    thick = r'd="M([\d.]+) 1.6L([\d.]+) 1.6" fill="none" stroke="#2d5f3a" stroke-width="1.8"'
    ((left, right),) = re.findall(thick, drawn)
    assert float(right) - float(left) == pytest.approx(scale(703.92) - scale(696.08), abs=0.02)
    assert 'stroke-width="1.8"' not in str(interval_mark("a", ONE, scale, None))


def test_what_is_not_known_is_no_point() -> None:
    """An unknown yield leaves its cell empty, and no known yield makes no axis."""
    assert interval_mark("a", None, common_scale([ONE], 30.0), None) == ""
    assert common_scale([None], 30.0) is None
