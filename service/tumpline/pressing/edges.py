"""Where one load ends at the mill and the next begins, in the bins of a ledger.

Three witnesses: the entry, after which fruit takes its time through the flume; a gap in the fruit, which is the edge
where it ends about that time after the entry; and the weighbridge, which tells an entry written minutes late or early.
The flume's time is learned from the shift's own gaps: from the entry to the first fruit after nothing.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from itertools import accumulate, pairwise
from operator import itemgetter
from statistics import median

from msgspec import Struct, field

from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.ledger import Ledger
from tumpline.pressing.params import LineParams
from tumpline.pressing.residence import BIN
from tumpline.pressing.switches import FLUME_TIME

_RUNS = 0.1
"""Share of the rated throughput from which fruit goes in."""
_GAP = 4
"""Bins without fruit that are a gap between loads: 20 s, which no flume bridges (common practice, no source)."""
_SLOWEST, _HURRIED = 150.0, 30.0
"""Seconds from an entry to its fruit after a gap, and from its fruit to a hurried entry, that may still belong."""
_HABIT = 10.0
"""Seconds by which half of all entries are off at the most, where none was seen (own trials)."""
_MAD = 1.4826
"""Standard deviations in a median of deviations of normal ones."""
_LATEST = 600.0
"""Seconds an entry may be late or early for the weights to move its edge."""
_MENDS = 0.67
"""Of what loads are off their weights, what moved edges may leave to be kept (own trials)."""
_EVERY = 60
"""Bins between two looks: what loads weigh and how long the flume takes hardly changes faster."""


class Edge(Struct):
    """One load ends and another begins."""

    bin: int
    """The first bin of the new load."""
    before: str
    after: str
    at: float
    """When the entry was made for."""
    u: float = 0.0
    """kg, standard uncertainty of what lies on the wrong side."""
    moved: float = 0.0
    """kg by which weights moved it: above zero where the new load got less than by its entry."""


class Edges(Struct):
    """All edges of a ledger, as far as they are known."""

    edges: list[Edge] = field(default_factory=list)
    lag: float = FLUME_TIME
    """Seconds from an entry to its fruit at the mill."""
    lag_u: float = FLUME_TIME
    """Standard uncertainty of one edge, s."""
    seen: tuple[int, int] = (0, 0)
    """Bins and entries that they were found from."""

    def owner(self, j: int) -> str:
        """Whose fruit is at the mill in bin j."""
        place = bisect_left(self.edges, j + 1, key=lambda edge: edge.bin)
        return self.edges[place - 1].after if place else UNNAMED

    def of(self, load: str) -> list[Edge]:
        """Those at which a load begins or ends, and fruit may lie on the wrong side."""
        return [edge for edge in self.edges if load in (edge.before, edge.after)]

    def same(self, other: Edges, bins: int) -> bool:
        """Whether both give the first bins to the same loads."""
        mine, theirs = ([(e.bin, e.after) for e in x.edges if e.bin < bins] for x in (self, other))
        return mine == theirs


def looked_at(ledger: Ledger, book: Book) -> int:
    """How many bins of the ledger to look at: all while a load has just been put on, else whole five minutes."""
    fresh = book.at_mill.times and ledger.end - book.at_mill.times[-1] <= _SLOWEST
    return ledger.bins if fresh else ledger.bins // _EVERY * _EVERY


def find(ledger: Ledger, book: Book, params: LineParams, bins: int) -> Edges:
    """The edges in the first `bins` of the ledger, and where those after them are expected."""
    return _Finder(ledger, book, params, bins).find()


def allowed(ledger: Ledger, net: float, hidden: float = 0.0) -> float:
    """
    kg by which the mill's meter and a weighbridge may differ about a load of `net` kg; `hidden` is what missing time
    may hide of it.
    """
    fruit = ledger.fruit
    whole = fruit.total()
    relative = (fruit.of_reading + fruit.fixed) / whole if whole > 0.0 else 0.0
    return bridge(net) + relative * net + hidden


def bridge(net: float) -> float:
    """kg by which a weighbridge may be off about a load of `net` kg (common practice, no source)."""
    return 0.005 * net + 10.0


class _Finder:
    def __init__(self, ledger: Ledger, book: Book, params: LineParams, bins: int) -> None:
        self._ledger, self._book, self._bins = ledger, book, bins
        fruit = ledger.fruit.amounts[:bins]
        least = _RUNS * BIN * params.rated_throughput
        self._runs = [kg > least for kg in fruit]
        self._upto = list(accumulate(fruit, initial=0.0))
        self._gaps = self._gap_ends()
        self._half = 0.5 * median([kg for kg, runs in zip(fruit, self._runs, strict=True) if runs] or [0.0])

    def find(self) -> Edges:
        switches = self._book.at_mill
        entries = list(zip(switches.times, [UNNAMED, *switches.names], switches.names, strict=False))
        seen = [lag for at, before, _ in entries if (lag := self._seen(at, first=before == UNNAMED)) is not None]
        found = Edges(lag=_lag(seen), seen=(self._bins, len(entries)))
        found.lag_u = _lag_u(seen, found.lag)
        found.edges = [self._edge(at, before, after, found) for at, before, after in entries if before != after]
        for before, edge in pairwise(found.edges):
            edge.bin = max(edge.bin, before.bin)
        entered = [edge.bin for edge in found.edges]
        self._weigh(found.edges)
        for edge, bin_entered in zip(found.edges, entered, strict=True):
            if edge.bin != bin_entered:
                edge.moved = self._kg(edge.bin) - self._kg(bin_entered)
                seen.append(self._ledger.start + BIN * edge.bin - edge.at)
        found.lag_u = _lag_u(seen, found.lag)
        for edge in found.edges:
            edge.u = self._doubt(edge, found.lag_u) if edge.bin > 0 else 0.0
        return found

    def _gap_ends(self) -> dict[int, int]:
        """Bins in which fruit comes after a gap, or first in a ledger that began without, each with its first bin."""
        ends, idle = {}, 0 if self._runs[:1] == [True] else _GAP
        for j, runs in enumerate(self._runs):
            if runs and idle >= _GAP:
                ends[j] = max(0, j - idle)
            idle = 0 if runs else idle + 1
        return ends

    def _kg(self, j: float) -> float:
        """kg milled up to a place in bins."""
        last = len(self._upto) - 1
        low = min(max(int(j), 0), last)
        high = min(low + 1, last)
        return self._upto[low] + (self._upto[high] - self._upto[low]) * min(max(j - low, 0.0), 1.0)

    def _bin(self, at: float) -> int:
        """The first bin whose middle is not before `at`."""
        return max(0, math.ceil((at - self._ledger.start) / BIN - 0.5))

    def _seen(self, at: float, *, first: bool) -> float | None:
        """Seconds from an entry to half of its fruit after nothing, where that is to be seen."""
        early, late = (_LATEST, _LATEST) if first else (_HURRIED, _SLOWEST)
        halves = [self._come(j) for j in (list(self._gaps)[:1] if first else self._gaps)]
        lags = (self._ledger.start + BIN * (j + 0.5) - at for j in halves if j is not None)
        return min((lag for lag in lags if -early <= lag <= late), key=abs, default=None)

    def _come(self, j: int) -> int | None:
        """The first bin from j on in which half of the usual fruit comes."""
        fruit = self._ledger.fruit.amounts
        return next((i for i in range(j, self._bins) if fruit[i] >= self._half), None)

    def _edge(self, at: float, before: str, after: str, way: Edges) -> Edge:
        """By its entry and a gap. Before the first load there was nothing to come through the flume."""
        start = self._ledger.start
        if before == UNNAMED:
            return Edge(self._bin(at), before, after, at)
        there = at + way.lag
        soonest, latest = min(at, there) - 2.0 * way.lag_u, there + 2.0 * way.lag_u
        ends = ((j, start + BIN * begun, start + BIN * j) for j, begun in reversed(self._gaps.items()))
        # An entry made while no fruit goes in is for the fruit that comes next.
        gap = next((j for j, off, on in ends if soonest <= on <= latest or off <= at <= on <= at + _LATEST), None)
        if gap is not None:
            return Edge(gap, before, after, at)
        for j in range(self._bin(at), self._bins):
            if start + BIN * (j + 0.5) >= there:
                break
            there += 0.0 if self._runs[j] else BIN  # what stands in the flume does not come
        return Edge(self._bin(there), before, after, at)

    def _doubt(self, edge: Edge, seconds: float) -> float:
        begun = self._gaps.get(edge.bin)
        if begun is not None:
            return self._kg(edge.bin) - self._kg(begun)
        either = seconds / BIN
        near = 0.5 * (self._kg(edge.bin + either) - self._kg(edge.bin - either))
        return min(near, self._kg(edge.bin)) if edge.before == UNNAMED else near

    # What the loads weigh

    def _weigh(self, edges: list[Edge]) -> None:
        """
        Entries late from the first to the last show from the left, early ones from the right; edges are moved where
        that takes away a third of what all loads are off, or more.
        """
        entered = [edge.bin for edge in edges]
        tried = [(_MENDS * self._wrong(edges), entered)]
        for sweeps in ((self._leftwards,), (self._rightwards,), (self._leftwards, self._rightwards)):
            if tried[0][0] == 0.0:
                return
            for sweep in sweeps:
                sweep(edges)
            tried.append((self._wrong(edges), [edge.bin for edge in edges]))
            _set(edges, entered)
        _set(edges, min(tried, key=itemgetter(0))[1])

    def _leftwards(self, edges: list[Edge]) -> None:
        """Take from each load what it is over its weight, at its end; from fruit without a name what the next lacks."""
        for k, edge in enumerate(edges):
            named = edge.before != UNNAMED
            self._take(edges, k, max(self._off(edges, k - 1), 0.0) if named else max(-self._off(edges, k), 0.0))

    def _rightwards(self, edges: list[Edge]) -> None:
        """The same at its beginning."""
        for k in reversed(range(len(edges))):
            if edges[k].before != UNNAMED:
                self._take(edges, k, min(-self._off(edges, k), 0.0))

    def _off(self, edges: list[Edge], k: int) -> float:
        """
        kg milled of the load that begins at edge k beyond its weight; 0 where that is allowed, may still come, or
        nothing is known of it.
        """
        name = edges[k].after if k >= 0 else UNNAMED
        page = self._book.loads.get(name)
        if page is None or not page.tickets or sum(edge.after == name for edge in edges) > 1:
            return 0.0
        ends = edges[k + 1].bin if k + 1 < len(edges) else self._bins
        off = page.milled + self._kg(ends) - self._kg(edges[k].bin) - page.entry.net_kg
        hidden = sum(kg for j, kg in self._ledger.fruit.holes.items() if edges[k].bin <= j < ends)
        right = abs(off) <= allowed(self._ledger, page.entry.net_kg, hidden)
        return 0.0 if right or (off < 0.0 and ends >= self._bins) else off

    def _take(self, edges: list[Edge], k: int, kg: float) -> None:
        """Take so many kg from the end of the load before edge k, at a gap where there is one."""
        edge = edges[k]
        if kg == 0.0:
            return
        target = self._kg(edge.bin) - kg
        low = edges[k - 1].bin if k else 0
        high = edges[k + 1].bin if k + 1 < len(edges) else self._bins
        near = allowed(self._ledger, max(self._net(edge.before), self._net(edge.after)))
        gaps = [j for j in self._gaps if low < j < high and abs(self._kg(j) - target) <= near]
        there = min(gaps, key=lambda j: abs(self._kg(j) - target), default=bisect_left(self._upto, target))
        if low <= there <= high and abs(self._ledger.start + BIN * there - edge.at) <= _LATEST:
            edge.bin = there

    def _wrong(self, edges: list[Edge]) -> float:
        """kg that all loads together are off their weights."""
        return sum(abs(self._off(edges, k)) for k in range(len(edges)))

    def _net(self, load: str) -> float:
        page = self._book.loads.get(load)
        return page.entry.net_kg if page is not None and page.tickets else 0.0


def _set(edges: list[Edge], bins: list[int]) -> None:
    for edge, j in zip(edges, bins, strict=True):
        edge.bin = j


def _lag(seen: list[float]) -> float:
    """
    The flume's time, s, from what was seen: a median, which one entry made minutes late or early does not move,
    against the guess, which may be off by as much as itself.
    """
    if not seen:
        return FLUME_TIME
    middle = median(seen)
    own, guess = len(seen) / _habit(seen, middle) ** 2, FLUME_TIME**-2
    return (FLUME_TIME * guess + middle * own) / (guess + own)


def _habit(seen: list[float], lag: float) -> float:
    """By how much entries are off, s, standard deviation: by what was seen, and two taken to be as usual."""
    return _MAD * max(median([_HABIT, _HABIT, *(abs(each - lag) for each in seen)]), 0.5 * BIN)


def _lag_u(seen: list[float], lag: float) -> float:
    """How well one entry and the flume's time tell when fruit comes, s, standard uncertainty."""
    habit = _habit(seen, lag)
    return math.hypot(habit, (FLUME_TIME**-2 + len(seen) / habit**2) ** -0.5)
