"""The line as a whole: what one signal has to do with another."""

import pytest

from simulated import run


def test_juice_follows_fruit() -> None:
    """Juice begins after the fruit and ends after it; in between there is about as much as the yield says."""
    made = run(hours=1.0, tidy=True)
    fruit = [at for at, value in made.readings["mill/throughput"] if value > 0.0]
    juice = [at for at, value in made.readings["juice/flow"] if value > 0.0]
    assert 10.0 < juice[0] - fruit[0] < 90.0
    assert juice[-1] - fruit[-1] > 60.0


def test_sugar_and_warmth_are_the_loads() -> None:
    """The refractometer and the thermometer show the load that is being pressed, and change with it."""
    made = run(seed=1, signals="juice/brix,juice/temperature", tidy=True)
    start, end = made.truth["gaps"][0]
    before, after = (start - 600.0, start), (end + 600.0, end + 1200.0)
    bias = 1.0 + made.truth["meter_biases"]["juice/brix"]["of_reading"]
    for load, when in zip(made.entries("load"), (before, after), strict=True):
        assert made.mean("juice/brix", *when) / bias == pytest.approx(load["brix"], abs=0.6)
    assert made.mean("juice/temperature", *before) != pytest.approx(made.mean("juice/temperature", *after), abs=0.2)


def test_pomace_and_trailer_agree() -> None:
    """What the pomace weigher saw is what the trailer gained, within both meters' limits."""
    made = run(hours=1.0, signals="all", tidy=True)
    weighed = sum(value for _, value in made.readings["pomace/flow"]) / 3600.0
    assert weighed == pytest.approx(made.truth["pomace_kg"], rel=0.031)
    end = made.truth["end"]
    on_trailer = made.mean("pomace/trailer", end - 60.0, end)
    assert on_trailer == pytest.approx(made.truth["pomace_kg"], abs=30.0)


def test_no_two_lines_are_alike() -> None:
    """The way from mill to juice differs from line to line by many seconds."""
    delays = [run(seed=seed, hours=0.5).truth["mill_to_juice"]["mean_s"] for seed in range(1, 9)]
    assert max(delays) - min(delays) > 10.0


def test_the_line_scales_with_its_rate() -> None:
    """A line of ten tonnes an hour mills ten and yields as much per tonne as a small one."""
    small, big = (run(hours=1.0, rate=rate, signals="juice/flow").truth for rate in (1.0, 10.0))
    assert big["fruit_kg"] == pytest.approx(10.0 * small["fruit_kg"], rel=0.02)
    assert big["yield_l_per_t"] == pytest.approx(small["yield_l_per_t"], rel=0.02)
