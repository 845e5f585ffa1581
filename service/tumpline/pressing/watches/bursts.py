"""
What juice from a sump tells of its fruit. A float switch starts and stops the pump at two levels, so each stretch from
start to stop and from stop to start tells what ran in meanwhile: the fill between the levels while the pump stands, and
what it pumped less that fill while it runs.
"""

from __future__ import annotations

from typing import NamedTuple

from msgspec import Struct

from tumpline.pressing.ledger import PumpMark, sump_fill
from tumpline.pressing.watches.bins import Bins, thinned

_WORTH = 0.3  # of the rated fruit of a bin: the fruit of a stretch has to be more than that to judge it by


class Stretch(NamedTuple):
    """What ran in between two marks of the pump."""

    gave: float
    """m³/kg, at the most."""
    layer: float
    """kg of fruit a bin."""


class Bursts(Struct):
    """The pump's starts and stops so far."""

    marks: int = 0
    """Starts and stops already looked at."""
    fill: float = 0.0
    """m³ between the two levels; 0 until that is known."""
    last: Stretch | None = None
    """The last whole stretch, where fruit came evenly."""
    before: tuple[Stretch, ...] = ()
    """The two before it."""

    def close_bin(self, bins: Bins, *, since: int, rated: float, nothing: float) -> Stretch | None:
        """
        What the fruit gives now, at the most; None while that cannot be said. Fruit came without a break from bin
        `since` on; `rated` is the rated fruit (kg), and `nothing` as good as no juice (m³), in a bin.
        """
        marks = bins.ledger.marks
        if len(marks) != self.marks:
            self.marks, self.fill = len(marks), sump_fill(marks)
            self.before = (*self.before[-1:], self.last) if self.last is not None else ()
            self.last = self._over(bins, since, rated, nothing)
        if not marks or self.fill <= 0.0 or marks[-1].bin <= since:
            return None
        going_on = None if marks[-1].on else self._stretch(bins, marks[-1], None, rated, nothing)
        return min((s for s in (self.last, going_on) if s is not None), key=lambda s: s.gave, default=None)

    def lately(self, layer: float) -> float:
        """m³/kg that such a layer gave a moment ago, at the least; 0 where that cannot be said."""
        return min((s.gave * thinned(layer / s.layer) for s in self.before), default=0.0) if self.before[1:] else 0.0

    def _over(self, bins: Bins, since: int, rated: float, nothing: float) -> Stretch | None:
        marks = bins.ledger.marks[-2:]
        if len(marks) < 2 or marks[0].bin <= since or marks[0].on is marks[1].on or self.fill <= 0.0:
            return None
        return self._stretch(bins, marks[0], marks[1], rated, nothing) if bins.even(rated, pumped=True) else None

    def _stretch(
        self, bins: Bins, begun: PumpMark, over: PumpMark | None, rated: float, nothing: float
    ) -> Stretch | None:
        """From one mark to another one, or from a stop until now: if the pump started now, the fill is what ran in."""
        end = float(len(bins.aligned)) if over is None else over.bin
        if begun.on and over is not None:
            came = over.metered - begun.metered - self.fill
        elif max(bins.juice[int(begun.bin) + 1 : int(end)], default=0.0) <= nothing:
            came = self.fill
        else:
            return None  # it ran meanwhile, unnoticed
        fruit = min(bins.fruit_since(begun.bin, late) - bins.fruit_since(end, late) for late in range(bins.late + 1))
        return Stretch(came / fruit, fruit / (end - begun.bin)) if fruit > _WORTH * rated else None
