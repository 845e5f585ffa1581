"""Small vectors and matrices of a few rows, in plain Python: a library's arrays cost more than they save there."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from operator import mul, sub

Row = tuple[float, ...]
Matrix = tuple[Row, ...]


def dot(a: Sequence[float], b: Sequence[float]) -> float:
    """Sum of products; `a` and `b` are equally long."""
    return float(sum(map(mul, a, b)))


def rows(matrix: Iterable[Iterable[float]]) -> Matrix:
    """The same as a matrix that nobody changes."""
    return tuple(map(tuple, matrix))


def identity(n: int) -> Matrix:
    """n by n, ones on the diagonal."""
    return rows([float(i == j) for j in range(n)] for i in range(n))


def transposed(a: Matrix) -> Matrix:
    """Columns as rows."""
    return tuple(zip(*a, strict=True))


def apply(a: Matrix, x: Sequence[float]) -> Row:
    """a x."""
    return tuple(dot(row, x) for row in a)


def times(a: Matrix, b: Matrix) -> Matrix:
    """a b."""
    columns = transposed(b)
    return tuple(apply(columns, row) for row in a)


def minus(a: Matrix, b: Matrix) -> Matrix:
    """a - b."""
    return rows(map(sub, p, q) for p, q in zip(a, b, strict=True))


def inverse(matrix: Matrix) -> Matrix | None:
    """
    Of a symmetric positive definite matrix, by Gauss-Jordan elimination, which needs no pivoting there.

    None where the matrix is not (numerically) positive definite.
    """
    n = len(matrix)
    work = [[*row, *unit] for row, unit in zip(matrix, identity(n), strict=True)]
    for i in range(n):
        pivot = work[i][i]
        if pivot <= 1e-12 * matrix[i][i] or pivot <= 0.0:
            return None
        work[i] = [x / pivot for x in work[i]]
        for k in range(n):
            if k != i:
                factor = work[k][i]
                work[k] = [x - factor * p for x, p in zip(work[k], work[i], strict=True)]
    return rows(row[n:] for row in work)


def solved(matrix: Sequence[Sequence[float]], right: Sequence[float]) -> list[float]:
    """x of `matrix` x = `right`, the matrix symmetric and positive definite, by elimination."""
    n = len(right)
    work = [[*row, r] for row, r in zip(matrix, right, strict=True)]
    for i in range(n):
        for k in range(i + 1, n):
            factor = work[k][i] / work[i][i]
            work[k] = [b - factor * a for a, b in zip(work[i], work[k], strict=True)]
    x = [0.0] * n
    for i in reversed(range(n)):
        x[i] = (work[i][n] - sum(work[i][k] * x[k] for k in range(i + 1, n))) / work[i][i]
    return x
