"""What the vats hold at any time: juice poured, and what people said about it, taken in the order of its time.

Nothing is overwritten: what is written late takes its place by its own time, and what the vats hold is reckoned anew.
"""

from __future__ import annotations

import math
from bisect import bisect_right, insort
from collections.abc import Iterable, Sequence
from itertools import takewhile
from operator import attrgetter, itemgetter

from msgspec import Struct, field

from tumpline.pressing.entries import Dip, Draw, Entry, Sample, Transfer, Vat, VatKnown
from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.residence import BIN
from tumpline.pressing.stock import UNNAMED, Part, Stock, renamed
from tumpline.pressing.switches import Switches

KEPT = 15 * 86400.0
"""Seconds for which what was written can still be corrected: last week's on any day of this one."""

_DIP = 0.005  # of the vat's capacity, either way (common practice, no source)
_DIP_BLIND = 0.01  # of what it holds, where the capacity is not known (common practice, no source)
_REACH = 3
"""Bins before and after a change of vat that tell what a vat may have got more or less of."""
_SLIVER = 0.05
"""Share of a stretch of juice below which a load is there only by the ends of its mixing with its neighbour."""
_MOVED = 0.01  # of a volume said to have been moved, either way (common practice, no source)
_SAMPLED = {"acidity": "acidity_g_per_l", "tannin": "tannin_g_per_l", "brix": "brix", "ph": "ph"}
"""Figures of a sample, g/L being kg/m³."""


class Told(Struct, frozen=True, tag=True):
    """Somebody said how much a vat holds, m³."""

    at: float
    vat: str
    holds: float
    dipped: bool = False
    """True where it was measured for certain, and not said in passing."""


class Moved(Struct, frozen=True, tag=True):
    """Juice left a vat, m³: to another vat, or to whoever took it."""

    at: float
    vat: str
    volume: float
    to_vat: str | None = None
    taken_by: str | None = None


class Sampled(Struct, frozen=True, tag=True):
    """A figure of a vat's juice was measured."""

    at: float
    vat: str
    figure: str
    value: float


Telling = Told | Moved | Sampled
Owner = str | dict[str, float]
"""The load, or where loads are mixed the share of each."""
_at = attrgetter("at")


class Pour(Struct):
    """A stretch of juice into one vat, with nothing said about vats in between."""

    since: float
    vat: str
    mark: int
    """How many tellings there were before it: another number begins another stretch."""
    parts: dict[str, float] = field(default_factory=dict)
    """m³ by load."""
    moving: dict[str, float] = field(default_factory=dict)
    """m³/s by load: how much of it a second more or less from mill to juice would move."""

    def add(self, volume: float, owner: Owner) -> None:
        """Juice of these loads."""
        for load, share in shares(owner).items():
            self.parts[load] = self.parts.get(load, 0.0) + share * volume

    def move(self, volume: float, one: Owner, other: Owner) -> None:
        """Of a bin with so much juice it is not sure whether it was as at one time or as at another near it."""
        if one != other:
            here, there = shares(one), shares(other)
            for load in here | there:
                differs = abs(here.get(load, 0.0) - there.get(load, 0.0))
                self.moving[load] = self.moving.get(load, 0.0) + differs * volume / BIN


class Pours(Struct):
    """Where the juice of one shift went, in order of time; fed bin by bin with what the attribution gave away."""

    stretches: list[Pour] = field(default_factory=list)
    done: int = 0
    """Bins taken."""
    last: Owner = UNNAMED
    """Whose the newest juice was."""
    sump: dict[str, float] = field(default_factory=dict)
    """m³ by load that came and were not metered yet."""
    meter: Estimate = Estimate(1.0)
    """What a m³ by the juice meter is worth."""
    delay_u: float = 0.0
    """Standard uncertainty of the time from mill to juice, s."""

    def extend(
        self,
        came: Sequence[float],
        owners: Sequence[Owner],
        metered: Sequence[float],
        *,
        start: float,
        to_vat: Switches,
        cellar: Cellar,
    ) -> None:
        """Take the bins since the last time: m³ that came and whose, and m³ metered, from the shift's start on."""
        for j in range(self.done, len(came)):
            owner = self._through_sump(came[j], owners[j], metered[j])
            if metered[j] != 0.0:
                at = start + BIN * (j + 0.5)
                around = owners[max(0, j - _REACH)], owners[min(len(owners) - 1, j + _REACH)]
                self._pour(metered[j], owner, around, (at, to_vat.at(at), cellar.mark(at)))
        self.done = len(came)

    def _pour(self, volume: float, owner: Owner, around: tuple[Owner, Owner], into: tuple[float, str, int]) -> None:
        """Juice of one bin; `into` is the beginning, vat and mark of a new stretch, unless the last one goes on."""
        last = self.stretches[-1] if self.stretches else None
        if last is not None and (last.vat, last.mark) == into[1:]:
            last.move(volume, owner, self.last)
        else:
            new = Pour(*into)
            self.stretches.append(new)
            if last is not None and last.vat != new.vat:
                last.move(volume, around[1], self.last)
                new.move(volume, around[0], owner)
        self.stretches[-1].add(volume, owner)
        self.last = owner

    def _through_sump(self, came: float, owner: Owner, metered: float) -> Owner:
        """
        Whose the juice metered in a bin is. Where a pump empties a sump in bursts, that is a mixture of what came
        before; elsewhere what comes is what is metered.
        """
        if came == metered and not self.sump:
            return owner
        for load, share in shares(owner).items():
            self.sump[load] = self.sump.get(load, 0.0) + share * came
        there = {load: volume for load, volume in self.sump.items() if volume > 0.0}
        whole = sum(there.values())
        drawn = {load: volume / whole for load, volume in there.items()} if whole > 0.0 else owner
        for load, share in shares(drawn).items():
            self.sump[load] = self.sump.get(load, 0.0) - share * metered
        return drawn

    def finish(self) -> None:
        """Nothing more comes: what the sump's account has left of a load, or too little, was in the last juice."""
        if self.stretches:
            for load, volume in self.sump.items():
                self.stretches[-1].add(volume, load)
        self.sump = {}

    def worth(self, meter: Estimate, delay_u: float) -> Pours:
        """The same, knowing how good the juice meter is and how well the time from mill to juice is known."""
        return Pours(self.stretches, self.done, self.last, self.sump, meter, delay_u)

    def into(self, vat: str) -> dict[str, Part]:
        """What went into a vat, by load."""
        found = Stock()
        for stretch in self.stretches:
            if stretch.vat == vat:
                found = found.with_more(self.stock(stretch))
        return found.parts

    def between(self, vat: str, since: float, until: float) -> float:
        """m³ that went into a vat between two tellings."""
        return sum(sum(s.parts.values()) for s in self.stretches if s.vat == vat and since <= s.since < until)

    def stock(self, stretch: Pour) -> Stock:
        """One stretch, with what meter and residence time leave open; of a sliver there may be none, or twice."""
        volume, most = sum(stretch.parts.values()), max(stretch.parts, key=stretch.parts.__getitem__)
        blurs = {load: rate * self.delay_u for load, rate in stretch.moving.items()}
        slivers = {load: amount for load, amount in stretch.parts.items() if amount < _SLIVER * volume}
        for load, amount in (*slivers.items(), (most, sum(slivers.values()))):
            blurs[load] = blurs.get(load, 0.0) + amount
        parts = {load: Part(amount, blurs.get(load, 0.0)) for load, amount in stretch.parts.items()}
        return Stock(self.meter.scaled(volume), parts=parts)


def shares(owner: Owner) -> dict[str, float]:
    """Share of each load."""
    return {owner: 1.0} if isinstance(owner, str) else owner


def tellings(at: float, entry: Entry) -> list[Telling]:
    """What an entry says about what vats hold."""
    match entry:
        case Vat(vat=vat, contents_l=float(litres)) | VatKnown(vat=vat, contents_l=float(litres)):
            return [Told(at, vat, litres / 1000.0)]
        case Dip():
            return [Told(at, entry.vat, entry.volume_l / 1000.0, dipped=True)]
        case Transfer():
            return [Moved(at, entry.from_vat, entry.volume_l / 1000.0, to_vat=entry.to_vat)]
        case Draw():
            return [Moved(at, entry.vat, entry.volume_l / 1000.0, taken_by=entry.to)]
        case Sample(vat=str(vat)):
            values = ((figure, getattr(entry, name)) for figure, name in _SAMPLED.items())
            return [Sampled(at, vat, figure, value) for figure, value in values if value is not None]
    return []


class Cellar(Struct):
    """
    All vats. `base` is what they held when all that is older than `KEPT` had happened; `pours` and `told` is what came
    after, of the shifts that are over; `opening` is the outcome, what the open shift began with at `since`.
    """

    base: dict[str, Stock] = field(default_factory=dict)
    pours: list[Pours] = field(default_factory=list)
    told: list[Telling] = field(default_factory=list)
    capacities: dict[str, float] = field(default_factory=dict)
    """m³, of the vats of which it is known."""
    opening: dict[str, Stock] = field(default_factory=dict)
    since: float = -math.inf

    def write(self, at: float, entry: Entry) -> bool:
        """Take in what an entry says about vats, by its time; False where it says nothing."""
        if isinstance(entry, Vat | VatKnown) and entry.capacity_l is not None:
            self.capacities[entry.vat] = entry.capacity_l / 1000.0
        said = tellings(at, entry)
        for telling in said:
            insort(self.told, telling, key=_at)
        if said:
            self._reopen(at)
        return bool(said)

    def unwrite(self, at: float, entry: Entry) -> None:
        """Take it back."""
        for telling in tellings(at, entry):
            if telling in self.told:
                self.told.remove(telling)
        self._reopen(at)

    def rename(self, load: str, name: str) -> None:
        """A load was written down under the wrong name."""
        for pours in self.pours:
            for stretch in pours.stretches:
                stretch.parts, stretch.moving = renamed(stretch.parts, load, name), renamed(stretch.moving, load, name)
        self.base = {vat: stock.renamed(load, name) for vat, stock in self.base.items()}
        self._reopen(-math.inf)

    def reroute(self, at: float, vat: str, name: str) -> None:
        """The juice that a shift that is over sent to `vat` from `at` on went to another."""
        stretches = [s for pours in self.pours for s in pours.stretches if s.since >= at]
        for stretch in takewhile(lambda s: s.vat == vat, stretches):
            stretch.vat = name
        self._reopen(at)

    def mark(self, at: float) -> int:
        """How much had been said about vats by then."""
        return bisect_right(self.told, at, key=_at)

    def stocks(self, pours: Pours, until: float = math.inf) -> dict[str, Stock]:
        """What every vat holds at `until`, given where the open shift's juice went."""
        return self._walked(self.opening, [pours], self.told[self.mark(self.since) : self.mark(until)], until)

    def stocks_then(self, until: float) -> dict[str, Stock]:
        """What every vat held at an earlier time, that of a shift of which the pours are still known."""
        return self._walked(self.base, self.pours, self.told[: self.mark(until)], until)

    def holds(self, vat: str, pours: Pours) -> float | None:
        """m³ in a vat now; None where nobody ever said how much there was."""
        # Of what is moved in from another vat the volume was said, so nothing else of that vat matters.
        told = [t for t in self.told_since_opening() if vat in (t.vat, getattr(t, "to_vat", None))]
        into = Pours([s for s in pours.stretches if s.vat == vat], meter=pours.meter)
        stock = self._walked(self.opening, [into], told).get(vat)
        return stock.volume.value if stock is not None and stock.whole else None

    def moved(self, pours: Pours) -> list[tuple[Moved, Stock]]:
        """What left the vats in the open shift, in order of time, and what that was."""
        gone: list[tuple[Moved, Stock]] = []
        self._walked(self.opening, [pours], self.told_since_opening(), gone=gone)
        return gone

    def told_since_opening(self) -> list[Telling]:
        """What was said about vats in the open shift."""
        return self.told[self.mark(self.since) :]

    def close(self, pours: Pours, at: float) -> None:
        """The open shift is over at `at`: its juice is in the vats, and what is too old to be corrected is settled."""
        self.pours.append(pours)
        recent = [p for p in self.pours if p.stretches and p.stretches[-1].since >= at - KEPT]
        settled = [p for p in self.pours if p not in recent]
        if settled:
            horizon = min((p.stretches[0].since for p in recent), default=at - KEPT)
            place = self.mark(horizon)
            self.base = self._walked(self.base, settled, self.told[:place])
            self.pours, self.told = recent, self.told[place:]
        self.since = at
        self._reopen(at)

    def loads(self) -> set[str]:
        """Every load with juice in a vat when the open shift began."""
        return {load for stock in self.opening.values() for load in stock.parts}

    def dip(self, told: Told) -> Estimate:
        """m³ as somebody said them; an empty vat is seen to be empty."""
        capacity = self.capacities.get(told.vat)
        half = _DIP * capacity if capacity is not None else _DIP_BLIND * told.holds
        return Estimate(told.holds, (limits(f"dip of vat {told.vat}", half),) if told.holds > 0.0 else ())

    def _reopen(self, at: float) -> None:
        """Something of before the open shift has changed: reckon anew what it began with."""
        if at <= self.since:
            self.opening = self._walked(self.base, self.pours, self.told[: self.mark(self.since)])

    def _walked(
        self,
        stocks: dict[str, Stock],
        pours: Iterable[Pours],
        told: Iterable[Telling],
        until: float = math.inf,
        *,
        gone: list[tuple[Moved, Stock]] | None = None,
    ) -> dict[str, Stock]:
        """
        The stocks after all that, in order of time; what was said at the very time of a pour came before it. What left
        the vats is appended to `gone`.
        """
        held = dict(stocks)
        steps: list[tuple[float, int, Telling | Stock, str]] = [(t.at, 0, t, t.vat) for t in told]
        steps += [(s.since, 1, p.stock(s), s.vat) for p in pours for s in p.stretches if s.since <= until]
        for _, _, step, vat in sorted(steps, key=itemgetter(0, 1)):
            stock = held.get(vat, Stock())
            match step:
                case Stock():
                    held[vat] = stock.with_more(step)
                case Told():
                    held[vat] = stock.told(self.dip(step))
                case Sampled():
                    held[vat] = stock.measured(step.figure, step.value)
                case Moved():
                    held[vat], goes = stock.taken(_said(step))
                    if gone is not None:
                        gone.append((step, goes))
                    if step.to_vat is not None:
                        held[step.to_vat] = held.get(step.to_vat, Stock()).with_more(goes)
        return held


def _said(moved: Moved) -> Estimate:
    return Estimate(moved.volume, (limits(f"volume moved out of vat {moved.vat}", _MOVED * moved.volume),))
