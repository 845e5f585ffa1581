"""Plots drawn in millimetres."""

import re

import pytest

from tumpline.reports.drawing import (
    Box,
    Scale,
    drawing,
    nice_step,
    rounded_range,
    shortened,
    steps,
    text,
    time_axis,
    value_axis,
)
from tumpline.reports.words import Clock, seconds_of


@pytest.mark.parametrize(
    ("low", "high", "expected"),
    [(612.0, 704.0, (600.0, 720.0, 20.0)), (0.0, 4.3, (0.0, 6.0, 2.0)), (700.0, 700.0, (699.0, 701.0, 0.5))],
)
def test_an_axis_has_round_ends_around_its_values(low: float, high: float, expected: tuple[float, ...]) -> None:
    """People read 600, 620, 640; a single value still has room around it."""
    assert rounded_range(low, high, count=3 if high < 10 else 5) == pytest.approx(expected)


def test_steps_are_of_the_kind_people_count_in() -> None:
    """1, 2, 2.5 or 5 times a power of ten, and no more parts than asked for."""
    assert [nice_step(span, 4) for span in (1.0, 7.0, 9.0, 130.0)] == [0.25, 2.0, 2.5, 50.0]
    assert steps(0.0, 6.0, 2.0) == [0.0, 2.0, 4.0, 6.0]


def test_a_value_axis_names_its_unit_and_its_values() -> None:
    """No plot without a unit, and decimals only where they differ."""
    words = re.findall(r">([^<>]+)</text>", value_axis(Box(10, 5, 100, 40), Scale(0, 1, 45, 5), 0.5, "t/h").text)
    assert words == ["0.0", "0.5", "1.0", "t/h"]


def test_a_time_axis_is_marked_at_round_times_of_the_works() -> None:
    """Full hours by the clock on the wall, not by that of Greenwich."""
    start, end = seconds_of("2026-10-14T06:10:00Z"), seconds_of("2026-10-14T14:10:00Z")
    drawn = time_axis(Box(0, 0, 100, 10), Scale(start, end, 0, 100), Clock("Asia/Kolkata"))
    words = re.findall(r">([^<>]+)</text>", drawn.text)
    assert words == [f"{hour}:00" for hour in range(12, 20)]


def test_words_that_have_no_room_are_shortened_and_say_so() -> None:
    """A long name never runs over its neighbour."""
    assert shortened("Coppice Farm", 30.0) == "Coppice Farm"
    assert shortened("Coppice Farm", 12.0) == "Coppice…"
    assert shortened("Coppice Farm", 1.0) == ""


def test_a_drawing_is_told_to_those_who_hear_it() -> None:
    """Title and description travel with the lines, and a name in them is no markup."""
    made = drawing("d", 10.0, 5.0, text(1.0, 1.0, "<b>"), title="Yield", described="Lowest 1, highest 2.").text
    assert 'role="img" aria-labelledby="d-title"' in made
    assert '<title id="d-title">Yield</title><desc>Lowest 1, highest 2.</desc>' in made
    assert "&lt;b&gt;" in made
