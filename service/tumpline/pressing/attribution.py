"""Which fruit became which juice: every closed bin of the ledger is given to the loads whose fruit is in it.

Sums agree by construction: all juice and pomace is given away whole. Where a sump is emptied by a float switch, the
meter says when the pump runs, not when juice comes: from one pump start to the next, when the sump stands at the same
level, as much juice came as was metered, and it is spread over that time as its fruit was.
"""

from __future__ import annotations

from typing import NamedTuple

from msgspec import Struct, field

from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.ledger import UNHEARD, Ledger, stands
from tumpline.pressing.params import LineParams
from tumpline.pressing.residence import BIN, Buffer, Kernel
from tumpline.pressing.vats import Owner, Pours, shares

_TRACE = 1e-3
"""Share of a mixture below which a load counts as gone."""
_SETTLED = 3
"""Whole pump cycles before what came before the first start is worked out from their yield."""


class Way(NamedTuple):
    """The way of the fruit as it is taken to be, for `Attribution`."""

    buffer: Buffer
    kernel: Kernel
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
    sugar: float = 0.0
    """Sum of °Bx × m³, over `sugar_juice` m³ for which the refractometer was heard."""
    sugar_juice: float = 0.0
    warmth: float = 0.0
    """The same with °C."""
    warmth_juice: float = 0.0


class Attribution(Struct):
    """The ledger given away up to bin `done`; its juice up to bin `given`."""

    portions: dict[str, Portion] = field(default_factory=dict)
    trailers: dict[str, dict[str, float]] = field(default_factory=dict)
    """kg of pomace by trailer and load."""
    held: dict[str, float] = field(default_factory=dict)
    """kg in the pulp buffer, by load."""
    pulp: list[float] = field(default_factory=list)
    """kg that left the buffer in each bin in which the line ran."""
    pulp_of: list[Owner] = field(default_factory=list)
    aligned: list[float] = field(default_factory=list)
    """Fruit whose juice shows in each bin, kg."""
    owners: list[Owner] = field(default_factory=list)
    """Whose juice shows in each bin; what drips from an empty press is the last one's."""
    mixed: int = -1
    """Last bin of `pulp` in which what left the buffer was mixed, or another's than before."""
    juice: list[float] = field(default_factory=list)
    """m³ that came in each bin; where it is pumped from a sump, as counted from start to start."""
    begun: float = 0.0
    """m³ already counted of the bin in which the last pump cycle ended."""
    starts: int = 0
    """Pump starts used."""
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

    def extend(self, ledger: Ledger, book: Book, way: Way) -> None:
        """Give away the bins closed since the last time."""
        for j in range(self.done, ledger.bins):
            self._take(ledger, book, way, j)
            if not way.pumped:
                self._give(ledger, book, ledger.juice.amounts[j])
        if way.pumped:
            self._count_cycles(ledger, book)
        self._pour(ledger, book)

    def finish(self, ledger: Ledger, book: Book) -> None:
        """The ledger is over: what was metered since the last pump start is given away too."""
        if self.given < self.done:
            left = sum(ledger.juice.amounts) - sum(self.juice) - self.begun
            self._spread(ledger, book, self.counted, float(self.done), left)
            self._pour(ledger, book)
        self.pours.finish()

    def _pour(self, ledger: Ledger, book: Book) -> None:
        metered = ledger.juice.amounts
        self.pours.extend(self.juice, self.owners, metered, start=ledger.start, to_vat=book.to_vat, cellar=book.cellar)

    def _take(self, ledger: Ledger, book: Book, way: Way, j: int) -> None:
        middle = ledger.start + BIN * (j + 0.5)
        owner, kg = book.at_mill.at(middle), ledger.fruit.amounts[j]
        self._portion(owner).fruit += kg
        if stands(ledger, j, way.params, pumped=way.pumped):
            self.held[owner] = self.held.get(owner, 0.0) + kg
            self.aligned.append(0.0)
            self.owners.append(self.owners[-1] if self.owners else owner)
        else:
            self._through_buffer(way.buffer, owner, kg)
            ran = len(self.pulp) - 1
            aligned = way.kernel.aligned(self.pulp, ran)
            self.aligned.append(aligned)
            self.owners.append(self._owner(way.kernel, ran, aligned))
        pomace = ledger.pomace.amounts[j]
        if pomace != 0.0 or ledger.juice.amounts[j] != 0.0:
            trailer = self.trailers.setdefault(book.to_trailer.at(middle), {})
            for load, share in shares(self.owners[j]).items():
                self._portion(load).pomace += pomace * share
                trailer[load] = trailer.get(load, 0.0) + pomace * share

    def _portion(self, load: str) -> Portion:
        portion = self.portions.get(load)
        if portion is None:
            portion = self.portions[load] = Portion()
        return portion

    def _through_buffer(self, buffer: Buffer, owner: str, kg: float) -> None:
        """Mill `kg` into the buffer and let out what leaves it."""
        held = self.held
        before = sum(held.values())
        out = buffer.out(before, kg)
        held[owner] = held.get(owner, 0.0) + kg
        whole = before + kg
        self.pulp.append(out)
        if len(held) == 1:
            held[owner] = whole - out
            of: Owner = owner
        else:
            kept = 1.0 - out / whole if whole > 0.0 else 0.0
            of = {load: part / whole for load, part in held.items()} if whole > 0.0 else owner
            for load, part in list(held.items()):
                held[load] = part * kept
                if load != owner and held[load] <= _TRACE * whole:
                    held[owner] += held.pop(load)
        if isinstance(of, dict) or (self.pulp_of and of != self.pulp_of[-1]):
            self.mixed = len(self.pulp_of)
        self.pulp_of.append(of)

    def _owner(self, kernel: Kernel, j: int, aligned: float) -> Owner:
        """Whose juice shows when bin j of `pulp` is the last."""
        if aligned <= 1e-6:
            return self.owners[-1] if self.owners else self.pulp_of[j]
        if j - self.mixed >= len(kernel):
            return self.pulp_of[j]
        by_load: dict[str, float] = {}
        for k, weight in enumerate(kernel.weights[: j + 1]):
            part = weight * self.pulp[j - k]
            if part > 0.0:
                for load, share in shares(self.pulp_of[j - k]).items():
                    by_load[load] = by_load.get(load, 0.0) + part * share
        floor = _TRACE * sum(by_load.values())
        by_load = {load: part for load, part in by_load.items() if part > floor}
        whole = sum(by_load.values())
        return {load: part / whole for load, part in by_load.items()} if len(by_load) > 1 else next(iter(by_load))

    def _give(self, ledger: Ledger, book: Book, volume: float) -> None:
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
            if ledger.brix[j] > 1.0:
                portion.sugar += volume * share * ledger.brix[j]
                portion.sugar_juice += volume * share
            if ledger.celsius[j] > UNHEARD:
                portion.warmth += volume * share * ledger.celsius[j]
                portion.warmth_juice += volume * share

    def _count_cycles(self, ledger: Ledger, book: Book) -> None:
        """Count the juice of every pump cycle that is over; the first, which fills the sump, once a few others are."""
        starts = ledger.starts
        if self.starts == 0 and len(starts) > _SETTLED:
            first, last = starts[0], starts[_SETTLED]
            fruit = self._fruit_between(first.bin, last.bin)
            usual = (last.metered - first.metered) / fruit if fruit > 0.0 else 0.0
            self._spread(ledger, book, 0.0, first.bin, usual * self._fruit_between(0.0, first.bin))
            self.starts = 1
        while 0 < self.starts < len(starts):
            before, now = starts[self.starts - 1], starts[self.starts]
            self._spread(ledger, book, before.bin, now.bin, now.metered - before.metered)
            self.starts += 1

    def _fruit_between(self, start: float, end: float) -> float:
        return sum(self.aligned[j] * part for j, part in _covered(start, end))

    def _spread(self, ledger: Ledger, book: Book, start: float, end: float, volume: float) -> None:
        """Spread juice over the time from `start` to `end` (in bins), as the fruit it came from shows there."""
        covered = _covered(start, end)
        fruit = self._fruit_between(start, end)
        width = sum(part for _, part in covered)
        for j, part in covered:
            weight = self.aligned[j] * part / fruit if fruit > 1e-3 else part / width
            self.begun += volume * weight
            if j + 1 <= end:
                self._give(ledger, book, self.begun)
                self.begun = 0.0
        self.counted = end

    def named(self) -> list[str]:
        """Loads with fruit in this ledger, in the order they came; unnamed fruit too when there was any."""
        return [load for load, p in self.portions.items() if load != UNNAMED or p.fruit > 1.0]


def _covered(start: float, end: float) -> list[tuple[int, float]]:
    """The bins that a stretch of bins covers, each with the part of it that lies inside."""
    bins = []
    j = int(start)
    while j < end:
        bins.append((j, min(end, j + 1.0) - max(start, float(j))))
        j += 1
    return bins
