"""Which fruit is in this juice: the spread from mill to juice meter, against the distribution it is said to be."""

import math

import pytest
from scipy.integrate import quad
from scipy.stats import gamma

from tumpline.pressing.params import ResidenceParams
from tumpline.pressing.residence import BIN, Kernel

CASES = [(45.0, 20.0), (60.0, 25.0), (33.0, 47.0), (0.0, 12.0)]
"""Delay and spread, seconds."""


@pytest.mark.parametrize(("delay", "spread"), CASES)
def test_all_fruit_becomes_juice_once(delay: float, spread: float) -> None:
    """The shares of one bin's fruit sum to one, and none is negative."""
    kernel = Kernel(ResidenceParams(delay, spread))
    assert math.fsum(kernel.weights) == pytest.approx(1.0, abs=1e-12)
    assert min(kernel.weights) >= -1e-15


@pytest.mark.parametrize(("delay", "spread"), CASES)
def test_the_mean_is_the_delay_and_two_tanks(delay: float, spread: float) -> None:
    """Two tanks of spread/√2 each after the delay: the mean is delay + √2·spread, cut a little at the far end."""
    kernel = Kernel(ResidenceParams(delay, spread))
    assert kernel.mean == pytest.approx(delay + math.sqrt(2.0) * spread)
    assert sum(k * BIN * w for k, w in enumerate(kernel.weights)) == pytest.approx(kernel.mean, rel=2e-3)


@pytest.mark.parametrize(("delay", "spread"), CASES)
def test_the_weights_are_those_of_a_gamma_distribution(delay: float, spread: float) -> None:
    """scipy's gamma of shape 2, milled evenly over a bin and gathered over a later one, gives the same shares."""

    def shown(until: float) -> float:
        """Share of an evenly milled bin that has shown at a time after the bin began."""
        share: float = quad(
            lambda s: gamma.cdf(until - s - delay, a=2.0, scale=spread / math.sqrt(2.0)), 0.0, BIN, points=[BIN / 2]
        )[0]
        return share / BIN

    kernel = Kernel(ResidenceParams(delay, spread))
    for k in range(0, len(kernel), 3):
        assert kernel.weights[k] == pytest.approx(shown((k + 1) * BIN) - shown(k * BIN), rel=1e-3, abs=1e-6)


def test_aligned_fruit_is_the_fruit_later() -> None:
    """Every kilogram milled shows once; none shows before the delay."""
    kernel = Kernel(ResidenceParams(45.0, 20.0))
    fruit = [5.0] * 20 + [0.0] * 10 + [3.0] * 10 + [0.0] * len(kernel)
    aligned = [kernel.aligned(fruit, j) for j in range(len(fruit))]
    assert math.fsum(aligned) == pytest.approx(130.0)
    assert aligned[:8] == [0.0] * 8
    assert aligned[len(kernel)] <= 5.0


def test_a_line_that_runs_long_enough_shows_what_it_mills() -> None:
    """In steady running aligned fruit equals fruit."""
    kernel = Kernel(ResidenceParams(45.0, 20.0))
    fruit = [5.5] * (len(kernel) + 10)
    assert kernel.aligned(fruit, len(fruit) - 1) == pytest.approx(5.5)


def test_the_guess_is_good_to_a_quarter_and_never_to_less_than_two_bins() -> None:
    """A short guess is not a sharp one."""
    assert Kernel(ResidenceParams(45.0, 20.0)).u_mean == pytest.approx(0.25 * (45.0 + 20.0 * math.sqrt(2.0)))
    assert Kernel(ResidenceParams(5.0, 2.0)).u_mean == 10.0
