"""The sensor tests against reference vectors of QARTOD (US IOOS, Real-Time Quality Control of in-situ data).

Vectors as the test suite of a public implementation has them (Apache-2.0), run with its version 3.0.0; held exactly.
Where that implementation flags the first reading of a record, ours has nothing to compare it with: it is left out.
"""

from itertools import pairwise

import pytest

from tumpline.pressing.qartod import FlatLine, gross_range, rate_of_change, spike

QUARTER = 900.0
"""Seconds between the readings of a record."""

# Fail outside 10 to 50, suspect outside 20 to 40.
GROSS_RANGE = [(5, 4), (10, 3), (15, 3), (20, 1), (25, 1), (30, 1), (35, 1), (40, 1), (45, 3), (51, 4)]

# Suspect above 25, fail above 50 from the mean of the two neighbours; the ends have none (2, not evaluated).
SPIKE = [(10, 2), (12, 4), (999.99, 4), (13, 4), (15, 1), (40, 3), (9, 1), (9, 2)]

# Suspect above 5 in a quarter of an hour.
RATE = [
    (2, 1), (10, 3), (2.1, 3), (3, 1), (4, 1), (5, 1), (7, 1), (10, 1), (0, 3), (2, 1), (2.2, 1), (2, 1),
    (1, 1), (2, 1), (3, 1), (90, 3), (91, 1), (92, 1), (93, 1), (1, 3), (2, 1), (3, 1), (4, 1), (5, 1),
]  # fmt: skip

# Tolerance 0.01, suspect after 3000 s, fail after 4800 s.
FLAT_LINE = [
    (1, 1), (2, 1), (2.0001, 1), (2, 1), (2.0001, 3), (2, 3), (2.0001, 4), (2, 4), (4, 1), (5, 1), (3, 1), (3.0001, 1),
    (3.0005, 1), (3.00001, 3),
]  # fmt: skip


@pytest.mark.parametrize(("value", "flag"), GROSS_RANGE)
def test_gross_range(value: float, flag: int) -> None:
    """Every flag of the record is the published one; the limits themselves are good."""
    assert gross_range(value, fail=(10.0, 50.0), suspect=(20.0, 40.0)) == flag


def test_spike() -> None:
    """Every reading with two neighbours has its published flag."""
    values = [value for value, _ in SPIKE]
    found = [spike(*three, suspect=25.0, fail=50.0) for three in zip(values, values[1:], values[2:], strict=False)]
    assert found == [flag for _, flag in SPIKE[1:-1]]


def test_rate_of_change() -> None:
    """Every reading after the first has its published flag."""
    values = [value for value, _ in RATE]
    found = [rate_of_change(after - before, QUARTER, suspect=5.0 / QUARTER) for before, after in pairwise(values)]
    assert found == [flag for _, flag in RATE[1:]]


def test_flat_line() -> None:
    """Every flag of the record is the published one, each from the readings up to it alone."""
    line = FlatLine()
    found = []
    for place, (value, _) in enumerate(FLAT_LINE):
        line.take(QUARTER * place, value, 0.01)
        found.append(line.flag(suspect=3000.0, fail=4800.0))
    assert found == [flag for _, flag in FLAT_LINE]
