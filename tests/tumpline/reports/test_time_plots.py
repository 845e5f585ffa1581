"""A shift drawn from its first minute to its last."""

import re

from records import SEVEN, SUMMARY
from tumpline.reports.time_plots import Trace, rates_plot, yield_plot
from tumpline.reports.words import Clock
from tumpline.wire.documents import summary_document

DOCUMENT = summary_document(SUMMARY)
CLOCK = Clock("Europe/London")


def trace(*, missing: range = range(0)) -> Trace:
    """Figures every five seconds through the shift; none in the minutes of `missing`."""
    figures = {
        "throughput_t_per_h": 4.0,
        "juice_l_per_min": 47.0,
        "yield_l_per_t": 710.0,
        "yield_low": 700.0,
        "yield_high": 720.0,
    }
    return [(SEVEN + 5.0 * i, figures) for i in range(5760) if i // 12 not in missing]


def words(drawn: str) -> list[str]:
    """What is written in a drawing."""
    return re.findall(r">([^<>]+)</t(?:ext|span)>", drawn)


def curves(drawn: str) -> list[str]:
    """The lines of the curve itself."""
    return re.findall(r'<path d="(M[^"]+)" fill="none" stroke="#2d5f3a" stroke-width="0.4" stroke-linejoin', drawn)


def test_the_yield_is_drawn_with_its_unit_its_legend_and_every_load() -> None:
    """The load's name, grower and own yield stand in its band."""
    said = words(yield_plot(DOCUMENT, trace(), CLOCK).text)
    for expected in ("L/t", "last ten minutes", "its 95 % interval", "stop", "L-7", "Coppice Farm", "714", "09:00"):
        assert expected in said


def test_a_curve_is_broken_where_nothing_was_known() -> None:
    """No line is drawn across minutes without figures."""
    assert len(curves(yield_plot(DOCUMENT, trace(), CLOCK).text)) == 1
    assert len(curves(yield_plot(DOCUMENT, trace(missing=range(100, 130)), CLOCK).text)) == 2


def test_a_shift_without_kept_figures_still_has_its_loads() -> None:
    """What is no longer kept leaves an empty curve, and the rates say that they are not known."""
    assert "714" in words(yield_plot(DOCUMENT, [], CLOCK).text)
    assert words(rates_plot(DOCUMENT, [], CLOCK).text).count("not known in this shift") == 2


def test_rates_have_names_and_units() -> None:
    """Fruit and juice each have their own scale from nought."""
    said = words(rates_plot(DOCUMENT, trace(), CLOCK).text)
    for expected in ("fruit into the mill", "t/h", "juice from the press", "L/min"):
        assert expected in said


def test_a_wild_reading_does_not_flatten_the_picture() -> None:
    """One glitch of ten times the yield leaves the axis where the readings are."""
    wild = [*trace()]
    wild[3000] = (wild[3000][0], {**wild[3000][1], "yield_l_per_t": 7000.0, "yield_high": 7100.0})
    assert words(yield_plot(DOCUMENT, wild, CLOCK).text) == words(yield_plot(DOCUMENT, trace(), CLOCK).text)
