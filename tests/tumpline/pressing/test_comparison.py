"""How sure a difference between loads is."""

import math
import random

import pytest
from scipy import stats

from tumpline.pressing.comparison import Batch, Mean, difference, mean_yield, pooled, slope, t_975


def batches(rng: random.Random, yield_: float, count: int, sd: float) -> list[Batch]:
    """Loads of one kind: 2 to 5 t each, whose yields scatter by `sd`."""
    fruit = [rng.uniform(2.0, 5.0) for _ in range(count)]
    return [Batch(tonnes, tonnes * rng.gauss(yield_, sd)) for tonnes in fruit]


def test_a_yield_of_several_loads_is_a_ratio_of_sums() -> None:
    """2, 4 and 1 t giving 1300, 3000 and 500 L make 685.7 L/t, not the mean of the three, 633.3 (own arithmetic)."""
    assert pooled([Batch(2.0, 1300.0), Batch(4.0, 3000.0), Batch(1.0, 500.0)]) == pytest.approx(4800.0 / 7.0)
    assert pooled([]) is None


def test_equal_loads_give_the_textbook_interval_of_a_mean() -> None:
    """With loads of one size the ratio is a mean, and its interval is scipy's."""
    yields = [690.0, 702.0, 711.0, 684.0, 705.0]
    found = mean_yield([Batch(3.0, 3.0 * y) for y in yields])
    assert found is not None
    low, high = stats.t.interval(0.95, len(yields) - 1, loc=sum(yields) / 5, scale=stats.sem(yields))
    assert found.figure() == pytest.approx((698.4, low, high), rel=1e-4)


def test_two_loads_of_a_kind_say_too_little() -> None:
    """Nothing is claimed from fewer than three."""
    assert mean_yield([Batch(3.0, 2100.0), Batch(3.0, 2000.0)]) is None


def test_a_difference_has_welchs_interval() -> None:
    """Two groups that scatter differently give the interval that scipy's test of unequal variances gives."""
    one, other = [700.0, 712.0, 695.0, 708.0], [660.0, 690.0, 645.0, 702.0, 671.0]
    means = [mean_yield([Batch(2.0, 2.0 * y) for y in group]) for group in (one, other)]
    assert means[0] is not None and means[1] is not None
    oracle = stats.ttest_ind(one, other, equal_var=False).confidence_interval(0.95)
    assert difference(means[0], means[1])[1:] == pytest.approx((oracle.low, oracle.high), rel=2e-3)


def test_the_interval_of_a_difference_holds_the_truth_in_19_cases_of_20() -> None:
    """Two kinds of fruit that differ by 12 L/t, four to nine loads each, over 2000 invented seasons."""
    rng, held = random.Random(1), 0
    for _ in range(2000):
        one = mean_yield(batches(rng, 700.0, rng.randint(4, 9), 15.0))
        other = mean_yield(batches(rng, 688.0, rng.randint(4, 9), 25.0))
        assert one is not None and other is not None
        found = difference(one, other)
        held += found.low <= 12.0 <= found.high
    assert 0.93 < held / 2000 < 0.97


def test_known_uncertainties_of_two_loads_add_in_quadrature() -> None:
    """3 and 4 L/t make 5, times 1.96."""
    found = difference(Mean(700.0, 3.0), Mean(690.0, 4.0))
    assert found == pytest.approx((10.0, 10.0 - 9.8, 10.0 + 9.8), abs=1e-2)


def test_a_slope_is_that_of_least_squares() -> None:
    """Against scipy's regression, interval included."""
    x, y = [3.1, 3.6, 4.0, 4.2, 4.9, 5.3], [712.0, 705.0, 699.0, 701.0, 684.0, 680.0]
    oracle = stats.linregress(x, y)
    found = slope(list(zip(x, y, strict=True)))
    assert found is not None
    assert found.value == pytest.approx(oracle.slope)
    assert found.high - found.value == pytest.approx(stats.t.ppf(0.975, 4) * oracle.stderr, rel=1e-3)


def test_no_slope_is_read_from_one_rate() -> None:
    """Loads that all ran at one rate say nothing about another rate; nor do three loads."""
    assert slope([(4.0, 700.0), (4.0, 690.0), (4.0, 705.0), (4.0, 702.0)]) is None
    assert slope([(3.0, 700.0), (4.0, 690.0), (5.0, 680.0)]) is None


@pytest.mark.parametrize(("dof", "within"), [(2.0, 1e-2), (3.0, 3e-3), (4.5, 1e-3), (30.0, 1e-6), (math.inf, 1e-12)])
def test_students_t_is_as_good_as_it_says(dof: float, within: float) -> None:
    """Against scipy, from two degrees of freedom up."""
    assert t_975(dof) == pytest.approx(stats.t.ppf(0.975, dof), rel=within)
