"""Which fruit became which juice: every closed bin of the ledger is given to the loads whose fruit is in it.

Sums agree by construction: all juice and pomace is given away whole. Where a sump is emptied by a float switch, the
meter says when the pump runs, not when juice comes: from one pump start to the next, when the sump stands at the same
level, as much juice came as was metered, and it is spread over that time as its fruit was.
"""

from __future__ import annotations

from bisect import bisect_left
from operator import attrgetter
from typing import NamedTuple

from msgspec import Struct, field

from tumpline.pressing import edges
from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.edges import Edges
from tumpline.pressing.ledger import TRACE, UNHEARD, Ledger, PumpMark, stands, sump_fill
from tumpline.pressing.params import LineParams
from tumpline.pressing.residence import BIN, POMACE_LATER, Passage, Transport
from tumpline.pressing.vats import Owner, Pours, shares

_TRACE = 1e-3
"""Share of a mixture below which a load counts as gone."""
_LAST = 3.0
"""Standard deviations beyond the mean way after which the last of the fruit has given its juice."""
_LITTLE = 0.2
"""Share of a sump's fill that the yield of its last cycles cannot tell from nothing (own trials)."""
_FILLED = 0.6
"""Share of a sump's fill that must have come before the float can have started its pump."""
_SETTLED = 3
"""Whole pump cycles before what came before the first start is worked out from their yield."""

_bin = attrgetter("bin")


class Way(NamedTuple):
    """The way of the fruit as it is taken to be, for `Attribution`."""

    transport: Transport
    pumped: bool
    """True where juice is counted from pump start to pump start."""
    params: LineParams


class Portion(Struct):
    """What came from one load: kg, and m³ for juice."""

    fruit: float = 0.0
    aligned: float = 0.0
    """Fruit whose juice has been given away."""
    juice: float = 0.0
    pomace: float = 0.0
    rest: float = 0.0
    """m³ that came but were left in the sump when the shift ended."""
    rest_u: float = 0.0
    """Standard uncertainty of that."""
    fruit_hidden: float = 0.0
    """Half-width of what missing time may have hidden of `fruit`, kg."""
    juice_hidden: float = 0.0
    """The same of `juice`, m³."""
    unfounded: float = 0.0
    """m³ of `juice` that came when there was no fruit left to give any."""
    sugar: float = 0.0
    """Sum of °Bx × m³, over `sugar_juice` m³ for which the refractometer was heard."""
    sugar_juice: float = 0.0
    warmth: float = 0.0
    """The same with °C."""
    warmth_juice: float = 0.0

    @property
    def made(self) -> float:
        """m³ of juice that came, metered or not."""
        return self.juice + self.rest


class Attribution(Struct):
    """The ledger given away up to bin `done`; its juice up to bin `given`."""

    portions: dict[str, Portion] = field(default_factory=dict)
    trailers: dict[str, dict[str, float]] = field(default_factory=dict)
    """kg of pomace by trailer and load."""
    passage: Passage = field(default_factory=Passage)
    aligned: list[float] = field(default_factory=list)
    """Fruit whose juice shows in each bin, kg."""
    owners: list[Owner] = field(default_factory=list)
    """Whose juice shows in each bin; what drips from an empty press is the last one's."""
    edges: Edges = field(default_factory=Edges)
    """Where one load ends at the mill and the next begins."""
    empty: float = 0.0
    """Seconds for which the line has run since fruit last went in."""
    unfounded: list[bool] = field(default_factory=list)
    """Whether juice in each bin has no fruit left to come from."""
    fed: float = 0.0
    """kg milled while the line ran."""
    fed_squared: float = 0.0
    """Sum of the squares of the bins' kg."""
    juice: list[float] = field(default_factory=list)
    """m³ that came in each bin; where it is pumped from a sump, as counted from start to start."""
    begun: float = 0.0
    """m³ already counted of the bin in which the last pump cycle ended."""
    starts: list[PumpMark] = field(default_factory=list)
    """Pump starts that juice is counted by."""
    marks: int = 0
    """Pump starts and stops that the ledger had at the last look."""
    looked: int = 0
    """Pump starts of the ledger looked at."""
    counted: float = 0.0
    """Bins up to the last of them."""
    pours: Pours = field(default_factory=Pours)
    """Where the juice went, in order of time."""

    @property
    def done(self) -> int:
        """Bins whose fruit is given away."""
        return len(self.aligned)

    @property
    def given(self) -> int:
        """Bins whose juice is given away."""
        return len(self.juice)

    def feed(self, rated: float) -> float:
        """
        At what feed the fruit came, as a share of the `rated` one (kg/s): by the kilogram, not by the second, for
        hardly any fruit comes slowly. 1 before there was any.
        """
        return self.fed_squared / (self.fed * BIN * rated) if self.fed > 0.0 else 1.0

    def extend(self, ledger: Ledger, book: Book, way: Way) -> None:
        """Give away the bins closed since the last time; all of them, where a load is now seen to begin elsewhere."""
        bins = edges.looked_at(ledger, book)
        if self.edges.seen != (bins, len(book.at_mill.times)):
            self._find_edges(ledger, book, way, bins)
        self._give_away(ledger, book, way)

    def _find_edges(self, ledger: Ledger, book: Book, way: Way, bins: int) -> None:
        found = edges.find(ledger, book, way.params, bins)
        if not found.same(self.edges, self.done):
            none_given = Attribution()
            for name in self.__struct_fields__:
                setattr(self, name, getattr(none_given, name))
        self.edges = found
        book.at_mill.lag = found.lag

    def _give_away(self, ledger: Ledger, book: Book, way: Way) -> None:
        for j in range(self.done, ledger.bins):
            self._take(ledger, book, way, j)
            if not way.pumped:
                self._give(ledger, ledger.juice.amounts[j])
        if way.pumped:
            self._count_cycles(ledger)
        self._pour(ledger, book)

    def finish(self, ledger: Ledger, book: Book, way: Way) -> None:
        """The ledger is over: what was metered since the last pump start is given away too."""
        self._find_edges(ledger, book, way, ledger.bins)
        self._give_away(ledger, book, way)
        if self.given < self.done:
            left = sum(ledger.juice.amounts) - sum(self.juice) - self.begun
            self._note_rest(ledger, left)
            self._spread(ledger, self.counted, float(self.done), left)
            self._pour(ledger, book)
        self.pours.finish()

    def _note_rest(self, ledger: Ledger, left: float) -> None:
        """
        The sump may not have been emptied: then less was metered since the last pump start than the last cycles' yield
        gives. What is missing, up to a fill of the sump, came from the same fruit; little is no sign of it.
        """
        fill = sump_fill(ledger.marks)
        if len(self.starts) <= _SETTLED or fill <= 0.0:
            return
        since = self._fruit_between(self.counted, float(self.done))
        missing = self._usual() * since - left
        rest = min(missing, fill) if missing > _LITTLE * fill else 0.0
        for j, part in _covered(self.counted, float(self.done)):
            for load, share in shares(self.owners[j]).items():
                weight = self.aligned[j] * part * share / since if since > 0.0 else 0.0
                portion = self._portion(load)
                portion.rest += rest * weight
                portion.rest_u += _LITTLE * fill * weight

    def _pour(self, ledger: Ledger, book: Book) -> None:
        metered = ledger.juice.amounts
        self.pours.extend(self.juice, self.owners, metered, start=ledger.start, to_vat=book.to_vat, cellar=book.cellar)

    def _take(self, ledger: Ledger, book: Book, way: Way, j: int) -> None:
        middle = ledger.start + BIN * (j + 0.5)
        owner, kg = self.edges.owner(j), ledger.fruit.amounts[j]
        milled = self._portion(owner)
        milled.fruit += kg
        milled.fruit_hidden += ledger.fruit.holes.get(j, 0.0)
        if stands(ledger, j, way.params, pumped=way.pumped):
            self.passage.wait(owner, kg)
            self.aligned.append(0.0)
            self.owners.append(self.owners[-1] if self.owners else owner)
        else:
            self.fed += kg
            self.fed_squared += kg * kg
            parts = self.passage.step(owner, kg, way.transport, way.params.rated_throughput)
            shows = sum(parts.values(), 0.0)
            self.aligned.append(shows)
            none = TRACE * BIN * way.params.rated_throughput
            self.empty = self.empty + BIN if kg < none else 0.0
            self.owners.append(self._owner(parts, shows))
        self.unfounded.append(self.empty > way.transport.mean + _LAST * way.transport.sd)
        pomace = ledger.pomace.amounts[j]
        if pomace != 0.0 or ledger.juice.amounts[j] != 0.0:
            trailer = self.trailers.setdefault(book.to_trailer.at(middle), {})
            for load, share in shares(self.owners[max(0, j - POMACE_LATER)]).items():
                self._portion(load).pomace += pomace * share
                trailer[load] = trailer.get(load, 0.0) + pomace * share

    def _portion(self, load: str) -> Portion:
        portion = self.portions.get(load)
        if portion is None:
            portion = self.portions[load] = Portion()
        return portion

    def _owner(self, parts: dict[str, float], whole: float) -> Owner:
        """Whose juice shows, of fruit by load and all of it; what drips from an empty press is the last one's."""
        if whole <= 1e-6:
            return self.owners[-1] if self.owners else self.edges.owner(self.done)
        of = {load: kg for load, kg in parts.items() if kg > _TRACE * whole}
        if len(of) == 1:
            return next(iter(of))
        whole = sum(of.values())
        return {load: kg / whole for load, kg in of.items()}

    def _give(self, ledger: Ledger, volume: float) -> None:
        """Give away the juice of the next bin."""
        j = self.given
        self.juice.append(volume)
        aligned = self.aligned[j]
        if volume == 0.0 and aligned == 0.0:
            return
        for load, share in shares(self.owners[j]).items():
            portion = self._portion(load)
            portion.aligned += aligned * share
            portion.juice += volume * share
            portion.unfounded += volume * share if self.unfounded[j] else 0.0
            portion.juice_hidden += ledger.juice.holes.get(j, 0.0) * share
            if ledger.brix[j] > 1.0:
                portion.sugar += volume * share * ledger.brix[j]
                portion.sugar_juice += volume * share
            if ledger.celsius[j] > UNHEARD:
                portion.warmth += volume * share * ledger.celsius[j]
                portion.warmth_juice += volume * share

    def _count_cycles(self, ledger: Ledger) -> None:
        """Count the juice of every pump cycle that is over; the first, which fills the sump, once a few others are."""
        if self.marks == len(ledger.marks):
            return
        self.marks = len(ledger.marks)
        starts, fill = ledger.starts, sump_fill(ledger.marks)
        if not self.starts and len(starts) > _SETTLED:
            first, last = starts[0], starts[_SETTLED]
            usual = _per_kg(first, last, self._fruit_between(first.bin, last.bin))
            self._spread(ledger, 0.0, first.bin, usual * self._fruit_between(0.0, first.bin))
            self.starts.append(first)
            self.looked = 1
        while self.starts and self.looked < len(starts):
            before, now = self.starts[-1], starts[self.looked]
            self.looked += 1
            if self._by_float(ledger, now, fill):
                self._spread(ledger, before.bin, now.bin, now.metered - before.metered)
                self.starts.append(now)

    def _by_float(self, ledger: Ledger, start: PumpMark, fill: float) -> bool:
        """False where a pump started before its sump can have filled: then people emptied it, at no known level."""
        before = ledger.marks[: bisect_left(ledger.marks, start.bin, key=_bin)]
        stopped = next((mark.bin for mark in reversed(before) if not mark.on), None)
        if stopped is None or len(self.starts) <= _SETTLED:
            return True
        return self._usual() * self._fruit_between(stopped, start.bin) > _FILLED * fill

    def _usual(self) -> float:
        """m³/kg of the last pump cycles."""
        first, last = self.starts[-1 - _SETTLED], self.starts[-1]
        return _per_kg(first, last, self._fruit_between(first.bin, last.bin))

    def _fruit_between(self, start: float, end: float) -> float:
        first, last = int(start), int(end)
        if first == last:
            return self.aligned[first] * (end - start) if start < end else 0.0
        whole = sum(self.aligned[first + 1 : last], self.aligned[first] * (first + 1.0 - start))
        return whole + self.aligned[last] * (end - last) if last < end else whole

    def _spread(self, ledger: Ledger, start: float, end: float, volume: float) -> None:
        """Spread juice over the time from `start` to `end` (in bins), as the fruit it came from shows there."""
        fruit = self._fruit_between(start, end)
        for j, part in _covered(start, end):
            weight = self.aligned[j] * part / fruit if fruit > 1e-3 else part / (end - start)
            self.begun += volume * weight
            if j + 1 <= end:
                self._give(ledger, self.begun)
                self.begun = 0.0
        self.counted = end

    def named(self) -> list[str]:
        """Loads with fruit in this ledger, in the order they came; unnamed fruit too when there was any."""
        return [load for load, p in self.portions.items() if load != UNNAMED or p.fruit > 1.0]


def _per_kg(first: PumpMark, last: PumpMark, fruit: float) -> float:
    return (last.metered - first.metered) / fruit if fruit > 0.0 else 0.0


def _covered(start: float, end: float) -> list[tuple[int, float]]:
    """The bins that a stretch of bins covers, each with the part of it that lies inside."""
    bins = []
    j = int(start)
    while j < end:
        bins.append((j, min(end, j + 1.0) - max(start, float(j))))
        j += 1
    return bins
