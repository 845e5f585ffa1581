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
_EXACT = 4  # so many rectangular parts are integrated exactly; taking more as normal moves the interval by under 0.3 %
_NORMAL = 4.0  # a normal rest so many times the largest half-width leaves nothing to see of the rectangles


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


class Estimate(Struct, frozen=True, tag=True):
    """A value and the independent terms of its uncertainty, in one unit."""

    value: float
    terms: tuple[Term, ...] = ()

    @property
    def u(self) -> float:
        """Combined standard uncertainty (GUM equation 10)."""
        return math.sqrt(sum(t.u * t.u for t in self.terms))

    def figure(self, factor: float = 1.0, *, floor: float = -math.inf, ceiling: float = math.inf) -> Figure:
        """
        The value with its 95 % interval, times a `factor` above zero that leads to another unit, and cut at what is
        possible there at all; the value itself always lies inside it.
        """
        value, half = self.value * factor, _remembered_half_width(self.terms) * factor
        return Figure(value, min(value, max(floor, value - half)), max(value, min(ceiling, value + half)))

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


def combined(parts: Iterable[tuple[Estimate, float]]) -> Estimate:
    """
    Weighted sum of parts. What shares a source is one error, of one sign in every part that names it: there it adds up
    in full, or cancels where the weights differ in sign. Different sources add in quadrature.
    """
    value = 0.0
    by_source: dict[tuple[str, bool], float] = {}
    for part, weight in parts:
        value += weight * part.value
        for t in part.terms:
            by_source[t.source, t.limits] = by_source.get((t.source, t.limits), 0.0) + weight * t.u
    return Estimate(value, tuple(Term(s, abs(u), lim) for (s, lim), u in by_source.items()))


def total(parts: Iterable[Estimate]) -> Estimate:
    """Sum of parts; a meter's error is common to all of them, so it adds up in full (see `combined`)."""
    return combined((part, 1.0) for part in parts)


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
    sides = []
    variance = 0.0
    for t in terms:
        if t.limits:
            sides.append(t.u * math.sqrt(3.0))
        else:
            variance += t.u * t.u
    sides.sort(reverse=True)
    if not sides or sides[0] == 0.0:
        return _K95 * math.sqrt(variance)
    largest = sides[0]
    kept = tuple(a / largest for a in sides[:_EXACT] if a >= _SMALL * largest)
    variance += sum(a * a / 3.0 for a in sides[len(kept) :])
    sigma = math.sqrt(variance) / largest
    u = math.sqrt(sigma * sigma + sum(a * a for a in kept) / 3.0)
    if sigma > _NORMAL:
        return _K95 * u * largest
    return _solve_975(kept, sigma if sigma > 1e-6 else 0.0, start=1.6 * u) * largest


# A live view is written every second, its figures move every five: most widths are asked for again.
_remembered_half_width = lru_cache(maxsize=512)(half_width_95)


def _solve_975(sides: tuple[float, ...], sigma: float, *, start: float) -> float:
    """
    The x with P(S <= x) = 0.975, by Newton's method from below.

    P bends downwards for x > 0, so no step overshoots; no sum of these parts has its 95 % interval under ±1.64 u
    (the single rectangle: 0.95 √3 = 1.645), so `start` is below.
    """
    corners = [
        (sum(s * a for s, a in zip(signs, sides, strict=True)), math.prod(signs))
        for signs in product((1.0, -1.0), repeat=len(sides))
    ]
    volume = math.prod(2.0 * a for a in sides)
    x = start
    for _ in range(50):
        above, below = _over_corners(x, corners, len(sides), sigma)
        step = (0.975 - above / volume) / (below / volume)
        x += step
        if step < 1e-9 * x:
            break
    return x


def _over_corners(x: float, corners: list[tuple[float, float]], n: int, sigma: float) -> tuple[float, float]:
    """
    P(S <= x) and its density times the box's volume, for S = sum of n U(-a, a) plus N(0, sigma²): the n-fold and
    (n-1)-fold integrals of the normal distribution function, differenced at the 2ⁿ corners of the box, which are given
    by their place and sign.
    """
    probability = density = 0.0
    for place, sign in corners:
        above, below = _normal_integrals(x + place, n, sigma)
        probability += sign * above
        density += sign * below
    return probability, density


def _normal_integrals(y: float, n: int, sigma: float) -> tuple[float, float]:
    """The n-fold and the (n-1)-fold integral of the normal distribution function up to y; for sigma = 0, y₊ⁿ/n!."""
    if sigma == 0.0:
        return (y**n / math.factorial(n), y ** (n - 1) / math.factorial(n - 1)) if y > 0.0 else (0.0, 0.0)
    z = y / sigma
    before = math.exp(-0.5 * z * z) / (sigma * math.sqrt(2.0 * math.pi))
    now = 0.5 * math.erfc(-z / math.sqrt(2.0))
    for k in range(1, n + 1):
        before, now = now, (y * now + sigma * sigma * before) / k
    return now, before
