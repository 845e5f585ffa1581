from random import Random

import pytest

from tumpline.pressing.scatter import Scatter


def scattered(count: int, *, mean: float = 10.0, sd: float = 0.1, seed: int = 1) -> list[float]:
    """Independent readings around a mean."""
    rng = Random(seed)
    return [rng.gauss(mean, sd) for _ in range(count)]


def fed(scatter: Scatter, readings: list[float], *, learn: bool) -> Scatter:
    """The same after so many readings."""
    for before, value, after in zip(readings, readings[1:], readings[2:], strict=False):
        scatter.take(before, value, after, learn=learn)
    return scatter


def test_nothing_is_usual_at_first() -> None:
    """Until a minute of readings was seen, there is no noise to tell."""
    assert fed(Scatter(), scattered(40), learn=True).against_usual() == (None, None)
    assert fed(Scatter(), scattered(400), learn=False).against_usual() == (None, None)


def test_the_variance_is_that_of_the_readings() -> None:
    """What is learned is the variance of independent readings, within what 300 of them can tell."""
    assert fed(Scatter(), scattered(2000), learn=True).usual_noise == pytest.approx(0.01, rel=0.3)


def test_a_ramp_does_not_scatter() -> None:
    """A flow that rises evenly is no noisier than one that stands."""
    ramp = [value + 0.5 * n for n, value in enumerate(scattered(2000))]
    assert fed(Scatter(), ramp, learn=True).usual_noise == pytest.approx(0.01, rel=0.3)


def test_twice_the_scatter_is_four_times_the_variance() -> None:
    """Noise and level are told in times the usual."""
    scatter = fed(Scatter(), scattered(1000), learn=True)
    noise, level = fed(scatter, scattered(100, sd=0.25, seed=2), learn=False).against_usual()
    assert noise == pytest.approx(6.25, rel=0.6)
    assert level == pytest.approx(1.0, abs=0.02)


def test_noise_is_not_learned_as_usual() -> None:
    """A meter that becomes noisy stays noisy, however long it lasts."""
    scatter = fed(Scatter(), scattered(1000), learn=True)
    noise, _ = fed(scatter, scattered(5000, sd=0.4, seed=2), learn=True).against_usual()
    assert noise is not None and noise > 6.0


def test_one_spike_is_not_noise() -> None:
    """A single wild reading does not make the signal noisy."""
    readings = scattered(1000)
    readings[-5] = 500.0
    noise, _ = fed(Scatter(), readings, learn=True).against_usual()
    assert noise is not None and noise < 4.0


def test_a_pump_that_starts_is_no_noise() -> None:
    """The first reading after a stop may stand apart; nothing but the readings after it tells whether all do."""
    scatter = fed(Scatter(), scattered(1000), learn=True)
    scatter.begin_anew()
    noise, _ = fed(scatter, [10.0, 11.0, 10.0], learn=False).against_usual()
    assert noise is not None and noise < 2.0


def test_a_higher_flow_may_scatter_in_proportion() -> None:
    """At twice the flow, twice the scatter is no more than usual."""
    scatter = fed(Scatter(), scattered(1000), learn=True)
    noise, level = fed(scatter, scattered(300, mean=20.0, sd=0.2, seed=3), learn=False).against_usual()
    assert noise is not None and noise < 2.0
    assert level == pytest.approx(2.0, abs=0.02)


def test_what_was_learned_of_a_trickle_is_learned_anew_of_the_flow() -> None:
    """A meter first seen while its flow began is judged by its full flow after some minutes of that."""
    scatter = fed(Scatter(), scattered(70, mean=4.0, sd=0.04), learn=True)
    fed(scatter, scattered(900, sd=0.1, seed=2), learn=True)
    assert scatter.usual_level == pytest.approx(10.0, rel=0.1)
    assert scatter.usual_noise == pytest.approx(0.01, rel=0.4)


def test_only_a_reading_between_two_alike_stands_apart() -> None:
    """A step up or down is no spike; a single reading beside its neighbours is."""
    scatter = fed(Scatter(), scattered(1000), learn=True)
    assert scatter.stands_apart(10.0, 14.0, 10.1)
    assert not scatter.stands_apart(10.0, 14.0, 14.1)
    assert not scatter.stands_apart(10.0, 10.2, 10.1)


def test_less_than_usual_becomes_usual() -> None:
    """After a long normal time at a third of the flow, that is what flows."""
    scatter = fed(Scatter(), scattered(1000), learn=True)
    assert not scatter.flows(3.3, 0.0)
    for _ in range(600):
        scatter.fade()
    assert scatter.flows(3.3, 0.0)
