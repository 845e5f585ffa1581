"""Closed bins of an invented line, as the watches of its juice see them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import cycle

from looks import RATED
from tumpline.pressing.ledger import Ledger, PumpMark
from tumpline.pressing.residence import BIN
from tumpline.pressing.watches.bins import Bins

FED = BIN * RATED  # kg in a bin
USUAL = 7e-4  # m³/kg


class Press:
    """Fruit whose juice shows, and how much of it comes, bin by bin."""

    def __init__(
        self, *, pumped: bool = False, u_mean: float = 3.0, pump: float = 3.0, misread: Sequence[float] = (1.0,)
    ) -> None:
        """
        With a sump where `pumped`: it takes four bins to fill, and its pump, `pump` times the juice that runs in, two
        to empty. Run by run the meter reads `misread` times what is pumped.
        """
        self._pump, self._misread = pump, cycle(misread)
        self._reads = 1.0
        self._ledger = Ledger(0.0)
        self._aligned: list[float] = []
        self._pumped = pumped
        self._u_mean = u_mean
        self._held = 0.0
        self._running = False

    def run(self, bins: int, *, share: float = 1.0, fruit: float = FED, owner: str = "41") -> Iterator[Bins]:
        """So many bins of fruit that gives `share` of the usual juice."""
        for _ in range(bins):
            self._aligned.append(fruit)
            self._ledger.fruit.amounts.append(fruit)
            self._ledger.juice.amounts.append(self._meter(fruit * USUAL * share))
            yield Bins(self._ledger, self._aligned, owner, self._pumped, 100.0, self._u_mean, 30.0)

    def _meter(self, came: float) -> float:
        if not self._pumped:
            return came
        self._held += came
        full = 4.0 * FED * USUAL
        if self._held >= full and not self._running:
            self._mark(on=True)
            self._reads = next(self._misread)
        if not self._running:
            return 0.0
        pumped = min(self._held, self._pump * FED * USUAL)
        self._held -= pumped
        if self._held <= 0.0:
            self._mark(on=False, pumped=self._reads * pumped)
        return self._reads * pumped

    def _mark(self, *, on: bool, pumped: float = 0.0) -> None:
        """The pump starts as a bin begins, or stops as it ends with so much `pumped` in it."""
        self._running = on
        ledger = self._ledger
        ledger.marks.append(PumpMark(len(self._aligned) - 1.0 + (not on), sum(ledger.juice.amounts) + pumped, on))
