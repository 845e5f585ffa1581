"""Our computations against libraries that do the same in their own way, on cases that hypothesis draws."""

import math

import numpy as np
import pint
import pytest
import uncertainties
from hypothesis import assume, given, settings
from hypothesis import strategies as st
from iapws import IAPWS95
from scipy import stats

from tumpline.pressing import juice
from tumpline.pressing.charts import Cusum, Ewma
from tumpline.pressing.params import Quantity
from tumpline.pressing.quantities import Estimate, combined, half_width_95, limits, normal, ratio
from tumpline.pressing.reconciliation import reconcile, sidak_limit
from tumpline.wire.units import YIELD, from_si, to_si

values = st.floats(-1e4, 1e4)
weights = st.floats(-5.0, 5.0)
spreads = st.floats(0.01, 100.0)
SOURCES = ("accuracy of mill/throughput", "accuracy of juice/flow", "scatter")


@given(st.lists(st.tuples(values, weights, st.tuples(spreads, spreads, spreads)), min_size=1, max_size=6))
def test_combined_figures_agree_with_uncertainties(parts: list[tuple[float, float, tuple[float, ...]]]) -> None:
    """Shared sources are one variable to that library: value and standard uncertainty are the same to 1e-9."""
    shared = [uncertainties.ufloat(0.0, 1.0) for _ in SOURCES]
    theirs = sum(
        weight * (value + sum(u * error for u, error in zip(us, shared, strict=True))) for value, weight, us in parts
    )
    ours = combined(
        (Estimate(value, tuple(normal(s, u) for s, u in zip(SOURCES, us, strict=True))), weight)
        for value, weight, us in parts
    )
    size = sum(abs(weight) * (abs(value) + sum(us)) for value, weight, us in parts)
    assert ours.value == pytest.approx(theirs.nominal_value, rel=1e-9, abs=1e-9 * size)
    assert ours.u == pytest.approx(theirs.std_dev, rel=1e-6, abs=1e-9 * size)


@given(st.floats(0.1, 100.0), st.floats(0.1, 100.0), st.floats(1e-4, 0.3), st.floats(1e-4, 0.3))
def test_ratios_agree_with_uncertainties(top: float, bottom: float, top_u: float, bottom_u: float) -> None:
    """A yield's standard uncertainty is what that library propagates, to 1e-9."""
    theirs = uncertainties.ufloat(top, top * top_u) / uncertainties.ufloat(bottom, bottom * bottom_u)
    ours = ratio(
        Estimate(top, (normal("juice", top * top_u),)), Estimate(bottom, (normal("fruit", bottom * bottom_u),))
    )
    assert ours is not None
    assert ours.value == pytest.approx(theirs.nominal_value, rel=1e-12)
    assert ours.u == pytest.approx(theirs.std_dev, rel=1e-9)


@given(st.floats(0.0, 40.0))
@settings(max_examples=60, deadline=None)
def test_water_agrees_with_iapws(celsius: float) -> None:
    """At any temperature of the formula's range water weighs what IAPWS-95 says, to 0.006 kg/m³."""
    found = juice.water_density(celsius)
    assert found == pytest.approx(IAPWS95(T=celsius + 273.15, P=0.101325).rho, abs=0.006)


@settings(deadline=None)
@given(st.floats(0.05, 20.0), st.floats(0.05, 20.0))
def test_two_limits_agree_with_scipy(one: float, other: float) -> None:
    """The sum of two makers' limits is a trapezium; scipy's quantile of it is our interval, to 1e-6."""
    wide, narrow = max(one, other), min(one, other)
    shape = (wide - narrow) / (wide + narrow)
    whole = 2.0 * (wide + narrow)
    trapezium = stats.trapezoid(0.5 * (1.0 - shape), 0.5 * (1.0 + shape), loc=-0.5 * whole, scale=whole)
    assume(narrow > 0.05 * wide)  # a smaller one is taken as normal, which the coverage tests hold to account
    assert half_width_95([limits("one", one), limits("other", other)]) == pytest.approx(trapezium.ppf(0.975), rel=1e-6)


@given(
    st.lists(st.floats(-100.0, 100.0), min_size=4, max_size=4),
    st.lists(st.floats(0.1, 10.0), min_size=4, max_size=4),
    st.integers(1, 2),
)
@settings(max_examples=50, deadline=None)
def test_reconciliation_agrees_with_a_linear_solver(measured: list[float], us: list[float], rows: int) -> None:
    """What is likeliest under the balances solves Lagrange's equations, as numpy does; and so does the statistic."""
    balances = np.array([[1, -1, -1, 0], [0, 1, 0, -1]][:rows], dtype=float)
    ours = reconcile(measured, np.diag(np.square(us)).tolist(), balances.tolist())
    assert ours is not None
    y, precision = np.array(measured), np.diag(1.0 / np.square(us))
    lagrange = np.block([[precision, balances.T], [balances, np.zeros((rows, rows))]])
    theirs = np.linalg.solve(lagrange, np.concatenate([precision @ y, np.zeros(rows)]))[: len(y)]
    assert ours.values == pytest.approx(theirs, abs=1e-8)
    assert ours.statistic == pytest.approx(float((theirs - y) @ precision @ (theirs - y)), rel=1e-7, abs=1e-9)


@pytest.mark.parametrize("tests", range(1, 11))
def test_the_sidak_limit_agrees_with_scipy(tests: int) -> None:
    """The quantile is scipy's, to 1e-9."""
    assert sidak_limit(tests) == pytest.approx(stats.norm.ppf(0.5 + 0.5 * 0.95 ** (1.0 / tests)), rel=1e-9)


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**32 - 1), st.floats(0.05, 1.0))
def test_the_average_of_a_chart_agrees_with_its_closed_form(seed: int, weight: float) -> None:
    """An EWMA is the sum of all samples with weights that fall geometrically (NIST 6.3.2.4), to 1e-9."""
    samples = np.random.default_rng(seed).normal(50.0, 2.0, 60)
    chart = Ewma(weight=weight, value=50.0)
    for sample in samples:
        chart.update(float(sample))
    ages = (1.0 - weight) ** np.arange(len(samples) - 1, -1, -1)
    assert chart.value == pytest.approx(
        float(weight * ages @ samples) + (1.0 - weight) ** len(samples) * 50.0, rel=1e-9
    )


@settings(max_examples=20, deadline=None)
@given(st.integers(0, 2**32 - 1))
def test_the_sums_of_a_chart_agree_with_their_extremes(seed: int) -> None:
    """A tabular CUSUM is the random walk of what exceeds the slack above its own lowest point so far, to 1e-9."""
    samples = np.random.default_rng(seed).normal(0.0, 1.0, 200)
    chart = Cusum(target=0.0, slack=0.5, decision=5.0)
    for sample in samples:
        chart.update(float(sample))
    above = np.concatenate([[0.0], np.cumsum(samples - 0.5)])
    below = np.concatenate([[0.0], np.cumsum(-samples - 0.5)])
    assert chart.above == pytest.approx(float(above[-1] - above.min()), abs=1e-9)
    assert chart.below == pytest.approx(float(below[-1] - below.min()), abs=1e-9)


@settings(deadline=None)
@given(st.floats(1.0, 2000.0))
def test_yields_agree_with_pint(value: float) -> None:
    """Any yield in litres a tonne is the same in imperial gallons a long ton to pint, to 1e-12."""
    theirs = pint.Quantity(value, "liter/metric_ton").to("imperial_gallon/long_ton").magnitude
    assert from_si(to_si(value, "L/t", YIELD), "imp gal/long ton", YIELD) == pytest.approx(theirs, rel=1e-12)


@settings(deadline=None)
@given(st.floats(-40.0, 212.0))
def test_temperatures_agree_with_pint(value: float) -> None:
    """Degrees Fahrenheit become degrees Celsius as pint has it, to 1e-9."""
    theirs = pint.Quantity(value, "degF").to("degC").magnitude
    assert to_si(value, "°F", Quantity.TEMPERATURE.value) == pytest.approx(theirs, abs=1e-9)


@given(st.floats(0.0, 25.0), st.floats(0.0, 30.0))
def test_gravity_and_brix_are_each_others_inverse(brix: float, celsius: float) -> None:
    """There and back again is the same °Bx to 1e-4, and warmer juice is never denser above 5 °C."""
    back = juice.brix_from_gravity(juice.apparent_gravity(brix))  # type: ignore[arg-type]  # inside its range
    assert back == pytest.approx(brix, abs=1e-4)
    here, warmer = juice.density(brix, celsius), juice.density(brix, celsius + 1.0)
    assert isinstance(here, float) and isinstance(warmer, float) and math.isfinite(here)
    assert celsius < 5.0 or warmer < here
