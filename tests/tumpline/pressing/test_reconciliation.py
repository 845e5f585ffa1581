"""Least squares under linear balances: what it promises for any plant, held against a numeric library."""

import math

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing.reconciliation import reconcile

LINE = [[1.0, 1.0, -1.0, -1.0, 0.0], [0.0, 0.0, 1.0, 0.0, -1.0]]  # fruit, water, juice, pomace, vat
measured = st.lists(st.floats(-1e4, 1e4), min_size=5, max_size=5)
spreads = st.lists(st.floats(-10.0, 10.0), min_size=25, max_size=25)


def covariance_from(spread: list[float]) -> np.ndarray:
    """A covariance matrix with correlations, well away from singular."""
    half = np.array(spread).reshape(5, 5)
    return np.asarray(half @ half.T + 5.0 * np.eye(5))


@given(measured, spreads)
def test_values_and_tests_are_those_of_the_textbook(values: list[float], spread: list[float]) -> None:
    """With any covariance, all results agree with the matrix formulas evaluated by numpy."""
    s, a, y = covariance_from(spread), np.array(LINE), np.array(values)
    inverse = np.linalg.inv(a @ s @ a.T)
    r = a @ y
    found = reconcile(values, s.tolist(), LINE)
    assert found is not None
    assert found.values == pytest.approx(y - s @ a.T @ inverse @ r, rel=1e-6, abs=1e-6)
    assert np.array(found.covariance) == pytest.approx(s - s @ a.T @ inverse @ a @ s, rel=1e-6, abs=1e-6)
    assert found.statistic == pytest.approx(r @ inverse @ r, rel=1e-6, abs=1e-9)
    for j, (z, bias) in enumerate(zip(found.z, found.bias, strict=True)):
        f = a[:, j]
        assert bias == pytest.approx(f @ inverse @ r / (f @ inverse @ f), rel=1e-6, abs=1e-6)
        assert z == pytest.approx(abs(f @ inverse @ r) / math.sqrt(f @ inverse @ f), rel=1e-6, abs=1e-6)


@given(measured, spreads)
def test_reconciled_values_obey_the_balances(values: list[float], spread: list[float]) -> None:
    """Nothing is left over, and no value is less certain than as measured."""
    s = covariance_from(spread)
    found = reconcile(values, s.tolist(), LINE)
    assert found is not None
    assert np.array(LINE) @ np.array(found.values) == pytest.approx(np.zeros(2), abs=1e-6)
    assert all(after <= math.sqrt(before) + 1e-9 for after, before in zip(found.u, np.diag(s), strict=True))
    again = reconcile(found.values, s.tolist(), LINE)
    assert again is not None
    assert again.statistic == pytest.approx(0.0, abs=1e-9)


@given(st.integers(0, 4), st.floats(10.0, 500.0))
def test_a_single_error_is_measured_exactly(stream: int, error: float) -> None:
    """With no other error, the bias of the wrong stream is the error, and it explains the whole statistic."""
    true = [1000.0, 15.0, 750.0, 265.0, 750.0]
    wrong = [v + (error if j == stream else 0.0) for j, v in enumerate(true)]
    found = reconcile(wrong, np.diag([25.0, 4.0, 9.0, 16.0, 9.0]).tolist(), LINE)
    assert found is not None
    assert found.bias[stream] == pytest.approx(error, rel=1e-9)
    assert found.unexplained(stream) == pytest.approx(0.0, abs=1e-6)
    assert max(z for z in found.z if z is not None) == pytest.approx(found.z[stream], rel=1e-9)


def test_streams_that_no_balance_tells_apart_are_named() -> None:
    """Fruit, water and pomace only ever appear together; juice and vat each have a balance of their own."""
    found = reconcile([1000.0, 15.0, 750.0, 265.0, 750.0], np.eye(5).tolist(), LINE)
    assert found is not None
    assert found.alike == ((1, 3), (0, 3), (), (0, 1), ())


def test_a_stream_that_no_balance_sees_keeps_its_value() -> None:
    """It has no test, rather than a test that it always passes."""
    found = reconcile([5.0, 3.0, 9.0], np.eye(3).tolist(), [[1.0, -1.0, 0.0]])
    assert found is not None
    assert found.values == pytest.approx((4.0, 4.0, 9.0))
    assert (found.z[2], found.bias[2]) == (None, None)
    assert found.unexplained(2) == found.statistic


@pytest.mark.parametrize("constraints", [[[1.0, -1.0, 0.0], [2.0, -2.0, 0.0]], [[0.0, 0.0, 1.0]], [[0.0, 0.0, 0.0]]])
def test_balances_that_say_nothing_are_refused(constraints: list[list[float]]) -> None:
    """A balance said twice, or one over streams without uncertainty, gives no answer instead of a wrong one."""
    assert reconcile([1.0, 2.0, 3.0], np.diag([1.0, 1.0, 0.0]).tolist(), constraints) is None


def test_chance_alone_exceeds_the_limit_once_in_twenty() -> None:
    """Of many stretches without a fault, one in twenty raises the global test and hardly more the largest z."""
    rng = np.random.default_rng(3)
    u = np.array([50.0, 8.0, 20.0, 30.0, 20.0])
    raised = named = 0
    for noise in rng.normal(size=(4000, 5)) * u:
        values = np.array([10_000.0, 150.0, 7545.0, 2605.0, 7545.0]) + noise
        found = reconcile(values.tolist(), np.diag(u**2).tolist(), LINE)
        assert found is not None
        raised += found.statistic > found.limit
        named += max(z for z in found.z if z is not None) > found.z_limit
    assert raised / 4000 == pytest.approx(0.05, abs=0.012)
    assert named / 4000 < 0.05
