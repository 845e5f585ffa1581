"""
What juice from a sump tells of its fruit. A float switch starts and stops the pump at two levels, so each stretch from
start to stop and from stop to start tells what ran in meanwhile: the fill between the levels while the pump stands, and
what it pumped less that fill while it runs.
"""

from __future__ import annotations

import math

from msgspec import Struct

from tumpline.pressing.ledger import PumpMark, sump_fill
from tumpline.pressing.watches.bins import Bins

_WORTH = 0.3  # of the rated fruit of a bin: the fruit of a stretch has to be more than that to judge it by
_KNOWN, _MEMORY = 6, 10  # runs until their scatter is known, and over which it is taken
_SURE, _CLIP = 1.0, 0.25  # times the scatter by which a run has to be low, and the most that one run adds to it


class Bursts(Struct):
    """The pump's starts and stops so far."""

    marks: int = 0
    """Starts and stops already looked at."""
    fill: float = 0.0
    """m³ between the two levels; 0 until that is known."""
    last: float = math.inf
    """m³/kg of the last run or rest, where fruit came evenly; else infinite."""
    runs: int = 0
    """Of the pump, that told something."""
    usual: float = 0.0
    """m³/kg that they told."""
    scatter: float = 0.0
    """Their mean square distance from that, as a share: how well fill and way are known."""

    def close_bin(self, bins: Bins, *, since: int, rated: float, nothing: float) -> float | None:
        """
        m³/kg that the fruit gives now, at the most; None while that cannot be said. Fruit came without a break from bin
        `since` on; `rated` is the rated fruit (kg), and `nothing` as good as no juice (m³), in a bin.
        """
        marks = bins.ledger.marks
        if len(marks) != self.marks:
            self.marks, self.fill = len(marks), sump_fill(marks)
            self._note(self._over(bins, since, rated, nothing), run=bool(marks) and not marks[-1].on)
        if not marks or self.fill <= 0.0 or marks[-1].bin <= since:
            return None
        going_on = math.inf if marks[-1].on else self._gave(bins, marks[-1], None, rated, nothing)
        most = min(self.last, going_on)
        return most if most < math.inf else None

    def _note(self, gave: float, *, run: bool) -> None:
        """A run tells more as the runs before it told the same."""
        self.last = gave
        if not run or gave == math.inf:
            return
        self.last = gave * (1.0 + _SURE * math.sqrt(self.scatter)) if self.runs >= _KNOWN else math.inf
        self.runs += 1
        weight = 1.0 / min(self.runs, _MEMORY)
        if self.runs > 1:
            off = min(abs(gave / self.usual - 1.0), _CLIP)
            self.scatter += (off * off - self.scatter) * weight
        self.usual += (gave - self.usual) * weight

    def _over(self, bins: Bins, since: int, rated: float, nothing: float) -> float:
        marks = bins.ledger.marks[-2:]
        if len(marks) < 2 or marks[0].bin <= since or marks[0].on is marks[1].on or self.fill <= 0.0:
            return math.inf
        return self._gave(bins, marks[0], marks[1], rated, nothing) if bins.even(rated, pumped=True) else math.inf

    def _gave(self, bins: Bins, begun: PumpMark, over: PumpMark | None, rated: float, nothing: float) -> float:
        """From one mark to another one, or from a stop until now: if the pump started now, the fill is what ran in."""
        end = float(len(bins.aligned)) if over is None else over.bin
        if begun.on and over is not None:
            came = over.metered - begun.metered - self.fill
        elif max(bins.juice[int(begun.bin) + 1 : int(end)], default=0.0) <= nothing:
            came = self.fill
        else:
            return math.inf  # it ran meanwhile, unnoticed
        fruit = min(bins.fruit_since(begun.bin, late) - bins.fruit_since(end, late) for late in range(bins.late + 1))
        return came / fruit if fruit > _WORTH * rated else math.inf
