"""Measured values that must obey exact linear balances: the most likely true ones, and whether anything is wrong.

Weighted least squares after Kuehn and Davidson (Chem. Eng. Prog. 1961, 57(6), 44-47, cited from memory); tests and
bias estimates as in Narasimhan and Jordache, Data Reconciliation and Gross Error Detection (2000).

With measured y of covariance S and constraints A x = 0:

    residuals    r = A y, of covariance V = A S Aᵀ
    reconciled   x = y - S Aᵀ V⁻¹ r
    global test  rᵀ V⁻¹ r, chi-square with as many degrees of freedom as A has rows
    error b in stream j alone, f the column j of A:  b = (fᵀ V⁻¹ r)/(fᵀ V⁻¹ f),  z = |fᵀ V⁻¹ r|/√(fᵀ V⁻¹ f)
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from statistics import NormalDist

from msgspec import Struct

from tumpline.pressing.linear import Matrix, Row, apply, dot, identity, inverse, minus, rows, times, transposed

CHI_SQUARE_95 = (3.841, 5.991, 7.815, 9.488, 11.070, 12.592, 14.067, 15.507, 16.919, 18.307)
"""Exceeded once in twenty by chance, for 1 to 10 degrees of freedom: NIST/SEMATECH e-Handbook, 1.3.6.7.4."""


class Reconciled(Struct, frozen=True, kw_only=True):
    """The outcome of `reconcile`: in the units of the streams, one entry a stream unless it says otherwise."""

    values: Row
    covariance: Matrix
    """Of `values`."""
    weights: Matrix
    """`values` = weights · measured: how much each reconciled value leans on each measured one."""
    residuals: Row
    """What each constraint is off by as measured; one entry a constraint."""
    statistic: float
    limit: float
    """95 % limit of `statistic`."""
    z: tuple[float | None, ...]
    """
    Measurement test of each stream; None where no constraint sees it. Its square is the generalised likelihood ratio:
    by so much the statistic would fall if this stream alone were wrong.
    """
    z_limit: float
    """95 % limit of the largest z (Šidák)."""
    bias: tuple[float | None, ...]
    """The error of each stream if it alone were wrong: positive where it reads high."""
    alike: tuple[tuple[int, ...], ...]
    """For each stream the others whose error would look just the same: no test can tell them apart."""

    @property
    def u(self) -> Row:
        """Standard uncertainties of `values`."""
        return tuple(math.sqrt(max(0.0, row[j])) for j, row in enumerate(self.covariance))

    def unexplained(self, stream: int) -> float:
        """What is left of the statistic when `stream` alone is taken to be wrong."""
        z = self.z[stream]
        return self.statistic if z is None else self.statistic - z * z

    @property
    def limit_of_unexplained(self) -> float:
        """95 % limit of `unexplained`; explaining takes one degree of freedom."""
        return CHI_SQUARE_95[len(self.residuals) - 2] if len(self.residuals) > 1 else 1e-9 * self.statistic


def reconcile(
    values: Sequence[float], covariance: Sequence[Sequence[float]], constraints: Sequence[Sequence[float]]
) -> Reconciled | None:
    """
    Make `values` obey `constraints` (rows of coefficients, each summing to zero over the true values; at most 10).

    None where a constraint carries no uncertainty, or repeats others: then nothing can be weighed against anything.
    """
    y = tuple(values)
    s = rows(covariance)
    a = rows(constraints)
    columns = transposed(a)
    spread = times(s, columns)
    inverted = inverse(times(a, spread))
    if inverted is None:
        return None
    residuals = apply(a, y)
    scaled = apply(inverted, residuals)
    gain = times(spread, inverted)
    weights = minus(identity(len(y)), times(gain, a))
    pulls = [dot(f, scaled) for f in columns]
    precisions = [dot(f, apply(inverted, f)) for f in columns]
    return Reconciled(
        values=apply(weights, y),
        covariance=times(weights, s),
        weights=weights,
        residuals=residuals,
        statistic=dot(residuals, scaled),
        limit=CHI_SQUARE_95[len(a) - 1],
        z=tuple(abs(g) / math.sqrt(d) if d > 0.0 else None for g, d in zip(pulls, precisions, strict=True)),
        z_limit=sidak_limit(len(y)),
        bias=tuple(g / d if d > 0.0 else None for g, d in zip(pulls, precisions, strict=True)),
        alike=tuple(
            tuple(k for k, other in enumerate(columns) if k != j and _parallel(f, other)) for j, f in enumerate(columns)
        ),
    )


def sidak_limit(tests: int) -> float:
    """The limit that the largest of so many independent |z| exceeds once in twenty by chance (Šidák 1967)."""
    level = 1.0 - 0.95 ** (1.0 / tests)
    return NormalDist().inv_cdf(1.0 - level / 2.0)


def _parallel(a: Row, b: Row) -> bool:
    """Whether one is a multiple of the other, neither being zero."""
    product = dot(a, a) * dot(b, b)
    return product > 0.0 and dot(a, b) ** 2 > (1.0 - 1e-12) * product
