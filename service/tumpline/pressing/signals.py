"""One signal: what was heard of it, and its integral over a stretch of event time.

Readings are kept sorted by their own time, so any order of arrival inside the lateness gives the same integral.
Between readings the trapezium rule holds up to `stale_after`; beyond that the time is missing: it is filled by a
straight line between the readings around it, and the fill carries a wide uncertainty of its own.
"""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import NamedTuple

from msgspec import Struct, field

from tumpline.pressing.effects import Quality
from tumpline.pressing.records import SignalRecord

_REMEMBER = 600.0
"""Seconds for which a reading's time is remembered, so that a repeated one is known as a duplicate."""


_A_START = 0.7
"""Share of a flow by which it rises or falls when a pump starts or stops."""
_A_BURST = 90.0
"""Seconds that one burst may last (common practice, no source)."""


class Integral(Struct):
    """A signal over a stretch of time, SI units times seconds (for a counter: its increase)."""

    value: float = 0.0
    fill: float = 0.0
    """Half-width of what the missing time may have hidden."""
    flowing: float = 0.0
    """Seconds with a reading other than zero: a fixed error counts only there."""
    scatter: float = 0.0
    """Variance that the readings' own scatter leaves in `value`."""


class Pumped(NamedTuple):
    """What comes in bursts, as from a sump: what stands in for it in missing time, per second."""

    mean: float
    most: float
    """While a burst lasts."""
    doubt: float
    """Half-width of the mean over minutes."""


class Counts(Struct):
    """What became of the readings of one signal in one shift."""

    received: int = 0
    used: int = 0
    duplicate: int = 0
    late: int = 0
    refused: int = 0
    missing: float = 0.0
    longest_gap: float = 0.0


class Signal(Struct):
    """
    Everything remembered of one signal. Feed it with `take`, close it up to a time with `settle`, read `integral` and
    `newest`.
    """

    name: str
    times: list[float] = field(default_factory=list)
    values: list[float] = field(default_factory=list)
    newest_at: float = float("-inf")
    newest: float = 0.0
    peak: float = float("-inf")
    """Highest reading since `peak` was last reset: what a look once a second would miss."""
    settled: float = float("-inf")
    """Readings before this are late."""
    counted: float = float("-inf")
    """Missing time is counted up to here."""
    counts: Counts = field(default_factory=Counts)

    def take(self, at: float, value: float, lateness: float) -> Quality | None:
        """Take one reading and count it; None when it is a duplicate of one already taken."""
        counts = self.counts
        counts.received += 1
        if at > self.newest_at:
            self.newest_at = at
            self.newest = value
            self.times.append(at)
            self.values.append(value)
        else:
            quality = self._insert(at, value, lateness)
            if quality is not Quality.GOOD:
                return quality
        if value > self.peak:
            self.peak = value
        counts.used += 1
        return Quality.GOOD

    def _insert(self, at: float, value: float, lateness: float) -> Quality | None:
        place = bisect_left(self.times, at)
        if place < len(self.times) and self.times[place] == at:
            self.counts.duplicate += 1
            return None
        if at < self.settled or at < self.newest_at - lateness:
            self.counts.late += 1
            return Quality.LATE
        self.times.insert(place, at)
        self.values.insert(place, value)
        return Quality.GOOD

    def fresh(self, now: float, stale_after: float) -> bool:
        """True while the newest reading is young enough to be trusted."""
        return now - self.newest_at <= stale_after

    def settle(self, to: float, stale_after: float) -> None:
        """Close the signal up to `to`: count what is missing, call earlier readings late, forget the old ones."""
        first = bisect_right(self.times, self.counted)
        last = bisect_right(self.times, to)
        before = self.counted
        for at in self.times[first:last]:
            self._count_gap(at - before, stale_after)
            before = at
        if last > first:
            self.counted = before
        self.settled = max(self.settled, to)
        forget = bisect_left(self.times, to - _REMEMBER)
        if forget > 300:
            keep_from = min(forget, max(0, last - 2))
            del self.times[:keep_from]
            del self.values[:keep_from]

    def _count_gap(self, gap: float, stale_after: float) -> None:
        counts = self.counts
        if gap > counts.longest_gap and gap != float("inf"):
            counts.longest_gap = gap
        if gap > stale_after and gap != float("inf"):
            counts.missing += gap - stale_after

    def begin_counting(self, at: float) -> None:
        """Start the counts of a new shift at `at`."""
        self.counts = Counts()
        self.counted = at

    def record(self, end: float, stale_after: float) -> SignalRecord:
        """How well the signal was heard in the shift that ends at `end`."""
        c = self.counts
        tail = end - self.counted if self.counted != float("-inf") else 0.0
        silent = tail if tail > stale_after else 0.0
        return SignalRecord(
            name=self.name,
            received=c.received,
            used=c.used,
            duplicate=c.duplicate,
            late=c.late,
            refused=c.refused,
            missing=c.missing + max(0.0, silent - stale_after),
            longest_gap=max(c.longest_gap, silent),
        )

    def mean(self, start: float, end: float) -> float | None:
        """Plain mean of the readings in [start, end); None where there are none."""
        first, last = bisect_left(self.times, start), bisect_left(self.times, end)
        return sum(self.values[first:last]) / (last - first) if last > first else None

    def integral(self, start: float, end: float, stale_after: float, bursts: Pumped | None = None) -> Integral:
        """
        Integral of the readings over [start, end), by trapezia between them; at the ends the line is cut, after the
        newest reading it is held. Times outside all readings count as zero with the whole of it missing. Where a signal
        comes in `bursts`, their mean fills missing time better than what was read before and after, and a burst may
        have filled a short time whole.
        """
        times, values = self.times, self.values
        result = Integral()
        i = bisect_right(times, start) - 1
        n = len(times)
        if n == 0:
            return result
        if i < 0:
            i = 0
            start = times[0]
        while start < end:
            if i + 1 < n:
                t0, t1, v0, v1 = times[i], times[i + 1], values[i], values[i + 1]
            else:
                t0, t1, v0, v1 = times[i], end, values[i], values[i]
            stop = min(t1, end)
            if bursts is not None and t1 - t0 > stale_after:
                mean, most, doubt = bursts
                result.value += mean * (stop - start)
                result.fill += (max(mean, most - mean) if t1 - t0 < _A_BURST else doubt) * (stop - start)
                result.flowing += stop - start
            else:
                _add_segment(result, (t0, v0, t1, v1), start, stop, stale_after)
            start = stop
            i += 1
        return result


def _add_segment(
    result: Integral, segment: tuple[float, float, float, float], start: float, stop: float, stale_after: float
) -> None:
    """Add the part [start, stop) of the straight line from (t0, v0) to (t1, v1)."""
    t0, v0, t1, v1 = segment
    width = t1 - t0
    seconds = stop - start
    if width <= 0.0 or seconds <= 0.0:
        return
    slope = (v1 - v0) / width
    area = seconds * (v0 + slope * (0.5 * (start + stop) - t0))
    result.value += area
    if v0 != 0.0 or v1 != 0.0:
        result.flowing += seconds
        if width <= stale_after:
            step = v1 - v0
            # From nothing to full is a start or a stop, no scatter: what is open is when between the readings it was.
            part = 0.5 if abs(step) < _A_START * max(v0, v1) else 1.0 / 12.0
            result.scatter += part * step * step * seconds * seconds
        else:
            result.fill += gap_half_width(v0, v1, width) * seconds * (width - stale_after) / width


def gap_half_width(before: float, after: float, gap: float) -> float:
    """
    How far the true mean over a gap may lie from the straight line across it: half the step between its ends, and a
    tenth of the higher end, growing to all of it over twenty minutes (own rule: nothing published fits).
    """
    higher = max(abs(before), abs(after))
    return max(0.5 * abs(after - before), higher * min(1.0, 0.1 + gap / 1200.0))


def counter_increase(
    signal: Signal, start: float, end: float, rollover: float | None, stale_after: float
) -> Integral | None:
    """
    Increase of a counter over [start, end), cut linearly between its readings. None where the readings do not cover
    the stretch or the counter was reset in it: the flow has to bridge it. A fall counts as a roll-over only from the
    last twentieth of the counter's capacity.
    """
    times, values = signal.times, signal.values
    i = bisect_right(times, start) - 1
    if i < 0 or not times or times[-1] < end:
        return None
    result = Integral(flowing=end - start)
    while start < end:
        t0, t1 = times[i], times[i + 1]
        if t1 - t0 > stale_after:
            return None
        step = values[i + 1] - values[i]
        if step < 0.0:
            if rollover is None or values[i] < 0.95 * rollover:
                return None
            step += rollover
        stop = min(end, t1)
        result.value += step * (stop - start) / (t1 - t0)
        start = stop
        i += 1
    return result
