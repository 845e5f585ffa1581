"""Figures, their terms, and the 95 % interval of a sum of them."""

import math

import numpy as np
import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st
from scipy import integrate, stats

from tumpline.pressing.quantities import Estimate, Term, combined, half_width_95, limits, normal, ratio, total

half_widths = st.floats(1e-3, 1e3)
terms = st.lists(st.builds(Term, st.just("meter"), half_widths, st.booleans()), min_size=1, max_size=7)


def exact_coverage(half: float, sides: list[float], sigma: float) -> float:
    """P(|S| <= half) by Fourier's integral of the characteristic function: nothing in common with the program's way."""

    def integrand(t: float) -> float:
        shape = math.exp(-0.5 * (sigma * t) ** 2) * math.prod(float(np.sinc(a * t / math.pi)) for a in sides)
        return shape * 2.0 * half * float(np.sinc(half * t / math.pi)) / (2.0 * math.pi)

    return 2.0 * float(integrate.quad(integrand, 0.0, 12.0 / sigma, limit=2000)[0])


@pytest.mark.parametrize(
    ("sides", "sigma"),
    [([1.0], 0.1), ([1.0], 1.0), ([3.0, 2.0], 0.5), ([1.0, 1.0, 1.0], 0.2), ([2.0, 1.0, 0.5, 0.4], 0.3), ([5.0], 12.0)],
)
def test_the_interval_covers_95_percent(sides: list[float], sigma: float) -> None:
    """Whatever the mixture of makers' limits and random parts, the stated interval holds 95 % of it."""
    parts = [limits(f"meter {i}", a) for i, a in enumerate(sides)] + [normal("readings", sigma)]
    assert exact_coverage(half_width_95(parts), sides, sigma) == pytest.approx(0.95, abs=1e-6)


@pytest.mark.parametrize("count", [5, 6, 8, 12])
def test_the_interval_covers_95_percent_of_many_limits(count: int) -> None:
    """Where more limits come together than are integrated exactly, the interval is still good to 0.3 %."""
    exact = stats.irwinhall(count).ppf(0.975) - count / 2.0
    assert half_width_95([limits(f"meter {i}", 0.5) for i in range(count)]) == pytest.approx(exact, rel=3e-3)


def test_the_interval_is_what_a_simulation_gives() -> None:
    """Three meters' limits and a normal rest, drawn a million times (JCGM 101), agree to 0.5 %."""
    rng = np.random.default_rng(20)
    drawn = rng.uniform(-4, 4, 10**6) + rng.uniform(-2, 2, 10**6) + rng.uniform(-1, 1, 10**6) + rng.normal(0, 1, 10**6)
    found = half_width_95([limits("a", 4.0), limits("b", 2.0), limits("c", 1.0), normal("d", 1.0)])
    assert found == pytest.approx(float(np.quantile(np.abs(drawn), 0.95)), rel=5e-3)


@given(terms)
def test_the_interval_lies_between_the_two_pure_kinds(parts: list[Term]) -> None:
    """No sum is narrower than a single pair of limits, 1.64 u, nor wider than a normal one, 1.96 u."""
    u = math.sqrt(sum(t.u**2 for t in parts))
    assert 1.64 * u <= half_width_95(parts) <= 1.96 * u * (1 + 1e-9) + 1e-12


@given(terms, st.floats(1e-6, 1e6))
def test_the_interval_scales_with_the_unit(parts: list[Term], factor: float) -> None:
    """Litres or cubic metres: the same interval."""
    scaled = [Term(t.source, t.u * factor, t.limits) for t in parts]
    assert half_width_95(scaled) == pytest.approx(factor * half_width_95(parts), rel=1e-6)


@given(st.lists(half_widths, min_size=1, max_size=4), st.floats(0.0, 1e3), st.floats(1.0, 3.0))
def test_more_doubt_never_narrows_the_interval(sides: list[float], sigma: float, growth: float) -> None:
    """Making any part worse never narrows the interval (but for 0.2 % where a small part changes its kind)."""
    parts = [limits(f"meter {i}", a) for i, a in enumerate(sides)] + [normal("readings", sigma)]
    before = half_width_95(parts)
    for i, t in enumerate(parts):
        worse = [*parts[:i], t._replace(u=t.u * growth), *parts[i + 1 :]]
        assert half_width_95(worse) >= before * (1.0 - 2e-3)


def test_a_small_growth_of_the_largest_part_widens_the_interval() -> None:
    """Even one part in a thousand counts: intervals do not move in steps."""
    before = half_width_95([limits("mill", 1.0), limits("juice", 0.98751)])
    after = half_width_95([limits("mill", 1.001), limits("juice", 0.98751)])
    assert before < after < 1.001 * before


@given(st.permutations([limits("a", 3.0), limits("b", 1.0), normal("c", 0.7), limits("d", 0.1), normal("e", 0.2)]))
def test_the_order_of_the_terms_does_not_matter(parts: list[Term]) -> None:
    """Doubts have no order."""
    usual = half_width_95([limits("a", 3.0), limits("b", 1.0), normal("c", 0.7), limits("d", 0.1), normal("e", 0.2)])
    assert half_width_95(parts) == pytest.approx(usual, rel=1e-9)


@pytest.mark.parametrize("tiny", [1e-3, 1e-8, 1e-150, 5e-324])
def test_a_vanishing_random_part_changes_nothing(tiny: float) -> None:
    """Limits with next to no noise give the interval of the limits."""
    assert half_width_95([limits("meter", 2.0), normal("readings", tiny)]) == pytest.approx(1.9, abs=2e-6)


def test_a_figure_without_doubt_is_a_point() -> None:
    """An exactly known number has an interval of no width."""
    assert Estimate(7.0).figure() == (7.0, 7.0, 7.0)
    assert half_width_95([limits("meter", 0.0), normal("readings", 0.0)]) == 0.0


def test_an_interval_is_symmetric_until_something_is_impossible() -> None:
    """Pomace of 2 ± 3 % dry matter cannot have less than none."""
    estimate = Estimate(0.02, (normal("balance", 0.03 / 1.959964),))
    assert estimate.figure() == pytest.approx((0.02, -0.01, 0.05), abs=1e-8)
    assert estimate.figure(floor=0.0, ceiling=0.04) == pytest.approx((0.02, 0.0, 0.04), abs=1e-8)
    assert estimate.figure(100.0, floor=0.0, ceiling=4.0) == pytest.approx((2.0, 0.0, 4.0), abs=1e-6)


@given(st.floats(-10, 10), st.floats(0, 5))
def test_a_figure_lies_inside_its_own_interval(value: float, u: float) -> None:
    """Even where the value itself lies beyond what is possible, the interval is not turned inside out."""
    figure = Estimate(value, (normal("readings", u),)).figure(floor=0.0, ceiling=1.0)
    assert figure.low <= figure.value <= figure.high


def test_parts_that_share_a_meter_add_up_in_full() -> None:
    """Two loads by one meter of ±1 % are together known to ±1 %; by two meters, better."""
    one = [Estimate(1000.0, (limits("accuracy of mill/throughput", 10.0),)) for _ in range(2)]
    two = [Estimate(1000.0, (limits(name, 10.0),)) for name in ("mill", "other mill")]
    assert total(one).figure() == pytest.approx((2000.0, 1981.0, 2019.0))
    assert total(two).u == pytest.approx(10.0 / math.sqrt(3.0) * math.sqrt(2.0))


def test_the_sum_of_nothing_is_nothing() -> None:
    """No parts, no doubt."""
    assert total([]) == Estimate(0.0)


def test_a_shared_error_cancels_in_a_difference() -> None:
    """What one meter says of two loads differs by less than the meter's own accuracy."""
    late, early = (Estimate(v, (limits("meter", 0.01 * v), normal("readings", 1.0))) for v in (1100.0, 1000.0))
    found = combined([(late, 1.0), (early, -1.0)])
    by_source = {t.source: t.u for t in found.terms}
    assert found.value == 100.0
    assert by_source["meter"] == pytest.approx(1.0 / math.sqrt(3.0))


@given(
    st.lists(
        st.tuples(st.floats(-100, 100), st.floats(1e-3, 10), st.floats(1e-3, 10), st.floats(-5, 5)),
        min_size=1,
        max_size=5,
    )
)
def test_weighted_sums_are_those_of_another_library(rows: list[tuple[float, float, float, float]]) -> None:
    """First-order sums with one shared and some separate errors agree with `uncertainties`."""
    shared = uncertainties.ufloat(0.0, 1.0)
    expected = sum(w * (uncertainties.ufloat(v, own) + common * shared) for v, own, common, w in rows)
    parts = [
        (Estimate(v, (normal(f"own {i}", own), normal("shared", common))), w)
        for i, (v, own, common, w) in enumerate(rows)
    ]
    found = combined(parts)
    assert found.value == pytest.approx(expected.nominal_value, abs=1e-9)
    assert found.u == pytest.approx(expected.std_dev, abs=1e-7)


@given(st.floats(-1e4, 1e4), st.floats(1e-3, 100), st.floats(1, 1e4), st.floats(1e-4, 0.2))
def test_a_ratio_is_that_of_another_library(juice: float, juice_u: float, fruit: float, fruit_share: float) -> None:
    """Value and standard uncertainty of a quotient agree with `uncertainties`."""
    found = ratio(
        Estimate(juice, (normal("juice", juice_u),)), Estimate(fruit, (normal("fruit", fruit * fruit_share),))
    )
    expected = uncertainties.ufloat(juice, juice_u) / uncertainties.ufloat(fruit, fruit * fruit_share)
    assert found is not None
    assert found.value == pytest.approx(expected.nominal_value, rel=1e-12)
    assert found.u == pytest.approx(expected.std_dev, rel=1e-9, abs=1e-12)


@pytest.mark.parametrize("fruit", [0.0, -1.0, 25.0])
def test_no_fruit_gives_no_yield(fruit: float) -> None:
    """Where the fruit is not clearly above zero there is no yield: neither zero nor infinity."""
    assert ratio(Estimate(5.0), Estimate(fruit, (normal("mill", 10.0),))) is None


def test_another_unit_keeps_every_source() -> None:
    """In litres, a figure still knows which meter its doubt comes from."""
    found = Estimate(2.0, (limits("juice meter", 0.03), normal("readings", 0.01))).scaled(-1000.0)
    assert found.value == -2000.0
    assert [(t.source, t.limits) for t in found.terms] == [("juice meter", True), ("readings", False)]
    assert [t.u for t in found.terms] == pytest.approx([30.0 / math.sqrt(3.0), 10.0])


def test_more_doubt_about_the_same_value() -> None:
    """A gap in the readings widens the interval and leaves the value."""
    found = Estimate(5.0, (normal("readings", 3.0),)).plus(normal("missing time", 4.0))
    assert (found.value, found.u) == (5.0, 5.0)
