"""Closed bins of an invented line, as the watches of its juice see them."""

from __future__ import annotations

from collections.abc import Iterator

from looks import RATED
from tumpline.pressing.ledger import Ledger, PumpMark
from tumpline.pressing.residence import BIN
from tumpline.pressing.watches.bins import Bins

FED = BIN * RATED  # kg in a bin
USUAL = 7e-4  # m³/kg


class Press:
    """Fruit whose juice shows, and how much of it comes, bin by bin."""

    def __init__(self, *, pumped: bool = False, u_mean: float = 3.0) -> None:
        """With a sump where `pumped`: its pump runs for two bins of every six, and the sump takes four to fill."""
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
        if not self._running:
            return 0.0
        pumped = min(self._held, 3.0 * FED * USUAL)
        self._held -= pumped
        if self._held <= 0.0:
            self._mark(on=False, pumped=pumped)
        return pumped

    def _mark(self, *, on: bool, pumped: float = 0.0) -> None:
        """The pump starts as a bin begins, or stops as it ends with so much `pumped` in it."""
        self._running = on
        ledger = self._ledger
        ledger.marks.append(PumpMark(len(self._aligned) - 1.0 + (not on), sum(ledger.juice.amounts) + pumped, on))
