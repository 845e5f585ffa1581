"""The closed bins of the ledger, as a watch of juice needs them: what was metered, and the fruit it came from."""

from __future__ import annotations

import math
from typing import NamedTuple

from tumpline.pressing.ledger import Ledger
from tumpline.pressing.residence import BIN

WINDOW = 4
"""Bins over which juice is held against its fruit."""
_LATE = 8
"""Most bins by which juice may come later than its fruit is thought to show."""
_FORM = 0.5
"""Of the spread: whether fruit waits in a buffer or spreads on its way moves a dip by so much, whatever the mean."""
_SURE = 12.0
"""Seconds: a residence time known no better is not learned yet."""
_SINCE = 4  # bins for which fruit that is getting less may have gone on so: a bin is closed some seconds late
_WORTH = 0.3  # of the rated fruit: less is too little to judge anything by
_THIN = 0.35  # a layer gives as its thickness to the power of -0.35 (consolidation gives the sign; own trials)
_EVEN, _ALIKE = 24, 0.8  # bins in which the least is at least that share of the most, of fruit and of a steady juice


class Bins(NamedTuple):
    """The closed bins up to now."""

    ledger: Ledger
    aligned: list[float]
    """kg of fruit whose juice shows in each bin."""
    owner: str | dict[str, float]
    """Whose juice the last bin's is: the load, or of several the share of each."""
    pumped: bool
    """Juice comes in bursts from a sump."""
    mean: float
    """Residence time, s."""
    u_mean: float
    """Its standard uncertainty, s."""
    sd: float
    """Its standard deviation over the fruit, s."""
    speed: float | None = None
    """Of the belts, m/s."""

    @property
    def juice(self) -> list[float]:
        """m³ metered in each bin."""
        return self.ledger.juice.amounts

    @property
    def mostly(self) -> str:
        """The load that most of the last bin's juice is of."""
        return self.owner if isinstance(self.owner, str) else max(self.owner, key=self.owner.__getitem__)

    @property
    def learned(self) -> bool:
        """Whether the time from mill to juice is known well enough to say when juice should come."""
        return self.u_mean <= _SURE

    @property
    def late(self) -> int:
        """Bins by which juice may come earlier or later than its fruit is thought to show."""
        return min(_LATE, math.ceil((2.0 * self.u_mean + _FORM * self.sd) / BIN))

    def least(self, lag: int | None = None) -> float:
        """
        The least fruit (kg in a window of bins) whose juice may be in the last window, at all it may have taken; where
        it was seen to come, it is no more than `lag` bins late.
        """
        if self.learned:
            late = self.late if lag is None else min(self.late, lag + 1)
            found = min(self.shown(ago) for ago in range(late + 1))
            falls = min(0.0, 0.5 * (self.aligned[-1] - self.aligned[-3]))
            return min(found, WINDOW * max(0.0, self.aligned[-1] + _SINCE * falls))
        fed = self.fed()
        return min((sum(fed[i : i + WINDOW]) for i in range(len(fed) - WINDOW + 1)), default=0.0)

    def fed(self) -> list[float]:
        """kg milled in each bin of the time whose fruit may be what shows now; before the first of all, none."""
        fruit, off = self.ledger.fruit.amounts, 2.0 * self.u_mean + self.sd
        first, last = len(fruit) - math.ceil((self.mean + off) / BIN), len(fruit) - int((self.mean - off) / BIN)
        return [0.0] * -first + fruit[max(first, 0) : min(last, len(fruit))]

    def shown(self, ago: int, bins: int = WINDOW) -> float:
        """kg whose juice has shown in so many bins, up to some bins ago."""
        last = len(self.aligned) - ago
        return sum(self.aligned[last - bins : last])

    def even(self, rated: float, *, pumped: bool) -> bool:
        """Whether fruit and juice have been much the same for two minutes; `rated` in kg a bin."""
        fed, juice = self.aligned[-_EVEN:], self.juice[-_EVEN:]
        if len(fed) < _EVEN or max(fed) < _WORTH * rated or min(fed) < _ALIKE * max(fed):
            return False
        return pumped or min(juice) > _ALIKE * max(juice)

    def fruit_since(self, bin_: float, late: int = 0) -> float:
        """kg whose juice has shown since a time in bins, whole and part, if it shows so many bins later."""
        first = max(0, int(bin_) - late)
        last = len(self.aligned) - late
        if first >= last:
            return 0.0
        return sum(self.aligned[first:last]) - (bin_ - int(bin_)) * self.aligned[first]


def thinned(thicker: float) -> float:
    """How much of its yield a layer keeps that is so many times thicker; a thinner one is not taken to give more."""
    return float(min(1.0, max(thicker, 1e-3) ** -_THIN))
