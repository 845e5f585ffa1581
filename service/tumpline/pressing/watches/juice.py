"""
Juice against the fruit it comes from: `juice-low`.

What to expect is the aligned fruit of each bin (see `attribution`) times what this fruit gave before. How long fruit
takes is never known exactly, least of all when a line fills again or before it was learned; so juice is low only where
it is too little for the least fruit that may show now.
"""

from __future__ import annotations

from typing import NamedTuple

from msgspec import Struct, field

from tumpline.pressing.ledger import Ledger
from tumpline.pressing.params import LineParams, WatchParams
from tumpline.pressing.residence import BIN
from tumpline.pressing.watches.baseline import Held
from tumpline.pressing.watches.look import Look
from tumpline.pressing.watches.verdict import QUIET, Verdict

_WINDOW = 4  # bins over which juice is held against its fruit
_LATE = 8  # bins by which it may come later than its fruit shows, however well the residence time is known
_STALE = 20.0  # seconds after which a closed bin says nothing of now: a meter is not heard, and the others wait for it
_SINCE = 4  # bins for which fruit that is getting less may have gone on so: a bin is closed some seconds late
_QUICK = 6.0  # seconds over which juice is averaged
_SURE = 12.0  # seconds: a residence time known no better is not learned yet
_UNBROKEN = 12  # bins for which fruit has to have come without a break
_FILLED = 12  # bins in which the press was never nearly empty
_EMPTY, _WORTH = 0.1, 0.3  # of the rated fruit: the press is nearly empty, and too little to judge anything by
_EVEN, _ALIKE = 24, 0.8  # bins in which the least is at least that share of the most, of fruit and of a steady juice
_FIRST_GUESS, _MOST = 0.8, 1.25  # of the yield the site expects: until the fruit has shown its own, and at the most
_MEMORY, _MEMORY_NEW = 60, 6  # bins; of fruit that has just changed
_NEW, _NEW_MARGIN = 36, 0.1  # bins for which fruit is new, and how much less it may give
_SEEN_STEADY, _NO_BURST = 120, 60  # bins; without juice for so long there is no sump that fills
_LONG_BURST = 36  # bins after which a pump that started is one that runs steadily

_LOW = "Juice is at {percent:.0f} % of what this fruit gave before.{evidence}"
_LOW_NEW = "Juice is at {percent:.0f} % of what the fruit before this load gave.{evidence}"


class Bins(NamedTuple):
    """The closed bins, as a watch of juice needs them."""

    ledger: Ledger
    aligned: list[float]
    """kg of fruit whose juice shows in each bin."""
    owner: object
    """Whose juice the last bin's is."""
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

    def least(self) -> float:
        """The least fruit (kg in a window of bins) whose juice may be in the last window, at all it may have taken."""
        if self.u_mean <= _SURE:
            last = len(self.aligned)
            found = min(sum(self.aligned[last - late - _WINDOW : last - late]) for late in range(_LATE + 1))
            falls = min(0.0, 0.5 * (self.aligned[-1] - self.aligned[-3]))
            return min(found, _WINDOW * max(0.0, self.aligned[-1] + _SINCE * falls))
        fruit, off = self.ledger.fruit.amounts, 2.0 * self.u_mean + self.sd
        first, last = len(fruit) - round((self.mean + off) / BIN), len(fruit) - round((self.mean - off) / BIN)
        if first < _WINDOW:
            return 0.0
        return min(sum(fruit[end - _WINDOW : end]) for end in range(first, min(last, len(fruit)) + 1))

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


class JuiceWatch(Struct):
    """`juice-low`: juice against its fruit, while fruit goes in."""

    held: Held = field(default_factory=Held)
    usual: float | None = None
    """m³/kg while normal."""
    learned: int = 0
    """Bins that `usual` rests on."""
    guess: float = 0.0
    """m³/kg to begin with."""
    pumped: bool = False
    """Juice is judged by the starts and stops of a pump."""
    least: float | None = None
    """kg/s of fruit whose juice should show, at the least; None while that cannot be said."""
    closed_at: float = 0.0
    """End of the last closed bin."""
    quick: float = 0.0
    """m³/s of juice, a mean over some seconds."""
    share: float | None = None
    """Of what is usual, now; None while it cannot be judged."""
    owner: str = ""
    new: int = 0
    """Bins left for which the fruit is new."""
    fill: float | None = None
    """m³ that come into the sump from where the float stops its pump to where it starts it."""
    steady: int = 0
    """Bins in which juice was seen to run steadily."""
    marks: int = 0
    """Starts and stops of a pump already looked at."""
    unbroken: int = 0
    """Bins since fruit last did not go in."""
    heard: int = 0
    """Bins since fruit or juice was last not heard."""

    def close_bin(self, bins: Bins, line: LineParams, *, runs: bool, normal: bool) -> None:
        """
        Take one closed bin. `runs` while fruit goes into the mill, `normal` while no other watch finds the press wrong.
        """
        rated = BIN * line.rated_throughput
        self.closed_at = bins.ledger.end
        self._note_owner(str(bins.owner))
        self.unbroken = self.unbroken + 1 if runs else 0
        self.heard = self.heard + 1 if bins.ledger.fruit.gap + bins.ledger.juice.gap == 0.0 else 0
        self.guess = _FIRST_GUESS * line.expected_yield
        self.pumped = self._in_bursts(bins, line.juice_pump)
        self.least, self.share = None, None
        if min(self.unbroken, self.heard) >= _UNBROKEN:
            if self.pumped:
                gives = self._standing(bins, rated)
                self.share = None if gives is None else gives / self._usual_or_guess()
            elif not self._may_be_filling(bins, line.juice_pump):
                self.least = _least_that_shows(bins, rated)
        if normal and not self.held.active:
            self._learn_from(bins, line.watches["juice-low"], line)
        self.marks = len(bins.ledger.marks)

    def second(self, look: Look, limits: WatchParams, *, runs: bool) -> None:
        """One second more, and what the watch thinks."""
        if look.juice is not None:
            self.quick += (look.juice - self.quick) / _QUICK
        if not self.pumped:
            known = self.least is not None and look.juice is not None and look.at - self.closed_at <= _STALE
            self.share = self.quick / (self._usual_or_guess() * (self.least or 1.0)) if known else None
        low = self.share is not None and self.share < self._limit(limits)
        back = self.share is not None and self.share > limits.limit + limits.deadband
        self.held.step(look.at, beyond=low, back=back or not runs, delay=limits.delay)

    def _usual_or_guess(self) -> float:
        return self.guess if self.usual is None else self.usual

    def _limit(self, limits: WatchParams) -> float:
        return limits.limit - (_NEW_MARGIN if self.new else 0.0)

    def _learn_from(self, bins: Bins, limits: WatchParams, line: LineParams) -> None:
        rated = BIN * line.rated_throughput
        between = self._limit(limits) * self._usual_or_guess(), _MOST * line.expected_yield
        if self.pumped:
            self._learn_cycle(bins, between, rated)
        elif self.least is not None and bins.even(rated, pumped=False):
            self.steady += 1
            self._learn(sum(bins.juice[-_WINDOW:]) / sum(bins.aligned[-_WINDOW:]), 1, between)

    def _in_bursts(self, bins: Bins, told: str) -> bool:
        """
        Whether juice is judged by the starts and stops of a pump. A line long seen to run steadily is not taken for one
        with a sump when its juice stops.
        """
        marks = bins.ledger.marks
        if marks and marks[-1].on and len(bins.aligned) - marks[-1].bin > _LONG_BURST:
            return False
        seen = self.steady < _SEEN_STEADY and any(mark.on for mark in marks)
        return told != "steady" and (bins.pumped or seen)

    def _may_be_filling(self, bins: Bins, told: str) -> bool:
        """No juice at all yet may be a sump that fills, on a line that was not told or seen to have none."""
        if told == "steady" or self.steady >= _SEEN_STEADY or not bins.juice:
            return False
        return len(bins.juice) < _NO_BURST or max(bins.juice[-_NO_BURST:]) <= _EMPTY * max(bins.juice)

    def _note_owner(self, name: str) -> None:
        if name != self.owner:
            self.owner, self.new = name, _NEW
            self.learned = min(self.learned, _MEMORY_NEW)
        self.new = max(0, self.new - 1)

    def _standing(self, bins: Bins, rated: float) -> float | None:
        """
        m³/kg while the pump of a sump stands: the sump's fill over the fruit that has gone by since the pump stopped.
        If the pump started now it would be just that, so it is the most that it can come to.
        """
        if not bins.ledger.marks or self.fill is None:
            return None
        last = bins.ledger.marks[-1]
        fruit = min(bins.fruit_since(last.bin, late) for late in range(_LATE + 1))
        nothing = _EMPTY * rated * self._usual_or_guess()
        ran_on = last.on or max(bins.juice[int(last.bin) + 1 :], default=0.0) > nothing
        whole = last.bin > len(bins.aligned) - min(self.unbroken, self.heard)
        return self.fill / fruit if whole and not ran_on and fruit > _WORTH * rated else None

    def _learn_cycle(self, bins: Bins, between: tuple[float, float], rated: float) -> None:
        """Learn from a pump cycle that has just ended, where its fruit was even."""
        cycle = bins.ledger.marks[-3:]
        over = len(bins.ledger.marks) > self.marks and len(cycle) == 3 and cycle[2].on
        if not over or not bins.even(rated, pumped=True):
            return
        before, stop, now = cycle
        since = bins.fruit_since(now.bin)
        fruit = bins.fruit_since(before.bin) - since
        gave = (now.metered - before.metered) / fruit if fruit > 0.0 else 0.0
        if self._learn(gave, round(now.bin - before.bin), between):
            fill = (self.usual or gave) * (bins.fruit_since(stop.bin) - since)
            self.fill = fill if self.fill is None else self.fill + 0.2 * (fill - self.fill)

    def _learn(self, gave: float, bins: int, between: tuple[float, float]) -> bool:
        if not between[0] <= gave <= between[1]:
            return False
        self.learned += bins
        before = self.usual if self.usual is not None else gave
        self.usual = before + (gave - before) * min(1.0, bins / min(self.learned, _MEMORY))
        return True

    def verdict(self, limits: WatchParams, evidence: str) -> Verdict:
        """What the watch says now."""
        if not self.held.active:
            return QUIET
        percent = 100.0 * (self.share if self.share is not None else limits.limit)
        said = (_LOW_NEW if self.new else _LOW).format(percent=percent, evidence=evidence)
        return Verdict(True, percent, 100.0 * limits.limit, "%", said)


def _least_that_shows(bins: Bins, rated: float) -> float | None:
    """kg/s, the least fruit whose juice may show now; None while the press fills or is too empty to be judged."""
    if len(bins.aligned) < _WINDOW + _LATE + _FILLED or min(bins.aligned[-_FILLED:]) < _EMPTY * rated:
        return None
    least = bins.least()
    return least / (_WINDOW * BIN) if least > _WORTH * rated * _WINDOW else None
