"""Control charts: the same answer as all samples at once, through saving, reading back and bad samples."""

import math
from itertools import pairwise
from statistics import mean

import msgspec
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing.charts import Cusum, Ewma, Individuals

Chart = Ewma | Cusum | Individuals
samples = st.lists(st.floats(-1e6, 1e6), max_size=30)


def fresh() -> list[Chart]:
    """One chart of each kind."""
    return [Ewma(weight=0.2, value=100.0), Cusum(target=100.0, slack=0.5, decision=5.0), Individuals()]


@given(samples)
def test_a_chart_read_back_goes_on_as_if_nothing_had_happened(values: list[float]) -> None:
    """After every sample a chart can be written down and read back without a difference."""
    for chart in fresh():
        other: Chart = msgspec.convert(msgspec.to_builtins(chart), type(chart))
        for value in values:
            chart.update(value)
            other.update(value)
            other = msgspec.json.decode(msgspec.json.encode(other), type=type(chart))
        assert other == chart


@pytest.mark.parametrize("bad", [math.nan, math.inf, -math.inf])
def test_a_sample_that_is_no_number_is_refused(bad: float) -> None:
    """It says so, and the chart stands as before."""
    for chart in fresh():
        assert chart.update(101.0)
        before = msgspec.to_builtins(chart)
        assert not chart.update(bad)
        assert msgspec.to_builtins(chart) == before


def test_zero_is_a_value() -> None:
    """A meter that reads nothing is far below target, not unknown."""
    average, drift, individuals = fresh()
    for chart in (average, drift, individuals):
        assert chart.update(0.0)
    assert isinstance(average, Ewma)
    assert isinstance(drift, Cusum)
    assert average.value == 80.0
    assert drift.drift == "down"


@given(samples)
def test_an_average_is_the_weighted_sum_of_all_samples(values: list[float]) -> None:
    """After every prefix the average equals the sum written out."""
    chart = Ewma(weight=0.3, value=7.0)
    for n, value in enumerate(values, 1):
        chart.update(value)
        written_out = 0.7**n * 7.0 + sum(0.3 * 0.7 ** (n - 1 - i) * x for i, x in enumerate(values[:n]))
        assert chart.value == pytest.approx(written_out, rel=1e-9, abs=1e-6)


def test_a_weight_of_one_follows_the_sample() -> None:
    """Without memory, the limits are those of single samples."""
    chart = Ewma(weight=1.0, value=0.0)
    chart.update(4.0)
    assert chart.value == 4.0
    assert chart.limits(target=10.0, sd=2.0) == (4.0, 16.0)


@given(samples)
def test_a_sum_is_the_worst_stretch_that_ends_now(values: list[float]) -> None:
    """After every prefix each sum equals the largest total excess over any stretch of newest samples."""
    chart = Cusum(target=2.0, slack=0.5, decision=5.0)
    for n, value in enumerate(values, 1):
        chart.update(value)
        stretches = [values[i:n] for i in range(n + 1)]
        assert chart.above == pytest.approx(max(sum(x - 2.5 for x in s) for s in stretches), rel=1e-9, abs=1e-5)
        assert chart.below == pytest.approx(max(sum(1.5 - x for x in s) for s in stretches), rel=1e-9, abs=1e-5)


def test_a_lasting_shift_is_found_and_an_odd_sample_is_not() -> None:
    """One standard deviation of lasting shift shows after a while; a single odd sample of four does not."""
    chart = Cusum(target=0.0, slack=0.5, decision=5.0)
    for value in (0.1, -0.2, 4.0, 0.0, -0.3):
        chart.update(value)
        assert chart.drift is None
    chart.reset()
    shown = []
    for _ in range(12):
        chart.update(-1.0)
        shown.append(chart.drift)
    assert shown == [None] * 10 + ["down"] * 2


def test_a_reset_chart_begins_again() -> None:
    """After somebody has dealt with it, the old excess is forgotten."""
    chart = Cusum(target=0.0, slack=0.5, decision=5.0)
    chart.update(9.0)
    assert chart.drift == "up"
    chart.reset()
    assert chart.drift is None
    assert (chart.above, chart.below) == (0.0, 0.0)


@given(st.lists(st.floats(-1e6, 1e6), min_size=2, max_size=30))
def test_limits_of_single_samples_are_those_of_all_at_once(values: list[float]) -> None:
    """After every prefix the limits equal mean ± 3 mean ranges/1.128 of all samples so far."""
    chart = Individuals()
    chart.update(values[0])
    for n in range(2, len(values) + 1):
        chart.update(values[n - 1])
        half = 3.0 * mean(abs(b - a) for a, b in pairwise(values[:n])) / 1.128
        middle = mean(values[:n])
        assert chart.limits() == pytest.approx((middle - half, middle + half), rel=1e-9, abs=1e-4)


def test_one_sample_has_no_limits() -> None:
    """How much neighbours differ is not known before there are two."""
    chart = Individuals()
    assert chart.limits() is None
    chart.update(5.0)
    assert chart.limits() is None
    chart.update(5.0)
    assert chart.limits() == (5.0, 5.0)
