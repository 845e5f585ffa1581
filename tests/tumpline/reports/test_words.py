"""How documents say things."""

import pytest

from tumpline.reports.words import Clock, duration, figure, interval, number, percent, reason, varieties, with_interval

FIGURE = {"value": 28527.1, "low": 28120.6, "high": 28933.6}


def test_times_are_those_of_the_works_across_the_october_change() -> None:
    """A night shift that ends after the clocks went back ends on the next day, in winter time."""
    clock = Clock("Europe/London")
    assert clock.span("2026-10-14T07:00:00Z", "2026-10-14T15:00:00Z") == "08:00 to 16:00 BST"
    assert clock.span("2026-10-24T21:00:00Z", "2026-10-25T05:00:00Z") == "22:00 to 25 Oct 05:00 GMT"
    assert clock.day("2026-10-14T23:30:00Z") == "15 October 2026"


def test_a_figure_stands_with_its_interval() -> None:
    """Thousands are set apart, and no figure goes without what is in doubt about it."""
    document = {"fruit_kg": FIGURE}
    assert with_interval(document, "fruit_kg") == "28\u202f527 (28\u202f121 to 28\u202f934)"
    assert figure({"share": 12.34}, "share", 1) == "12.3"


def test_what_is_not_known_is_said_with_its_reason() -> None:
    """An unknown figure is a word, never a nought, and brings its reason."""
    document = {"fruit_kg": None, "fruit_kg_unknown": "no mill meter is fitted"}
    assert (figure(document, "fruit_kg"), interval(document, "fruit_kg")) == ("not known", "")
    assert reason(document, "fruit_kg") == "no mill meter is fitted"
    assert percent(None) == "not known"


@pytest.mark.parametrize(
    ("value", "decimals", "words"), [(-0.04, 1, "0.0"), (-1234.5, 0, "\u22121\u202f234"), (0.5, 2, "0.50")]
)
def test_a_number_is_written_for_readers(value: float, decimals: int, words: str) -> None:
    """A real minus, and none before nought."""
    assert number(value, decimals) == words


@pytest.mark.parametrize(("seconds", "words"), [(40.4, "40 s"), (277.0, "4 min 37 s"), (6120.0, "1 h 42 min")])
def test_a_duration_is_written_in_two_units_at_most(seconds: float, words: str) -> None:
    """Seconds matter in a minute, not in an hour."""
    assert duration(seconds) == words


def test_varieties_stand_with_their_shares() -> None:
    """A load of one variety needs no share."""
    two = [{"name": "Withy Jersey", "share": 0.7}, {"name": "Bottom Pippin", "share": 0.3}]
    assert varieties({"varieties": two}) == "Withy Jersey 70\u202f%, Bottom Pippin 30\u202f%"
    assert varieties({"varieties": two[:1]}) == "Withy Jersey"
    assert varieties({"varieties": []}) == ""
