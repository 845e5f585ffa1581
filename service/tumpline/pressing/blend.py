"""Blending by arithmetic: what a mixture of juices is, and in which proportion two reach a figure between them.

Acidity, tannin and sugar in kg/m³ (g/L) mix by volume, °Brix (g per 100 g) by mass, pH by no average at all: it depends
on what buffers the acid. Volumes are taken to add up, as juices of nearly one density do. This is information about
what is there: what to put into a cider is the maker's to decide.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct

from tumpline.pressing import juice
from tumpline.pressing.juice import OutOfRange

MALIC_PER_TARTARIC = 67.0437 / 75.0434
"""Titratable acidity as malic acid from the same as tartaric: the masses of one mole of acid hydrogen of each."""
MALIC_PER_SULFURIC = 67.0437 / 49.03925
"""The same from acidity as sulfuric acid, in which French practice gives it."""

SHARP_FROM = 4.5
"""kg/m³ as malic acid (0.45 % by volume): Barker (1903), the Long Ashton classes, seen in secondary texts."""
BITTER_FROM = 2.0
"""kg/m³ of tannin (0.2 %), from the same."""


class Juice(Struct, frozen=True, kw_only=True):
    """An amount of juice and what is in it; None where that is not known."""

    volume: float
    """m³."""
    acidity: float | None = None
    """kg/m³ as malic acid."""
    tannin: float | None = None
    """kg/m³."""
    brix: float | None = None

    @property
    def fruit_class(self) -> str | None:
        """See `fruit_class`."""
        return fruit_class(self.acidity, self.tannin)


class Bounds(Struct, frozen=True):
    """What the site wants a figure of its vats to lie between; None for no bound on that side."""

    figure: str
    """`acidity`, `tannin` (kg/m³), `brix` or `ph`."""
    low: float | None = None
    high: float | None = None


def by_volume(parts: Iterable[tuple[float, float]]) -> float:
    """Mean of a figure, each value counting by its volume, from (m³, value); the volumes must not sum to zero."""
    known = list(parts)
    return sum(volume * value for volume, value in known) / sum(volume for volume, _ in known)


def brix_by_mass(parts: Iterable[tuple[float, float]]) -> float:
    """°Bx of a mixture, from (m³, °Bx): each counts by its mass. Over 70 °Bx, outside the formula, by volume."""
    known = list(parts)
    masses = []
    for volume, brix in known:
        density = juice.density(brix)
        if isinstance(density, OutOfRange):
            return by_volume(known)
        masses.append((volume * density, brix))
    return by_volume(masses)


def mixed(figure: str, parts: Iterable[tuple[float, float]]) -> float | None:
    """A figure of a mixture from (m³, value), by the basis that is right for it; None where it does not average."""
    known = [(volume, value) for volume, value in parts if volume > 0.0]
    if len(known) == 1:
        return known[0][1]
    if not known or figure == "ph":
        return None
    return brix_by_mass(known) if figure == "brix" else by_volume(known)


def blend(juices: Iterable[Juice]) -> Juice:
    """All of them together. A figure is known where every part's is."""
    parts = [j for j in juices if j.volume > 0.0]

    def figure(name: str) -> float | None:
        values = [getattr(j, name) for j in parts]
        if any(value is None for value in values):
            return None
        return mixed(name, zip((j.volume for j in parts), values, strict=True))

    volume = sum(j.volume for j in parts)
    return Juice(volume=volume, acidity=figure("acidity"), tannin=figure("tannin"), brix=figure("brix"))


def pearson(one: float, other: float, target: float) -> float | OutOfRange:
    """
    Share of the first of two juices, by volume, in a mixture that reaches the target: the Pearson square,
    (target - other)/(one - other). For figures that mix by volume; refused unless the target lies between the two.
    """
    low, high = sorted((one, other))
    if not low <= target <= high or low == high:
        return OutOfRange(
            f"A mixture of {one:.6g} and {other:.6g} does not reach {target:.6g}; "
            f"a figure from {low:.6g} to {high:.6g} is accepted, from two that differ."
        )
    return (target - other) / (one - other)


def fruit_class(acidity: float | None, tannin: float | None) -> str | None:
    """
    Sharp, bittersharp, bittersweet or sweet, from acidity (as malic) and tannin in kg/m³; None where one is not known.

    The published table (see `SHARP_FROM`) says nothing about equality: here a figure at the limit counts as high.
    """
    if acidity is None or tannin is None:
        return None
    bitter = tannin >= BITTER_FROM
    if acidity >= SHARP_FROM:
        return "bittersharp" if bitter else "sharp"
    return "bittersweet" if bitter else "sweet"
