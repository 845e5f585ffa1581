"""Water and air."""

import pytest

from simulated import run


def test_the_line_starts_with_air_then_water_then_fruit() -> None:
    """Air is up before the water runs, the water runs before any fruit is milled."""
    made = run(hours=1.0, signals="all", tidy=True)
    air = next(at for at, value in made.readings["press/pressure"] if value > 3.5)
    water = next(at for at, value in made.readings["flume/flow"] if value > 0.0)
    fruit = next(at for at, value in made.readings["mill/throughput"] if value > 0.0)
    assert 0.0 < air < water < fruit


def test_pressure_and_water_as_on_a_real_line() -> None:
    """3 to 7 bar on the belts, 5 to 10 m³ of water past each tonne, 0.2 to 1 m³ of it fresh: common practice."""
    made = run(hours=1.0, signals="all", tidy=True)
    tonnes = made.truth["fruit_kg"] / 1000.0
    fresh = sum(value for _, value in made.readings["water/make-up"]) / 60.0
    assert 3.0 < made.mean("press/pressure", 1200.0, 2400.0) < 7.0
    assert 5_000.0 < made.truth["flume_water_l"] / tonnes < 10_000.0
    assert 200.0 < fresh / tonnes < 1_000.0


def test_the_truth_counts_the_flume_water() -> None:
    """The flume meter's readings add up to it, but for the meter's bias."""
    made = run(hours=1.0, tidy=True)
    metered = sum(value for _, value in made.readings["flume/flow"])
    bias = made.truth["meter_biases"]["flume/flow"]["of_reading"]
    assert metered / made.truth["flume_water_l"] - 1.0 == pytest.approx(bias, abs=1e-3)
