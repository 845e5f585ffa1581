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
_LESS = 0.8  # of the most fruit in a bin since the pump stopped: it is running out
_KNOWN, _MEMORY = 6, 10  # runs until their scatter is known, and over which it is taken
_SURE, _CLIP = 1.0, 0.25  # times the scatter by which a run has to be low, and the most that one run adds to it
_SHORT = 2.0  # bins: of what runs in during a shorter run, one reading of the pump more or less is a fifth
_WILD = (
    0.12  # of such scatter a run tells nothing: it is over within a few readings, and what stood between is not seen
)


class Bursts(Struct):
    """The pump's starts and stops so far."""

    marks: int = 0
    """Starts and stops already looked at."""
    fill: float = 0.0
    """m³ between the two levels; 0 until that is known."""
    last: float = math.inf
    """m³/kg of the last run or rest, where fruit came evenly; else infinite."""
    told: float = math.inf
    """The same as it was measured, whatever the scatter."""
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
            run = bool(marks) and not marks[-1].on
            if not run or len(marks) < 2 or marks[-1].bin - marks[-2].bin >= _SHORT:
                self._note(self._over(bins, since, rated, nothing), run=run)
        if not marks or self.fill <= 0.0 or marks[-1].bin <= since:
            return None
        rests = not marks[-1].on and not _thins(bins, marks[-1].bin)
        going_on = self._gave(bins, marks[-1], None, rated, nothing) if rests else math.inf
        most = min(self.last, going_on)
        return most if most < math.inf else None

    def _note(self, gave: float, *, run: bool) -> None:
        """A run tells more as the runs before it told the same; where they differ too much the rest before counts."""
        scatter = math.sqrt(self.scatter)
        if not run or scatter <= _WILD:
            self.told = gave
        if not run or gave == math.inf or self.runs < _KNOWN:
            self.last = math.inf if run else gave
        elif scatter <= _WILD:
            self.last = gave * (1.0 + _SURE * scatter)
        if not run or gave == math.inf:
            return
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


def _thins(bins: Bins, since: float) -> bool:
    """Whether what shows has got less since then: its juice may have got less sooner than that."""
    return bins.aligned[-1] < _LESS * max(bins.aligned[int(since) :], default=0.0)
