"""
Juice against the fruit it comes from: `juice-low`.

What to expect is the aligned fruit of each bin (see `attribution`) times what this fruit gave before: over the last
minutes, and a moment ago, which tells a sudden loss even of fruit that nobody knows yet. How long fruit takes is never
known exactly, least of all when a line fills again or before it was learned; so juice is low only where it is too
little for the least fruit that may show now, and for how well juice followed its fruit before.
"""

from __future__ import annotations

import math

from msgspec import Struct, field

from tumpline.pressing.params import LineParams, WatchParams
from tumpline.pressing.residence import BIN
from tumpline.pressing.watches.baseline import Held
from tumpline.pressing.watches.bins import WINDOW, Bins, thinned
from tumpline.pressing.watches.bursts import Bursts
from tumpline.pressing.watches.look import Look
from tumpline.pressing.watches.verdict import QUIET, Verdict

_STALE = 20.0  # seconds after which a closed bin says nothing of now: a meter is not heard, and the others wait for it
_QUICK, _SLOW = 6.0, 30.0  # seconds over which juice is averaged, to see it fall
_SAGS = 0.92  # of what it should be, and of what it was: juice has begun to fall
_UNBROKEN = 12  # bins for which fruit has to have come without a break
_EMPTY, _WORTH = 0.1, 0.3  # of the rated fruit: the press is nearly empty, and too little to judge anything by
_FIRST_GUESS, _MOST = 0.8, 1.25  # of the yield the site expects: until the fruit has shown its own, and at the most
_MEMORY, _MEMORY_NEW = 60, 6  # bins; of fruit that has just changed
_NEW, _NEW_MARGIN = 36, 0.1  # bins for which fruit is new, and how much less it may give
_FULL = 36  # bins of fruit after which no juice is that of a press that fills
_OFTEN, _CLIP, _BEYOND = 120, 0.25, 4.0  # bins that tell the scatter, the most of one, and times it to be low
_EARLY = 0.15, 0.6  # of the rated fruit in the juice that rises
_AGO, _LATELY = 8, 6  # a moment ago: so many bins before now, over so many
_SEEN_STEADY, _NO_BURST = 120, 60  # bins; without juice for so long there is no sump that fills
_LONG_BURST = 36  # bins after which a pump that started is one that runs steadily

AT_ONCE = 0.7
"""Of the loss that the limit is: so much is told where it came at once."""

_LOW = "Juice is at {percent:.0f} % of what this fruit gave before.{evidence}"
_LOW_NEW = "Juice is at {percent:.0f} % of what the fruit before this load gave.{evidence}"


class JuiceWatch(Struct):
    """`juice-low`: juice against its fruit, while fruit goes in."""

    held: Held = field(default_factory=Held)
    usual: float | None = None
    """m³/kg while normal."""
    thick: float = 0.0
    """kg of fruit a bin that gave it."""
    learned: int = 0
    """Bins that `usual` rests on."""
    guess: float = 0.0
    """m³/kg to begin with."""
    lately: float = 0.0
    """m³/kg a moment ago, at the least; 0 where that cannot be said."""
    layer: float = 0.0
    """kg of fruit a bin then."""
    pumped: bool = False
    """Juice is judged by the starts and stops of a pump."""
    bursts: Bursts = field(default_factory=Bursts)
    should: float | None = None
    """m³/s of juice that should show, at the least; None while that cannot be said."""
    ago: float = 0.0
    """m³/s of it by what the fruit gave a moment ago; 0 where that cannot be said."""
    sure: bool = False
    """Fruit comes evenly, and is not new."""
    ended: bool = False
    """No fruit goes in; what should show is what should have when it ended."""
    closed_at: float = 0.0
    """End of the last closed bin."""
    quick: float = 0.0
    """m³/s of juice, a mean over some seconds."""
    slow: float = 0.0
    """The same over half a minute."""
    share: float | None = None
    """Of what is usual, now; None while it cannot be judged."""
    scatter: float = 0.0
    """Mean square of how much more came for its fruit than a moment ago, as a share of the usual."""
    judged: int = 0
    """Bins that tell it."""
    lag: int | None = None
    """Bins by which juice was late at the most when the press filled; None where that was not seen."""
    owner: str = ""
    new: int = 0
    """Bins left for which the fruit is new."""
    steady: int = 0
    """Bins in which juice was seen to run steadily."""
    starts: int = 0
    """Starts and stops of a pump already learned from."""
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
        self._note_owner(bins.mostly)
        self.unbroken = self.unbroken + 1 if runs else 0
        if not runs:
            self.lag = None
        self.heard = self.heard + 1 if bins.ledger.fruit.gap + bins.ledger.juice.gap == 0.0 else 0
        self.guess = _FIRST_GUESS * line.expected_yield
        self.pumped = self._in_bursts(bins, line.juice_pump)
        most = _MOST * line.expected_yield
        self.share, self.sure = None, False
        least = None
        if runs:
            self.should = None
        whole = min(self.unbroken, self.heard)
        if self.pumped:
            self.share = self._by_bursts(bins, rated, whole)
        elif not self._may_be_filling(bins, line.juice_pump):
            self._note_lag(bins, rated)
            least = _least_that_shows(bins, rated, self.lag) if whole >= _UNBROKEN else None
            self.sure = not self.new and bins.even(rated, pumped=True)
            self.should = None if least is None else self._expected(bins, least, rated, whole, most)
            self._note_scatter(bins, rated)
        if normal and not self.held.active:
            self._learn_from(bins, least, (self._limit(line.watches["juice-low"]), most), rated)
        self.starts = len(bins.ledger.marks)

    def second(self, look: Look, limits: WatchParams, *, runs: bool) -> None:
        """One second more, and what the watch thinks."""
        if look.juice is not None:
            self.quick += (look.juice - self.quick) / _QUICK
            self.slow += (look.juice - self.slow) / _SLOW
        if not runs:
            self.ended, self.share = True, None
            self.held.end()
            return
        if self.ended:
            self.ended, self.should = False, None
        if not self.pumped:
            known = self.should is not None and look.juice is not None and look.at - self.closed_at <= _STALE
            self.share = self.quick / (self.should or 1.0) if known else None
        low = self.share is not None and (self.share < self._limit(limits) or self._fell(limits))
        known = self.learned > _MEMORY_NEW  # fruit that nobody knows yet may give less than the fruit before it
        back = self.share is not None and self.share > limits.limit + (limits.deadband if known else 0.0)
        self.held.step(look.at, beyond=low, back=back, delay=limits.delay)

    @property
    def sags(self) -> bool:
        """Juice has just begun to fall below what its fruit gives."""
        known = self.should is not None and not self.pumped
        return known and self.quick < _SAGS * min(self.should or 0.0, self.slow)

    def _usual_or_guess(self) -> float:
        return self.guess if self.usual is None else self.usual

    def _note_scatter(self, bins: Bins, rated: float) -> None:
        """
        Where the way of the fruit is not known well, thin and thick of it show a little sooner or later than thought,
        and juice is now too much and now too little for it. What is lost is never too much.
        """
        if self.unbroken < _FULL or min(bins.shown(0), bins.shown(_AGO)) < _WORTH * rated * WINDOW:
            return
        ago = sum(bins.juice[-_AGO - WINDOW : -_AGO]) / bins.shown(_AGO)
        more = sum(bins.juice[-WINDOW:]) / bins.shown(0) - ago
        share = min(max(0.0, more / self._usual_or_guess()), _CLIP)
        self.judged += 1
        self.scatter += (share * share - self.scatter) / min(self.judged, _OFTEN)

    def _note_lag(self, bins: Bins, rated: float) -> None:
        """
        While the press fills its juice is seen to rise: so many bins it is late at the most. Less juice than usual only
        makes it seem later, and that by little, for it rises fast.
        """
        came, before = sum(bins.juice[-WINDOW:]), sum(bins.juice[-WINDOW - 1 : -1])
        rising = came > before and bins.shown(0) > bins.shown(1)
        early = _EARLY[0] < bins.shown(0) / (WINDOW * rated) < _EARLY[1]
        if not (rising and early and bins.learned and self.unbroken):
            return
        late = (n for n in range(bins.late) if came >= self._usual_or_guess() * bins.shown(n))
        self.lag = min(next(late, bins.late), bins.late if self.lag is None else self.lag)

    def _usual_of(self, layer: float) -> float:
        """m³/kg of a layer of so many kg a bin: a thicker one than gave the usual gives less."""
        gives = self._usual_or_guess()
        return gives * thinned(layer / self.thick) if self.thick > 0.0 else gives

    def _limit(self, limits: WatchParams) -> float:
        return self._at_the_most(limits.limit - (_NEW_MARGIN if self.new else 0.0))

    def _at_the_most(self, limit: float) -> float:
        return min(limit, 1.0 - _BEYOND * math.sqrt(self.scatter))

    def _fell(self, limits: WatchParams) -> bool:
        """Less of a loss is told where it came at once, of fruit that comes evenly and is not new."""
        return self.sure and self.quick < self._at_the_most(1.0 - AT_ONCE * (1.0 - limits.limit)) * self.ago

    def _expected(self, bins: Bins, least: float, rated: float, whole: int, most: float) -> float:
        """m³/s from the least fruit (kg in a window of bins) that may show: as usual, or as a moment ago if more."""
        if not (self.held.active or self.held.waits):
            self._note_lately(bins, rated, whole, most)
        now = least / WINDOW
        self.ago = self.lately * thinned(now / self.layer) * now / BIN if self.lately > 0.0 else 0.0
        return max(self._usual_of(now) * now / BIN, self.ago)

    def _note_lately(self, bins: Bins, rated: float, whole: int, most: float) -> None:
        """What fruit gave a moment ago, at the least for all the fruit that may have shown then."""
        self.lately = self.layer = 0.0
        if not bins.learned or whole < _AGO + _LATELY + 2 * bins.late:
            return
        fed = [bins.shown(_AGO + late, _LATELY) for late in range(-bins.late, bins.late + 1)]
        gave = sum(bins.juice[-_AGO - _LATELY : -_AGO]) / max(fed) if min(fed) > _WORTH * rated * _LATELY else 0.0
        if 0.0 < gave <= most:
            self.lately, self.layer = gave, bins.shown(_AGO, _LATELY) / _LATELY

    def _learn_from(self, bins: Bins, least: float | None, between: tuple[float, float], rated: float) -> None:
        if self.pumped:
            self._learn_cycle(bins, between, rated)
        elif least is not None and bins.even(rated, pumped=False):
            self.steady += 1
            self._learn(sum(bins.juice[-WINDOW:]) / bins.shown(0), bins.shown(0) / WINDOW, 1, between)

    def _in_bursts(self, bins: Bins, told: str) -> bool:
        """
        Whether juice is judged by the starts and stops of a pump. A line long seen to run steadily is not taken for one
        with a sump when its juice stops.
        """
        marks = bins.ledger.marks
        if told == "steady" or bins.pumped:
            return told != "steady"
        if not marks or self.steady >= _SEEN_STEADY:
            return False
        since = bins.juice[int(marks[-1].bin) + 1 :]
        return not marks[-1].on or len(since) <= _LONG_BURST or min(since) <= _EMPTY * max(since)

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

    def _by_bursts(self, bins: Bins, rated: float, whole: int) -> float | None:
        nothing = _EMPTY * rated * self._usual_or_guess()
        gives = self.bursts.close_bin(bins, since=len(bins.aligned) - whole, rated=rated, nothing=nothing)
        if gives is None or self.usual is None or whole < _UNBROKEN:
            return None
        if not self.held.active:
            return gives / self.usual
        # What is over tells whether juice is back; the most that it may be does not.
        told = self.bursts.told
        return min(told, gives) / self.usual if told < math.inf else None

    def _learn_cycle(self, bins: Bins, between: tuple[float, float], rated: float) -> None:
        """Learn from a pump cycle that has just ended, where its fruit was even."""
        cycle = bins.ledger.marks[-3:]
        over = len(bins.ledger.marks) > self.starts and len(cycle) == 3 and cycle[2].on
        if not over or not bins.even(rated, pumped=True):
            return
        before, now = cycle[0], cycle[2]
        fruit = bins.fruit_since(before.bin) - bins.fruit_since(now.bin)
        if fruit > 0.0:
            width = now.bin - before.bin
            # A thin layer gives more: what it would give in one of the rated thickness is what to expect of others.
            gave = (now.metered - before.metered) / fruit * thinned(width * rated / fruit)
            self._learn(gave, rated, round(width), between)

    def _learn(self, gave: float, layer: float, bins: int, between: tuple[float, float]) -> None:
        least, most = between[0] * self._usual_of(layer), between[1]
        if least <= gave <= most:
            self.learned += bins
            weight = min(1.0, bins / min(self.learned, _MEMORY))
            before, thick = (self.usual, self.thick) if self.usual is not None else (gave, layer)
            self.usual, self.thick = before + (gave - before) * weight, thick + (layer - thick) * weight

    def verdict(self, limits: WatchParams, evidence: str) -> Verdict:
        """What the watch says now."""
        if not self.held.active:
            return QUIET
        percent = 100.0 * (self.share if self.share is not None else limits.limit)
        said = (_LOW_NEW if self.new else _LOW).format(percent=percent, evidence=evidence)
        return Verdict(True, percent, 100.0 * limits.limit, "%", said)


def _least_that_shows(bins: Bins, rated: float, lag: int | None) -> float | None:
    """
    kg in a window of bins, the least whose juice may show now; None while the press is nearly empty, and while it fills
    and its juice was not seen to rise, at the most `lag` bins late.
    """
    if lag is None and min(bins.fed(), default=0.0) < _EMPTY * rated:
        return None
    least = bins.least(lag)
    return least if least > _WORTH * rated * WINDOW else None
