"""A season drawn."""

import re

from tumpline.pressing.charts import ControlLimits
from tumpline.reports.season_plots import Dot, control_chart, hours_plot, rate_plot


def words(drawn: str) -> list[str]:
    """What is written in a drawing."""
    return re.findall(r">([^<>]+)</text>", drawn)


def dots(*values: float) -> list[Dot]:
    """Shifts of these yields, two a week."""
    return [
        Dot({"value": value, "low": value - 10.0, "high": value + 10.0}, f"week {40 + index // 2}")
        for index, value in enumerate(values)
    ]


def test_a_shift_outside_the_limits_is_ringed() -> None:
    """One of five is; without limits none is."""
    values = (690.0, 700.0, 705.0, 540.0, 695.0)
    chart = control_chart(dots(*values), ControlLimits(600.0, 780.0), 666.0, {"week 40": 695.0})
    assert chart.text.count('r="1.8"') == 1
    assert control_chart(dots(*values), None, 666.0, {}).text.count('r="1.8"') == 0


def test_the_chart_names_its_limits_weeks_and_unit() -> None:
    """Whoever reads it needs nothing beside it."""
    said = words(control_chart(dots(690.0, 700.0, 705.0), ControlLimits(600.0, 780.0), 698.0, {"week 40": 695.0}).text)
    for expected in ("600", "780", "mean 698", "week 40", "week 41", "L/t", "shift, with its 95 % interval"):
        assert expected in said


def test_every_load_is_a_ring_over_its_rate() -> None:
    """As many rings as loads, axes with units, and a line only where one was found."""
    points = [(3.8, 700.0), (4.0, 690.0), (4.3, 680.0)]
    with_line, without = rate_plot(points, (890.0, -50.0)).text, rate_plot(points, None).text
    assert with_line.count("<circle") == without.count("<circle") == 3
    assert {"L/t", "throughput, t/h"} <= set(words(without))
    assert with_line.count("<path") == without.count("<path") + 1


def test_hours_are_drawn_by_week_and_condition() -> None:
    """What took no time is not drawn; every condition has its sign in the legend."""
    time = {"pressing_s": 25200.0, "slow_s": 0.0, "blocked_s": 3600.0}
    drawn = hours_plot([("week 42", time)]).text
    assert {"week 42", "pressing", "blocked", "not known", "hours"} <= set(words(drawn))
    assert drawn.count('stroke="#1a1a1a" stroke-width="0.1"') == 7 + 2
