"""A line's computed figures as a screen draws them: finely for half an hour, by the minute for a day's work."""

from collections import deque
from collections.abc import Mapping, Sequence
from typing import NamedTuple

FINE_SECONDS = 1800.0
LONGEST_SECONDS = 14 * 3600.0
MINUTE = 60.0


class TrendPoint(NamedTuple):
    """The computed figures of one moment; their keys carry the unit, and what is not known is absent."""

    at: float
    figures: Mapping[str, float]


class Trend:
    """The newest figures, oldest first."""

    def __init__(self) -> None:
        self._fine: deque[TrendPoint] = deque()
        self._minutes: deque[TrendPoint] = deque()
        self._open: list[TrendPoint] = []
        """The points of the minute that is not over."""

    def add(self, at: float, figures: Mapping[str, float]) -> None:
        """Append the figures of a moment; one not after the newest is there already."""
        if self._fine and at <= self._fine[-1].at:
            return
        point = TrendPoint(at, figures)
        self._fine.append(point)
        while self._fine[0].at < at - FINE_SECONDS:
            self._fine.popleft()
        if self._open and at // MINUTE != self._open[0].at // MINUTE:
            self._minutes.append(_mean(self._open))
            self._open = []
            while self._minutes[0].at < at - LONGEST_SECONDS:
                self._minutes.popleft()
        self._open.append(point)

    def last(self, seconds: float) -> Sequence[TrendPoint]:
        """The points of the last so many seconds: as they came up to half an hour, else the means of minutes."""
        if not self._fine:
            return ()
        if seconds <= FINE_SECONDS:
            return tuple(point for point in self._fine if point.at >= self._fine[-1].at - seconds)
        newest = self._fine[-1]
        return (*(point for point in self._minutes if point.at >= newest.at - seconds), newest)


def _mean(points: Sequence[TrendPoint]) -> TrendPoint:
    """Every figure's mean over the points that have it, at the middle of their time."""
    keys = dict.fromkeys(key for point in points for key in point.figures)
    values = {key: [point.figures[key] for point in points if key in point.figures] for key in keys}
    middle = 0.5 * (points[0].at + points[-1].at)
    return TrendPoint(middle, {key: sum(found) / len(found) for key, found in values.items()})
