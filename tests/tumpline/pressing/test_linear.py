"""Small matrices, against numpy."""

import numpy as np
import pytest

from tumpline.pressing.linear import inverse, rows, solved, times, transposed

RNG = np.random.default_rng(7)


@pytest.mark.parametrize("n", [1, 2, 4, 7])
def test_a_positive_definite_system_is_solved_as_numpy_solves_it(n: int) -> None:
    """By elimination and by the inverse, to rounding."""
    half = RNG.normal(size=(n, n + 2))
    matrix, right = half @ half.T, RNG.normal(size=n)
    expected = np.linalg.solve(matrix, right)
    assert solved(matrix.tolist(), right.tolist()) == pytest.approx(expected.tolist(), rel=1e-9)
    found = inverse(rows(matrix.tolist()))
    assert found is not None
    assert np.allclose(np.array(found) @ matrix, np.eye(n), atol=1e-9)


def test_what_has_no_inverse_has_none() -> None:
    """Rows that repeat each other, and a diagonal that is not positive."""
    assert inverse(((1.0, 2.0), (2.0, 4.0))) is None
    assert inverse(((-1.0,),)) is None


def test_a_product_of_oblong_matrices() -> None:
    """As numpy multiplies them."""
    a, b = RNG.normal(size=(3, 4)), RNG.normal(size=(4, 2))
    found = times(rows(a.tolist()), rows(b.tolist()))
    assert np.allclose(found, a @ b)
    assert np.allclose(transposed(found), (a @ b).T)
