"""What one vat holds: how much, of which loads, and what was measured on it.

A vat counts as mixed: what leaves it is of everything in it in proportion. Volumes are m³; acidity and tannin kg/m³,
sugar °Bx.
"""

from __future__ import annotations

from collections.abc import Mapping
from typing import TypeVar

from msgspec import Struct, field

from tumpline.pressing.blend import mixed
from tumpline.pressing.quantities import Estimate, Term, combined, normal, total

UNNAMED = ""
"""Whose juice is not known: no load entry names the fruit, or it was in the vat before anybody wrote anything."""

_V = TypeVar("_V")
_TRACE = 1e-6  # m³: less than this of a load is none
_GONE = Estimate(0.0)


class Part(Struct, frozen=True):
    """One load's juice in a vat."""

    amount: float
    blur: float = 0.0
    """m³, standard uncertainty: what may as well be its neighbour's in time."""


class Lump(Struct, frozen=True):
    """A figure measured on what a vat held, and how much of each load was in that and is still there."""

    value: float
    parts: dict[str, float]

    @property
    def volume(self) -> float:
        """m³ of it."""
        return sum(self.parts.values())


class Stock(Struct, frozen=True):
    """What a vat holds. The parts sum to the volume."""

    volume: Estimate = _GONE
    """m³ that are known of."""
    whole: bool = False
    """True once somebody has said how much the vat holds; until then there may be more in it than is known of."""
    parts: dict[str, Part] = field(default_factory=dict)
    lumps: dict[str, Lump] = field(default_factory=dict)
    """By figure (`acidity`, `tannin`, `brix`, `ph`): the newest sample."""

    def part(self, load: str) -> Estimate:
        """m³ of one load in this vat."""
        part = self.parts.get(load)
        if part is None or self.volume.value <= 0.0:
            return _GONE
        return self.volume.scaled(part.amount / self.volume.value).plus(*residence(part))

    def figure(self, name: str, of_loads: Mapping[str, float]) -> float | None:
        """
        A figure of the whole vat: the newest sample, and what came after it as its loads are. None where some of that
        is not known, or does not average.
        """
        lump = self.lumps.get(name, Lump(0.0, {}))
        known = [(lump.volume, lump.value)]
        for load, part in self.parts.items():
            since = part.amount - lump.parts.get(load, 0.0)
            if since > _TRACE:
                if load not in of_loads:
                    return None
                known.append((since, of_loads[load]))
        return mixed(name, known)

    def share(self, factor: float) -> Stock:
        """So much of everything in it."""
        parts = {
            load: Part(p.amount * factor, p.blur * factor) for load, p in self.parts.items() if p.amount * factor > 0.0
        }
        lumps = {f: Lump(m.value, {k: v * factor for k, v in m.parts.items()}) for f, m in self.lumps.items()}
        return Stock(self.volume.scaled(factor), self.whole, parts, lumps if parts else {})

    def with_more(self, other: Stock) -> Stock:
        """This, and what comes in from elsewhere."""
        parts = dict(self.parts)
        for load, more in other.parts.items():
            here = parts.get(load, Part(0.0))
            parts[load] = Part(here.amount + more.amount, here.blur + more.blur)
        lumps = dict(self.lumps)
        for name, lump in other.lumps.items():
            both = _both(name, self.lumps.get(name), lump)
            if both is not None:
                lumps[name] = both
        return Stock(total((self.volume, other.volume)), self.whole, parts, lumps)

    def taken(self, amount: Estimate) -> tuple[Stock, Stock]:
        """What stays when so many m³ are taken out, and what goes. More than is known of empties it."""
        here = self.volume.value
        factor = min(1.0, amount.value / here) if here > 0.0 else 1.0
        goes = _resized(self.share(factor), amount)
        if factor == 1.0:
            return Stock(whole=self.whole), goes
        stays = self.share(1.0 - factor)
        return Stock(combined(((self.volume, 1.0), (amount, -1.0))), self.whole, stays.parts, stays.lumps), goes

    def told(self, amount: Estimate) -> Stock:
        """
        Somebody says how much it holds. Where that and what is known of agree within their intervals, and where it is
        less, everything in it counts in proportion; where it is more, the rest is juice of no known load.
        """
        more = combined(((amount, 1.0), (self.volume, -1.0)))
        if amount.value <= 0.0:
            return Stock(amount, True)
        if more.figure().low <= 0.0 and self.parts:
            return _resized(self, amount)
        rest = Stock(parts={UNNAMED: Part(more.value)})
        return Stock(amount, True, self.with_more(rest).parts, self.lumps)

    def measured(self, name: str, value: float) -> Stock:
        """A sample of it says what a figure is."""
        lump = Lump(value, {load: part.amount for load, part in self.parts.items()})
        return Stock(self.volume, self.whole, self.parts, {**self.lumps, name: lump})

    def renamed(self, load: str, name: str) -> Stock:
        """The same, with a load's juice under another name."""
        lumps = {f: Lump(m.value, renamed(m.parts, load, name)) for f, m in self.lumps.items()}
        return Stock(self.volume, self.whole, renamed(self.parts, load, name), lumps)


def residence(part: Part) -> tuple[Term, ...]:
    """What is not known about a part because of the time from mill to juice."""
    return (normal("residence time", part.blur),) if part.blur > 0.0 else ()


def renamed(by_load: Mapping[str, _V], load: str, name: str) -> dict[str, _V]:
    """Something by load, with a load under another name."""
    return {name if key == load else key: value for key, value in by_load.items()}


def _resized(stock: Stock, amount: Estimate) -> Stock:
    """Everything in proportion, so that it is so much."""
    here = stock.volume.value
    if here <= 0.0:
        return Stock(amount, True, {UNNAMED: Part(amount.value)} if amount.value > 0.0 else {})
    sized = stock.share(amount.value / here)
    return Stock(amount, True, sized.parts, sized.lumps)


def _both(name: str, one: Lump | None, other: Lump) -> Lump | None:
    """Two measured lumps as one; None where the figure does not average."""
    if one is None or one.volume <= 0.0:
        return other
    value = mixed(name, ((one.volume, one.value), (other.volume, other.value)))
    if value is None:
        return Lump(one.value, one.parts)
    loads = {**one.parts, **other.parts}
    return Lump(value, {load: one.parts.get(load, 0.0) + other.parts.get(load, 0.0) for load in loads})
