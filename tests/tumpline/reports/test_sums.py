"""Figures added up."""

import pytest

from seasons import season
from tumpline.reports.sums import overall_yield, product, total, totals

FRUIT = [{"fruit_kg": {"value": v, "low": v - 10, "high": v + 10}} for v in (2000.0, 4000.0)]


def test_intervals_of_a_sum_add_up_as_if_the_meters_erred_alike() -> None:
    """2000 ± 10 and 4000 ± 10 are 6000 ± 20; an unknown part is left out."""
    assert total([*FRUIT, {"fruit_kg": None}], "fruit_kg") == {"value": 6000.0, "low": 5980.0, "high": 6020.0}
    assert total([{"fruit_kg": None}], "fruit_kg") is None


def test_a_yield_of_several_is_weighted_by_their_fruit() -> None:
    """2 t at 650 and 4 t at 710 L/t make 4140 L from 6 t: 690 L/t."""
    yields = ({"value": 650.0, "low": 640.0, "high": 660.0}, {"value": 710.0, "low": 700.0, "high": 720.0})
    parts = [{**fruit, "yield_l_per_t": found} for fruit, found in zip(FRUIT, yields, strict=True)]
    assert overall_yield(parts) == pytest.approx({"value": 690.0, "low": 680.0, "high": 700.0})
    assert overall_yield([]) is None


def test_dry_mass_is_mass_times_dry_matter() -> None:
    """1200 kg ± 40 at 25 % ± 2.5: 300 kg, ± 300 √(0.0333² + 0.1²) = 31.6 kg."""
    mass, dry = {"value": 1200.0, "low": 1160.0, "high": 1240.0}, {"value": 25.0, "low": 22.5, "high": 27.5}
    found = product(mass, dry, 0.01)
    assert found == pytest.approx({"value": 300.0, "low": 268.4, "high": 331.6}, abs=0.1)
    assert product(None, dry) is None


def test_shifts_add_up() -> None:
    """630 m³ of water past 6 t in each shift are 105 m³/t; availability is weighted by the shifts' lengths."""
    whole = totals(season()["summaries"])
    assert whole["water_m3_per_t"] == pytest.approx(105.0)
    assert whole["availability"] == pytest.approx(0.875)
    assert totals([])["availability"] is None
