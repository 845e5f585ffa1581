"""Which fruit became which juice: every closed bin of the ledger is given to the loads whose fruit is in it.

Sums agree by construction: each bin's juice and pomace is given away whole.
"""

from __future__ import annotations

from msgspec import Struct, field

from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.ledger import Ledger
from tumpline.pressing.residence import BIN, Kernel


class Portion(Struct):
    """What came from one load: kg, and m³ for juice."""

    fruit: float = 0.0
    aligned: float = 0.0
    """Fruit whose juice has come."""
    juice: float = 0.0
    pomace: float = 0.0


class Attribution(Struct):
    """The ledger given away up to bin `done`."""

    portions: dict[str, Portion] = field(default_factory=dict)
    vats: dict[str, dict[str, float]] = field(default_factory=dict)
    """m³ of juice by vat and load."""
    trailers: dict[str, dict[str, float]] = field(default_factory=dict)
    """kg of pomace by trailer and load."""
    aligned: list[float] = field(default_factory=list)
    """Fruit whose juice shows in each bin, kg."""
    owners: list[str] = field(default_factory=list)
    """Load whose fruit was milled in each bin."""
    changed: int = 0
    """Bin in which the owner last changed."""
    shares: dict[str, float] = field(default_factory=dict)
    """Who owned the last juice: what drips from an empty press is theirs."""

    @property
    def done(self) -> int:
        """Bins given away so far."""
        return len(self.aligned)

    def extend(self, ledger: Ledger, book: Book, kernel: Kernel) -> None:
        """Give away the bins closed since the last time."""
        for j in range(self.done, ledger.bins):
            middle = ledger.start + BIN * (j + 0.5)
            owner = book.at_mill.at(middle)
            if self.owners and owner != self.owners[-1]:
                self.changed = j
            self.owners.append(owner)
            fruit = ledger.fruit.amounts
            self._portion(owner).fruit += fruit[j]
            aligned = kernel.aligned(fruit, j)
            self.aligned.append(aligned)
            shares = self._shares(fruit, j, kernel, aligned)
            self._give(ledger, j, shares, (book.to_vat.at(middle), book.to_trailer.at(middle)))

    def _portion(self, load: str) -> Portion:
        portion = self.portions.get(load)
        if portion is None:
            portion = self.portions[load] = Portion()
        return portion

    def _shares(self, fruit: list[float], j: int, kernel: Kernel, aligned: float) -> dict[str, float]:
        """Share of each load in the juice of bin j."""
        if aligned <= 1e-6:
            return self.shares or {self.owners[-1]: 1.0}
        if j - self.changed >= len(kernel) or self.changed == 0:
            self.shares = {self.owners[-1]: 1.0}
            self._portion(self.owners[-1]).aligned += aligned
            return self.shares
        by_load: dict[str, float] = {}
        for k, weight in enumerate(kernel.weights[: j + 1]):
            part = weight * fruit[j - k]
            if part > 0.0:
                by_load[self.owners[j - k]] = by_load.get(self.owners[j - k], 0.0) + part
        for load, part in by_load.items():
            self._portion(load).aligned += part
        whole = sum(by_load.values())
        self.shares = {load: part / whole for load, part in by_load.items()}
        return self.shares

    def _give(self, ledger: Ledger, j: int, shares: dict[str, float], where: tuple[str, str]) -> None:
        juice, pomace = ledger.juice.amounts[j], ledger.pomace.amounts[j]
        if juice == 0.0 and pomace == 0.0:
            return
        vat = self.vats.setdefault(where[0], {})
        trailer = self.trailers.setdefault(where[1], {})
        for load, share in shares.items():
            portion = self._portion(load)
            portion.juice += juice * share
            portion.pomace += pomace * share
            vat[load] = vat.get(load, 0.0) + juice * share
            trailer[load] = trailer.get(load, 0.0) + pomace * share

    def named(self) -> list[str]:
        """Loads with fruit in this ledger, in the order they came; unnamed fruit too when there was any."""
        return [load for load, p in self.portions.items() if load != UNNAMED or p.fruit > 1.0]
