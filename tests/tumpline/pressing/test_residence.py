"""Which fruit is in this juice: the spread from mill to juice meter, against the distribution it is said to be."""

import math

import pytest
from scipy.integrate import quad
from scipy.stats import gamma

from tumpline.pressing.params import ResidenceParams
from tumpline.pressing.residence import BIN, Buffer, Kernel, Transport, aligned, configured

CASES = [(45.0, 20.0), (60.0, 25.0), (33.0, 47.0), (0.0, 12.0)]
"""Delay and spread, seconds."""


@pytest.mark.parametrize(("delay", "spread"), CASES)
def test_all_fruit_becomes_juice_once(delay: float, spread: float) -> None:
    """The shares of one bin's fruit sum to one, and none is negative."""
    kernel = Kernel(Transport(delay, spread))
    assert math.fsum(kernel.weights) == pytest.approx(1.0, abs=1e-12)
    assert min(kernel.weights) >= -1e-15


@pytest.mark.parametrize(("delay", "spread"), CASES)
def test_the_mean_is_the_delay_and_two_tanks(delay: float, spread: float) -> None:
    """Two tanks of spread/√2 each after the delay: the mean is delay + √2·spread, cut a little at the far end."""
    way = Transport(delay, spread)
    assert way.mean == pytest.approx(delay + math.sqrt(2.0) * spread)
    assert sum(k * BIN * w for k, w in enumerate(Kernel(way).weights)) == pytest.approx(way.mean, rel=2e-3)


@pytest.mark.parametrize(("delay", "spread"), CASES)
def test_the_weights_are_those_of_a_gamma_distribution(delay: float, spread: float) -> None:
    """scipy's gamma of shape 2, milled evenly over a bin and gathered over a later one, gives the same shares."""

    def shown(until: float) -> float:
        """Share of an evenly milled bin that has shown at a time after the bin began."""
        share: float = quad(
            lambda s: gamma.cdf(until - s - delay, a=2.0, scale=spread / math.sqrt(2.0)), 0.0, BIN, points=[BIN / 2]
        )[0]
        return share / BIN

    kernel = Kernel(Transport(delay, spread))
    for k in range(0, len(kernel), 3):
        assert kernel.weights[k] == pytest.approx(shown((k + 1) * BIN) - shown(k * BIN), rel=1e-3, abs=1e-6)


def test_aligned_fruit_is_the_fruit_later() -> None:
    """Every kilogram milled shows once; none shows before the delay."""
    kernel = Kernel(Transport(45.0, 20.0))
    fruit = [5.0] * 20 + [0.0] * 10 + [3.0] * 10 + [0.0] * len(kernel)
    aligned = [kernel.aligned(fruit, j) for j in range(len(fruit))]
    assert math.fsum(aligned) == pytest.approx(130.0)
    assert aligned[:8] == [0.0] * 8
    assert aligned[len(kernel)] <= 5.0


def test_a_line_that_runs_long_enough_shows_what_it_mills() -> None:
    """In steady running aligned fruit equals fruit."""
    kernel = Kernel(Transport(45.0, 20.0))
    fruit = [5.5] * (len(kernel) + 10)
    assert kernel.aligned(fruit, len(fruit) - 1) == pytest.approx(5.5)


def test_the_settings_guess_keeps_its_mean_and_spread_when_part_of_it_is_put_into_the_buffer() -> None:
    """Whoever writes 45 s and 20 s into the settings gets just that."""
    way = configured(ResidenceParams(45.0, 20.0))
    assert way.mean == pytest.approx(45.0 + 20.0 * math.sqrt(2.0))
    assert way.sd == pytest.approx(20.0)


def mean_age(way: Transport, feed: float) -> float:
    """Mean time between fruit and its juice in steady running, from what the way holds (Little's law)."""
    shown = aligned([feed * BIN] * 400, way, 1.0)
    return sum(feed * BIN - kg for kg in shown) / feed


@pytest.mark.parametrize("follows", [False, True])
@pytest.mark.parametrize("feed", [0.4, 1.0])
def test_slower_fruit_arrives_later_where_the_pump_follows_the_level(feed: float, *, follows: bool) -> None:
    """What the line holds over its feed is the mean time; at 40 % feed a following pump waits 1.58 times as long."""
    way = Transport(40.0, 20.0, 25.0, follows)
    wait = 25.0 / math.sqrt(feed) if follows else 25.0
    assert way.mean_at(feed) == pytest.approx(40.0 + 20.0 * math.sqrt(2.0) + wait)
    assert mean_age(way, feed) == pytest.approx(way.mean_at(feed), abs=1.5)


@pytest.mark.parametrize(
    "way", [Transport(45.0, 20.0), Transport(33.0, 17.0, 22.0), Transport(33.0, 17.0, 22.0, follows=True)]
)
def test_the_quick_way_and_the_one_by_weights_agree(way: Transport) -> None:
    """Learning and giving away see the same aligned fruit."""
    fruit = [0.0] * 5 + [5.0] * 60 + [0.0] * 20 + [3.0] * 60 + [0.0] * 60
    buffer, kernel = Buffer(way, 1.0), Kernel(way)
    held, pulp = 0.0, []
    for kg in fruit:
        pulp.append(buffer.out(held, kg))
        held += kg - pulp[-1]
    by_weights = [kernel.aligned(pulp, j) for j in range(len(fruit))]
    assert by_weights == pytest.approx(aligned(fruit, way, 1.0), abs=0.12)
    assert math.fsum(by_weights) == pytest.approx(math.fsum(fruit) - held, rel=1e-3)
