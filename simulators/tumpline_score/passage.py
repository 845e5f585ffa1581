"""What truly passed along the line between two times, and when the line was not left in peace."""

from __future__ import annotations

from bisect import bisect_left, bisect_right
from typing import Any

SETTLED_S = 300.0
"""After a disturbance the juice of its fruit has run by then."""
_MOMENTARY = frozenset({"stone"})
_EVEN = frozenset({"hard-fruit", "belt-speed"})
"""Only their beginning and their end disturb: in between the line presses as steadily as ever."""
_TURN_S = 60.0
_METERS = frozenset({"mill/throughput", "juice/flow", "mill/total", "juice/total"})
_LONG_DROPOUT_S = 10.0


class Passage:
    """The running totals of a shift's truth: fruit milled, fruit whose juice came, that juice, juice metered."""

    def __init__(self, truth: dict[str, Any]) -> None:
        columns, rows = truth["passed"]["columns"], truth["passed"]["rows"]
        self._times = [row[0] for row in rows]
        self._of = {name: [row[n] for row in rows] for n, name in enumerate(columns)}
        self._starts = truth["pump_starts"]

    def between(self, column: str, start: float, end: float) -> float:
        """How much passed from `start` to `end` (s since the shift began)."""
        return self._total(column, end) - self._total(column, start)

    def yield_l_per_t(self, start: float, end: float) -> float:
        """True yield of the juice that came in that time, before any sump."""
        return 1000.0 * self.between("juice_l", start, end) / self.between("juice_fruit_kg", start, end)

    def unaligned_l_per_t(self, start: float, end: float) -> float:
        """Juice metered over fruit milled in the same time: what a plain ratio of two meters would say."""
        return 1000.0 * self.between("metered_l", start, end) / self.between("milled_kg", start, end)

    def milling_s(self, start: float, end: float) -> float:
        """For how long fruit was milled between two times."""
        within = range(max(1, bisect_left(self._times, start)), bisect_right(self._times, end))
        return sum(self._milling(n) for n in within)

    def pressed_for(self, seconds: float) -> float | None:
        """When fruit had been milled for so long, gaps and stops left out (s since the shift began)."""
        for n in range(1, len(self._times)):
            seconds -= self._milling(n)
            if seconds <= 0.0:
                return float(self._times[n])
        return None

    def _milling(self, n: int) -> float:
        """s of the n-th step, if fruit was milled in it."""
        milled = self._of["milled_kg"]
        return float(self._times[n] - self._times[n - 1]) if milled[n] > milled[n - 1] else 0.0

    def pumped_window(self, end: float, seconds: float) -> tuple[float, float] | None:
        """The pump starts around the last `seconds` before `end`; at both of them the sump stood equally high."""
        last = bisect_right(self._starts, end) - 1
        if last < 1:
            return None
        first = min(range(last), key=lambda n: abs(self._starts[last] - self._starts[n] - seconds))
        return self._starts[first], self._starts[last]

    def _total(self, column: str, at: float) -> float:
        totals = self._of[column]
        n = bisect_left(self._times, at)
        if n >= len(totals):
            return float(totals[-1])
        before_at, before = (self._times[n - 1], totals[n - 1]) if n else (0.0, 0.0)
        share = (at - before_at) / (self._times[n] - before_at)
        return float(before + share * (totals[n] - before))


class Peace:
    """When a shift was pressing steadily: no gap, stop, fault or event of the day, and both meters heard."""

    def __init__(self, truth: dict[str, Any]) -> None:
        self._first, self._last = truth["edges"][0], truth["edges"][-1]
        self._gaps = [(start, end) for start, end in truth["gaps"]]
        self._troubles = [(f["at"], f["until"]) for f in truth["faults"] if f["kind"] not in _MOMENTARY]
        self._troubles += [span for event in truth["events"] for span in _spans(event)]
        self._troubles += [
            (d["at"], d["until"])
            for d in truth["dropouts"]
            if d["signal"] in _METERS and d["until"] - d["at"] > _LONG_DROPOUT_S
        ]

    def held(self, start: float, end: float) -> bool:
        """Whether fruit came undisturbed, and had for five minutes, all the time from `start` to `end`."""
        return self.held_but_for_gaps(start, end) and not _overlap(self._gaps, start - SETTLED_S, end)

    def held_but_for_gaps(self, start: float, end: float) -> bool:
        """The same, planned gaps between loads apart."""
        begun = start >= self._first + SETTLED_S and end <= self._last
        return begun and not _overlap(self._troubles, start - SETTLED_S, end)


def _spans(event: dict[str, Any]) -> list[tuple[float, float]]:
    at, until = event["at"], event["until"]
    if event["kind"] in _EVEN:
        return [(at, at + _TURN_S), (until - _TURN_S, until)]
    return [(at, until)] if until > at else []


def _overlap(spans: list[tuple[float, float]], start: float, end: float) -> bool:
    return any(a < end and b > start for a, b in spans)
