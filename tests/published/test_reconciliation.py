"""Reconciliation and its tests against a textbook, and the tables they lean on."""

import pytest
from scipy.stats import chi2

from tumpline.pressing.reconciliation import CHI_SQUARE_95, Reconciled, reconcile, sidak_limit

# A heat exchanger with by-pass: six flows, four nodes, every standard deviation 1, true flows 100 64 36 64 36 100.
# Narasimhan and Jordache, Data Reconciliation and Gross Error Detection (2000), examples 1-1 and 7-1. Topology and
# truth were seen in a public benchmark collection; the measured flows are from memory and give the printed results.
BYPASS = [[1, -1, -1, 0, 0, 0], [0, 1, 0, -1, 0, 0], [0, 0, 1, 0, -1, 0], [0, 0, 0, 1, 1, -1]]
MEASURED = [101.91, 64.45, 34.65, 64.20, 36.44, 98.88]
WITH_BIAS = [101.91, 68.45, 34.65, 64.20, 36.44, 98.88]  # the second flow reads 4 high


def diagonal(variances: list[float]) -> list[list[float]]:
    """Covariance of independent measurements."""
    return [[v if i == j else 0.0 for j in range(len(variances))] for i, v in enumerate(variances)]


def solved(values: list[float], u: list[float], constraints: list[list[int]]) -> Reconciled:
    """Reconcile independent measurements."""
    found = reconcile(values, diagonal([x * x for x in u]), constraints)
    assert found is not None
    return found


def test_the_reconciled_flows_of_the_bypass() -> None:
    """Printed: 100.22, 64.50, 35.72 (book, from memory); uncertainties 0.57735 (own computation)."""
    found = solved(MEASURED, [1.0] * 6, BYPASS)
    assert found.values == pytest.approx([100.22, 64.50, 35.72, 64.50, 35.72, 100.22], abs=1e-4)
    assert found.u == pytest.approx([0.57735] * 6, abs=1e-5)
    assert found.residuals == pytest.approx([2.81, 0.25, -1.79, 1.76], abs=1e-9)


def test_the_bypass_agrees_with_itself() -> None:
    """Global test 6.4075 under 9.488 (own computation): nothing is wrong."""
    found = solved(MEASURED, [1.0] * 6, BYPASS)
    assert found.statistic == pytest.approx(6.4075, abs=1e-4)
    assert found.limit == pytest.approx(9.488, abs=5e-4)
    assert found.z == pytest.approx([2.0698, 0.0612, 1.3105, 0.3674, 0.8818, 1.6412], abs=1e-4)


def test_the_biased_flow_of_the_bypass_is_found() -> None:
    """Printed: global test 16.674 (book, from memory); z, likelihood ratio and bias are own computation, to 1e-4."""
    found = solved(WITH_BIAS, [1.0] * 6, BYPASS)
    assert found.statistic == pytest.approx(16.674, abs=5e-4)
    assert found.statistic > found.limit
    assert found.z == pytest.approx([1.2533, 3.2047, 0.4940, 2.0004, 1.6983, 2.4577], abs=1e-4)
    assert found.statistic - found.unexplained(1) == pytest.approx(10.2704, abs=1e-4)
    assert found.bias[1] == pytest.approx(3.925, abs=1e-4)
    assert [z is not None and z > found.z_limit for z in found.z] == [False, True, False, False, False, False]
    assert found.alike == ((),) * 6


# A press line: fruit, water carried in, milled fruit, juice, pomace in t/h (own computation, to 1e-5).
LINE = [[1, 1, -1, 0, 0], [0, 0, 1, -1, -1]]
LINE_U = [0.15, 0.02, 0.20, 0.073, 0.114]


def test_the_reconciled_flows_of_a_press_line() -> None:
    """Values, uncertainties and tests of an example worked out by hand and by another program."""
    found = solved([10.05, 0.140, 10.35, 7.30, 2.85], LINE_U, LINE)
    assert found.values == pytest.approx([10.064488, 0.140258, 10.204745, 7.315920, 2.888825], abs=1e-5)
    assert found.u == pytest.approx([0.090699, 0.019887, 0.090080, 0.066824, 0.088659], abs=1e-5)
    assert found.statistic == pytest.approx(0.700517, abs=1e-5)
    assert found.z == pytest.approx([0.121265, 0.121265, 0.813453, 0.541777, 0.541777], abs=1e-5)


def test_a_juice_meter_cannot_be_told_from_a_pomace_scale() -> None:
    """Their tests are equal, and six per cent on the juice meter goes unnoticed: 3.916785 under 5.991 (own)."""
    found = solved([10.05, 0.140, 10.35, 7.30 * 1.06, 2.85], LINE_U, LINE)
    assert found.statistic == pytest.approx(3.916785, abs=1e-5)
    assert found.statistic < found.limit
    assert found.z[3] == pytest.approx(found.z[4], abs=1e-12)
    assert found.alike == ((1,), (0,), (), (4,), (3,))


@pytest.mark.parametrize("freedom", range(1, 11))
def test_the_table_of_chi_square(freedom: int) -> None:
    """NIST/SEMATECH e-Handbook 1.3.6.7.4, held against scipy to half of its last digit."""
    assert CHI_SQUARE_95[freedom - 1] == pytest.approx(chi2.ppf(0.95, freedom), abs=5.1e-4)


def test_the_sidak_limit() -> None:
    """Six tests at 5 % in all: 2.63104 (own computation of Šidák's level); one test: the normal 1.959964."""
    assert sidak_limit(6) == pytest.approx(2.63104, abs=1e-5)
    assert sidak_limit(1) == pytest.approx(1.959964, abs=1e-6)
