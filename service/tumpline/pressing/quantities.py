"""A figure that still knows where its uncertainty comes from.

Method: JCGM 100:2008 (GUM), first order. A maker's limits ±a are a rectangular distribution (GUM 4.3.7), u = a/√3.
The 95 % interval of a sum of a few rectangular parts and a normal rest is worked out exactly instead of taking
k = 2: with one meter's limits dominating, ±2u would reach beyond what the limits themselves allow
(JCGM 101:2008, 9.2.4).
"""

from __future__ import annotations

import math
from collections.abc import Iterable
from functools import lru_cache
from itertools import product
from typing import NamedTuple

from msgspec import Struct

_K95 = 1.959963984540054  # normal, two-sided 95 %
_SMALL = 0.05  # a rectangular part under this share of the largest one is as good as normal
_STEPS = 40  # shapes are rounded to 1/40 before caching: k95 moves by less than 0.2 %


class Term(NamedTuple):
    """One source of uncertainty of one figure."""

    source: str
    """In words a cider maker reads, such as `accuracy of mill/throughput`."""
    u: float
    """Standard uncertainty, in the figure's own unit, not negative."""
    limits: bool
    """True where it comes from limits ±u√3 inside which anything is equally likely."""


class Figure(NamedTuple):
    """A value with its 95 % interval, in one unit."""

    value: float
    low: float
    high: float


class Estimate(Struct, frozen=True):
    """A value and the independent terms of its uncertainty, in one unit."""

    value: float
    terms: tuple[Term, ...] = ()

    @property
    def u(self) -> float:
        """Combined standard uncertainty (GUM equation 10)."""
        return math.sqrt(sum(t.u * t.u for t in self.terms))

    def figure(self, *, floor: float = -math.inf, ceiling: float = math.inf) -> Figure:
        """The value with its 95 % interval, cut at what is possible at all."""
        half = half_width_95(self.terms)
        return Figure(self.value, max(floor, self.value - half), min(ceiling, self.value + half))

    def scaled(self, factor: float) -> Estimate:
        """The same in another unit, or times an exactly known number."""
        size = abs(factor)
        return Estimate(self.value * factor, tuple(Term(t.source, t.u * size, t.limits) for t in self.terms))

    def plus(self, *terms: Term) -> Estimate:
        """The same value with more that is not known about it."""
        return Estimate(self.value, self.terms + terms)


def limits(source: str, half_width: float) -> Term:
    """A term from limits ±half_width."""
    return Term(source, abs(half_width) / math.sqrt(3.0), True)


def normal(source: str, u: float) -> Term:
    """A term with a standard uncertainty of its own."""
    return Term(source, abs(u), False)


def total(parts: Iterable[Estimate]) -> Estimate:
    """
    Sum of parts. Terms of the same source add up in full (a meter's error is common to all its parts),
    different sources in quadrature.
    """
    value = 0.0
    by_source: dict[tuple[str, bool], float] = {}
    for part in parts:
        value += part.value
        for t in part.terms:
            by_source[t.source, t.limits] = by_source.get((t.source, t.limits), 0.0) + t.u
    return Estimate(value, tuple(Term(s, u, lim) for (s, lim), u in by_source.items()))


def ratio(top: Estimate, bottom: Estimate) -> Estimate | None:
    """
    top / bottom, first order, the two independent. None where the bottom is not clearly above zero:
    no fruit gives no yield, not infinity.
    """
    if bottom.value <= 0.0 or bottom.value <= 3.0 * bottom.u:
        return None
    value = top.value / bottom.value
    up = [Term(t.source, t.u / bottom.value, t.limits) for t in top.terms]
    down = [Term(t.source, t.u * abs(value) / bottom.value, t.limits) for t in bottom.terms]
    return Estimate(value, tuple(up + down))


def half_width_95(terms: Iterable[Term]) -> float:
    """Half the width of the symmetric 95 % interval of a sum of independent terms, in their unit."""
    rest = 0.0
    sides = []
    for t in terms:
        if t.limits:
            sides.append(t.u * math.sqrt(3.0))
        else:
            rest += t.u * t.u
    largest = max(sides, default=0.0)
    if largest == 0.0:
        return _K95 * math.sqrt(rest)
    kept = sorted((a for a in sides if a >= _SMALL * largest), reverse=True)
    for a in sides:
        if a < _SMALL * largest:
            rest += a * a / 3.0
    for a in kept[4:]:  # five equal rectangular parts are normal to 0.1 % at 95 %
        rest += a * a / 3.0
    sigma = math.sqrt(rest)
    if sigma > 4.0 * largest:
        return _K95 * math.sqrt(rest + sum(a * a for a in kept[:4]) / 3.0)
    shape = tuple(round(a / largest * _STEPS) / _STEPS for a in kept[:4])
    return largest * _scaled_half_width(shape, round(sigma / largest * _STEPS) / _STEPS)


@lru_cache(maxsize=4096)
def _scaled_half_width(sides: tuple[float, ...], sigma: float) -> float:
    """Solve P(|sum| <= x) = 0.95 by bisection; `sides` are rectangular half-widths, `sigma` the normal rest."""
    low, high = 0.0, sum(sides) + 5.0 * sigma
    for _ in range(50):
        middle = 0.5 * (low + high)
        if _probability_below(middle, sides, sigma) < 0.975:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def _probability_below(x: float, sides: tuple[float, ...], sigma: float) -> float:
    """
    P(S <= x) for S = sum of U(-a, a) over `sides` plus N(0, sigma²): the n-fold integral of the normal
    distribution function, differenced at the 2ⁿ corners of the box.
    """
    n = len(sides)
    volume = math.prod(2.0 * a for a in sides)
    signed = 0.0
    for signs in product((1.0, -1.0), repeat=n):
        corner = x + sum(s * a for s, a in zip(signs, sides, strict=True))
        signed += math.prod(signs) * _normal_integral(corner, n, sigma)
    return signed / volume


def _normal_integral(y: float, n: int, sigma: float) -> float:
    """The n-fold integral of the normal distribution function up to y; for sigma = 0, y₊ⁿ/n!."""
    if sigma == 0.0:
        return y**n / math.factorial(n) if y > 0.0 else 0.0
    z = y / sigma
    before = math.exp(-0.5 * z * z) / (sigma * math.sqrt(2.0 * math.pi))
    now = 0.5 * math.erfc(-z / math.sqrt(2.0))
    for k in range(1, n + 1):
        before, now = now, (y * now + sigma * sigma * before) / k
    return now
