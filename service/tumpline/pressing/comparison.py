"""How sure a difference is: yields of several loads taken together, and held against each other.

What all loads share, the error of the same meters above all, cancels in a difference; what is left is how much loads of
one kind differ among themselves. Two loads of a kind say too little about that, so fewer than three are not judged.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from typing import NamedTuple

from msgspec import Struct

from tumpline.pressing.quantities import Figure

FEWEST = 3
"""Loads of a kind before anything is said about how they scatter."""


class Batch(NamedTuple):
    """A load, or the part of it that counts here, in any units that are the same throughout."""

    fruit: float
    juice: float


class Mean(Struct, frozen=True):
    """A value with its standard uncertainty, and how many independent scatters that was learned from."""

    value: float
    u: float
    dof: float = math.inf

    def figure(self) -> Figure:
        """The value with its 95 % interval."""
        half = t_975(self.dof) * self.u
        return Figure(self.value, self.value - half, self.value + half)


def pooled(batches: Sequence[Batch]) -> float | None:
    """Yield of all together, a ratio of sums; None without fruit."""
    fruit = sum(batch.fruit for batch in batches)
    return sum(batch.juice for batch in batches) / fruit if fruit > 0.0 else None


def mean_yield(batches: Sequence[Batch]) -> Mean | None:
    """
    The same with the uncertainty that comes from how loads of this kind scatter; None below `FEWEST` loads.

    Source: standard error of a ratio estimator, Cochran, Sampling Techniques, chapter 6 (from memory).
    """
    value, count = pooled(batches), len(batches)
    if value is None or count < FEWEST:
        return None
    fruit = sum(batch.fruit for batch in batches)
    squares = sum((batch.juice - value * batch.fruit) ** 2 for batch in batches)
    return Mean(value, math.sqrt(squares * count / (count - 1)) / fruit, count - 1.0)


def difference(one: Mean, other: Mean) -> Figure:
    """
    `one` less `other` with its 95 % interval; where that does not hold 0, they differ.

    Source: Welch's interval with the Welch-Satterthwaite degrees of freedom (GUM G.4.1, equation G.2b).
    """
    u = math.hypot(one.u, other.u)
    shares = one.u**4 / one.dof + other.u**4 / other.dof
    return Mean(one.value - other.value, u, u**4 / shares if shares > 0.0 else math.inf).figure()


def slope(points: Sequence[tuple[float, float]]) -> Figure | None:
    """
    How much y changes with one of x, by least squares, with its 95 % interval; None where x hardly varies or there are
    fewer than four points.
    """
    count = len(points)
    if count < FEWEST + 1:
        return None
    x_mean, y_mean = (sum(point[axis] for point in points) / count for axis in (0, 1))
    spread = sum((x - x_mean) ** 2 for x, _ in points)
    if spread <= (1e-6 * x_mean) ** 2 * count:
        return None
    value = sum((x - x_mean) * (y - y_mean) for x, y in points) / spread
    squares = sum((y - y_mean - value * (x - x_mean)) ** 2 for x, y in points)
    return Mean(value, math.sqrt(squares / (count - 2) / spread), count - 2.0).figure()


def t_975(dof: float) -> float:
    """
    Student's t below which 97.5 % lie, for 2 degrees of freedom or more; within 1 % at 2, 0.1 % from 4 upwards.

    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 26.7.5 (from memory).
    """
    z = 1.9599639845400545
    n = max(dof, 2.0)
    return (
        z
        + (z**3 + z) / 4.0 / n
        + (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / 96.0 / n**2
        + (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / 384.0 / n**3
        + (79.0 * z**9 + 776.0 * z**7 + 1482.0 * z**5 - 1920.0 * z**3 - 945.0 * z) / 92160.0 / n**4
    )
