"""The live ten-minute yield."""

import pytest

from score_shifts import draw, heard
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import Known, Unknown
from tumpline_score.engine import Minute
from tumpline_score.recent import recents


def minute(at: float, told: Known) -> Minute:
    """A look at the live view."""
    return Minute(at, told, None)


def test_the_meters_own_bias_is_taken_out() -> None:
    """A mill's meter 1 % high and a juice meter 1 % low account for a yield 2 % low: nothing is left of it."""
    biased = Estimate(7.0e-4 * 0.99 / 1.01)
    (look,) = recents(heard(minutes=[minute(3000.0, biased)]))
    assert (look.when, look.error_pct, look.plain_pct) == ("steady", pytest.approx(0.0), pytest.approx(0.0))


def test_only_steady_pressing_counts() -> None:
    """A minute too near the first fruit is left out, a figure not stated is kept as such."""
    told = [minute(900.0, Estimate(7.0e-4)), minute(3000.0, Unknown("the line is slow"))]
    (look,) = recents(heard(minutes=told))
    assert look.error_pct is None


def test_after_a_change_of_load() -> None:
    """One look is taken twelve minutes after the juice of a new load came, gap and all."""
    loads = [{"load": "a", "juice_from": 390.0}, {"load": "b", "juice_from": 3190.0}]
    told = [minute(60.0 * n, Estimate(7.07e-4 * 0.99 / 1.01)) for n in range(60, 70)]
    found = recents(heard(minutes=told, gaps=[[3000.0, 3100.0]], loads=loads))
    assert [(look.when, look.error_pct) for look in found if look.when == "new load"] == [
        ("new load", pytest.approx(1.0))
    ]


def test_behind_a_sump_the_truth_is_taken_between_pump_starts() -> None:
    """The plain ratio of the clock's ten minutes stands beside a truth from pump start to pump start."""
    rows = [[t, t, t, 0.7 * t, 70.0 * (t // 100)] for t in range(10, 8000, 10)]
    columns = ["at", "milled_kg", "juice_fruit_kg", "juice_l", "metered_l"]
    found = recents(
        heard(
            of=draw("sump", "biased", sump=True),
            minutes=[minute(3060.0, Estimate(7.0e-4 * 0.99 / 1.01))],
            pump_starts=[100.0 * n for n in range(1, 79)],
            passed={"columns": columns, "rows": rows},
        )
    )
    assert [look.error_pct for look in found] == [pytest.approx(0.0)]
