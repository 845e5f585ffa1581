"""Control charts against the NIST/SEMATECH e-Handbook of Statistical Methods (public domain)."""

import pytest

from tumpline.pressing.charts import Cusum, Ewma, Individuals

# 6.3.2.4, EWMA: samples and the average after each; lambda 0.3, target 50, s 2.0539. Printed to 0.01, held to 0.0051.
EWMA = [
    (52.0, 50.60),
    (47.0, 49.52),
    (53.0, 50.56),
    (49.3, 50.18),
    (50.1, 50.16),
    (47.0, 49.21),
    (51.0, 49.75),
    (50.1, 49.85),
    (51.2, 50.26),
    (50.5, 50.33),
    (49.6, 50.11),
    (47.6, 49.36),
    (49.9, 49.52),
    (51.3, 50.05),
    (47.8, 49.38),
    (51.2, 49.92),
    (52.6, 50.73),
    (52.4, 51.23),
    (53.6, 51.94),
    (52.1, 51.99),
]

# 6.3.2.3, CUSUM: group means, S_hi, S_lo; target 325, k 0.3175, h 4.1959. Printed to 0.01 with ties rounded either
# way, held to 0.0051.
CUSUM = [
    (324.925, 0, 0),
    (324.675, 0, 0.01),
    (324.725, 0, 0),
    (324.35, 0, 0.33),
    (325.35, 0.03, 0),
    (325.225, 0, 0),
    (324.125, 0, 0.56),
    (324.525, 0, 0.72),
    (325.225, 0, 0.17),
    (324.6, 0, 0.25),
    (324.625, 0, 0.31),
    (325.15, 0, 0),
    (328.325, 3.01, 0),
    (327.25, 4.94, 0),
    (327.825, 7.45, 0),
    (328.5, 10.63, 0),
    (326.675, 11.99, 0),
    (327.775, 14.44, 0),
    (326.875, 16.00, 0),
    (328.35, 19.04, 0),
]

# 6.3.2.2, individuals: flow rate of ten batches. Printed: mean 50.81, mean range 1.8778, limits 55.8041 and 45.8159.
FLOW = [49.6, 47.6, 49.9, 51.3, 47.8, 51.2, 52.6, 52.4, 53.6, 52.1]


def test_every_ewma_of_the_handbook() -> None:
    """All twenty averages are the printed ones, and none leaves the printed limits."""
    chart = Ewma(weight=0.3, value=50.0)
    low, high = chart.limits(target=50.0, sd=2.0539)
    for sample, printed in EWMA:
        assert chart.update(sample)
        assert chart.value == pytest.approx(printed, abs=0.0051)
        assert low < chart.value < high
    assert (low, high) == pytest.approx((47.4115, 52.5884), abs=1e-4)


def test_every_cusum_of_the_handbook() -> None:
    """All forty sums are the printed ones, and the drift shows from group 14 on."""
    chart = Cusum(target=325.0, slack=0.3175, decision=4.1959)
    drifts = []
    for sample, above, below in CUSUM:
        assert chart.update(sample)
        assert chart.above == pytest.approx(above, abs=0.0051)
        assert chart.below == pytest.approx(below, abs=0.0051)
        drifts.append(chart.drift)
    assert drifts == [None] * 13 + ["up"] * 7


def test_the_individuals_chart_of_the_handbook() -> None:
    """Mean, mean range and both limits are the printed ones, to half of the last digit."""
    chart = Individuals()
    for sample in FLOW:
        chart.update(sample)
    limits = chart.limits()
    assert chart.mean == pytest.approx(50.81, abs=0.005)
    assert chart.mean_range == pytest.approx(1.8778, abs=5e-5)
    assert limits == pytest.approx((45.8159, 55.8041), abs=1e-4)
