"""What vats and trailers say against the meters: how much a vat grew by its level or by dips, what a trailer weighed.

A vat seldom is watched from the first juice to the last: what it grew by is held against what the meter counted in the
same time, and the whole shift's juice counts as so much more or less.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from itertools import pairwise

from msgspec import Struct, field

from tumpline.pressing.book import Book
from tumpline.pressing.params import Accuracy
from tumpline.pressing.quantities import Estimate, Term, limits, normal
from tumpline.pressing.vats import Cellar, Moved, Pours, Told

_ENDS = 12
"""Bins at either end of a rise over which a level is averaged: a minute."""
_LONG_ENOUGH = 600.0
"""Seconds of rising under which a level tells too little."""
_COVERED = 0.5
"""Share of the juice that must have gone into watched vats for the rest to count as no different."""
_WEIGHBRIDGE = 10.0
"""kg, either way, full and empty each (common practice, no source)."""


class Rise(Struct):
    """One vat's level while juice goes into it."""

    vat: str
    since: float
    until: float = 0.0
    metered: float = 0.0
    """m³ by the juice meter."""
    first: list[float] = field(default_factory=list)
    """How far the level is above what was metered, m³: at the beginning, and lately."""
    latest: list[float] = field(default_factory=list)


class Gauge(Struct):
    """The levels of the vats of one shift; told once a bin."""

    rises: list[Rise] = field(default_factory=list)

    def step(self, at: float, vat: str, level: float | None, metered: float) -> None:
        """At `at` a bin ended in which `metered` m³ went into this vat, its mean level being `level` m³."""
        if not self.rises or self.rises[-1].vat != vat:
            self.rises.append(Rise(vat, at))
        rise = self.rises[-1]
        rise.until = at
        rise.metered += metered
        if level is not None:
            above = level - (rise.metered - 0.5 * metered)
            if len(rise.first) < _ENDS:
                rise.first.append(above)
            rise.latest = [*rise.latest[1 - _ENDS :], above]


class Grown(Struct, frozen=True):
    """What a vat grew by, and what was metered into it in that time: m³."""

    vat: str
    volume: Estimate
    metered: float


def grown_by_level(gauge: Gauge, cellar: Cellar, accuracies: Mapping[str, Accuracy]) -> list[Grown]:
    """By level meters, whose maker's limits are given by vat."""
    found = []
    for rise in gauge.rises:
        accuracy = accuracies.get(rise.vat)
        if accuracy is None or len(rise.first) < _ENDS or rise.until - rise.since < _LONG_ENOUGH:
            continue
        drift = sum(rise.latest) / len(rise.latest) - sum(rise.first) / len(rise.first)
        volume = rise.metered + drift - _moved_in(cellar, rise.vat, rise.since, rise.until)
        scatter = sum((x - sum(part) / _ENDS) ** 2 for part in (rise.first, rise.latest) for x in part) / _ENDS**2
        terms: list[Term] = [
            limits(f"accuracy of vat/{rise.vat}/volume", accuracy.of_reading * abs(volume) + accuracy.fixed),
            normal(f"scatter of vat/{rise.vat}/volume", scatter**0.5),
        ]
        found.append(Grown(rise.vat, Estimate(volume, tuple(t for t in terms if t.u > 0.0)), rise.metered))
    return found


def grown_by_dips(cellar: Cellar, pours: Pours) -> list[Grown]:
    """By dips: from what was said of a vat, to the next time it was dipped."""
    found = []
    told = [t for t in cellar.told_since_opening() if isinstance(t, Told)]
    for vat in dict.fromkeys(t.vat for t in told):
        for before, after in pairwise(t for t in told if t.vat == vat):
            metered = pours.between(vat, before.at, after.at)
            if after.dipped and metered > 0.0:
                ends = [cellar.dip(t).terms for t in (before, after)]
                terms = tuple(
                    Term(f"{t.source}, {when}", t.u, t.limits)
                    for end, when in zip(ends, ("before", "after"), strict=True)
                    for t in end
                )
                volume = after.holds - before.holds - _moved_in(cellar, vat, before.at, after.at)
                found.append(Grown(vat, Estimate(volume, terms), metered))
    return found


def _moved_in(cellar: Cellar, vat: str, since: float, until: float) -> float:
    """m³ that came from other vats, less what left."""
    moves = (t for t in cellar.told_since_opening() if isinstance(t, Moved) and since < t.at <= until)
    return sum(t.volume * ((t.to_vat == vat) - (t.vat == vat)) for t in moves)


def vat_growth(grown: Iterable[Grown], juice: float) -> Estimate | None:
    """
    What all of a shift's `juice` (m³ by the meter) is by the vats that were watched; None where less than half of it
    went into them.
    """
    known = list(grown)
    metered = sum(g.metered for g in known)
    if metered <= 0.0 or metered < _COVERED * juice:
        return None
    factor = juice / metered
    terms = tuple(Term(t.source, t.u * factor, t.limits) for g in known for t in g.volume.terms)
    return Estimate(factor * sum(g.volume.value for g in known), terms)


def trailer_weights(book: Book, names: Iterable[str]) -> dict[str, Estimate]:
    """kg on the trailers that were put under the press in this shift and weighed when they left it."""
    found = {}
    for name in names:
        trailer = book.trailers.get(name)
        if trailer is not None and trailer.net_kg is not None and book.to_trailer.latest(name)[0] >= book.opened:
            ends = tuple(limits(f"weighbridge, trailer {name} {how}", _WEIGHBRIDGE) for how in ("full", "empty"))
            found[name] = Estimate(trailer.net_kg, ends)
    return found


def weighed_pomace(weights: Mapping[str, Estimate], metered: Mapping[str, float]) -> Estimate | None:
    """
    What all of a shift's pomace is by the weighbridge, given kg by the pomace meter (or any other measure of it) by
    trailer; None where less than half of it left on trailers that were weighed.
    """
    whole, known = sum(metered.values()), sum(kg for name, kg in metered.items() if name in weights)
    if known <= 0.0 or known < _COVERED * whole:
        return None
    factor = whole / known
    terms = tuple(Term(t.source, t.u * factor, t.limits) for w in weights.values() for t in w.terms)
    return Estimate(factor * sum(weights[name].value for name in metered if name in weights), terms)
