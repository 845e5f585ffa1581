"""Loads of a season taken together."""

import pytest

from seasons import season
from tumpline.reports.groups import by_grower, by_setting, by_variety, by_week, grouped, verdict
from tumpline.reports.words import Clock

ROWS = season()["loads"]


def test_a_growers_yield_is_juice_over_fruit_of_all_its_loads() -> None:
    """Ten loads of 2 t, half of them at 704 and half at 696 L/t: 14000 L from 20 t."""
    (group,) = [group for group in grouped(ROWS, by_grower) if group.name == "Coppice Farm"]
    assert (group.loads, group.fruit, group.juice) == (10, 20.0, pytest.approx(14000.0))
    assert group.value == pytest.approx(700.0)


def test_a_difference_that_is_there_is_told() -> None:
    """Withy Bottom gives 55 L/t less than the mean of the two others, with loads that scatter by 4."""
    groups = {group.name: group for group in grouped(ROWS, by_grower)}
    low = groups["Withy Bottom"]
    assert low.apart is not None and low.apart.value == pytest.approx(-55.0)
    assert verdict(low) == "less"
    assert verdict(groups["Coppice Farm"]) == "more"


def test_growers_who_give_the_same_are_not_told_apart() -> None:
    """Names alone make no difference."""
    same = [{**row, "grower": f"grower {index % 2}"} for index, row in enumerate(ROWS)]
    assert {verdict(group) for group in grouped(same, by_grower)} == {"not told apart"}


def test_two_loads_are_too_few() -> None:
    """Nothing is said about growers who brought little."""
    assert {verdict(group) for group in grouped(season(2)["loads"], by_grower)} == {"too few loads to say"}


def test_a_mixed_load_counts_for_each_of_its_varieties() -> None:
    """A quarter of all 60 t is Bottom Pippin."""
    groups = {group.name: group for group in grouped(ROWS, by_variety)}
    assert groups["Bottom Pippin"].fruit == pytest.approx(15.0)
    assert groups["Long Acre Red"].fruit == pytest.approx(15.0)


def test_press_settings_and_weeks_are_names_people_use() -> None:
    """To half a bar, and by the calendar's weeks: 14 October 2026 is a Wednesday of week 42."""
    assert [group.name for group in grouped([{**ROWS[0], "pressure_bar": 4.6}], by_setting)] == ["4.5\u202fbar"]
    assert grouped([{**ROWS[0], "pressure_bar": None}], by_setting) == []
    assert [group.name for group in grouped(ROWS, by_week(Clock("Europe/London")))] == ["week 42", "week 43"]


def test_a_load_whose_yield_is_not_known_is_left_out() -> None:
    """It neither counts as nothing nor pulls the others down."""
    unknown = {**ROWS[0], "yield_l_per_t": None}
    assert grouped([unknown], by_grower) == []
