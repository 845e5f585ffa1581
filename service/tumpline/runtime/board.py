"""What a screen shows right now, folded from a line's effects.

Nothing here computes, waits or reads a clock: all times are event times, and how old something is follows from the
`now` of whoever asks.
"""

import asyncio
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager
from typing import NamedTuple

from tumpline.pressing.effects import TellAlarm, TellEvent, TellSummary
from tumpline.pressing.records import AlarmRecord, AlarmState, Live, StopRecord, Summary

TREND_SECONDS = 1800.0


class TrendPoint(NamedTuple):
    """The computed figures of one moment; their keys carry the unit, and what is not known is absent."""

    at: float
    figures: Mapping[str, float]


class Stood(NamedTuple):
    """A stretch during which the line stood; `end` is None while it lasts."""

    start: float
    end: float | None


class LineBoard:
    """What is known about one line."""

    def __init__(self, line: str) -> None:
        self.line = line
        self.live: Live | None = None
        self.summary: Summary | None = None
        """Of the last shift that ended."""
        self._points: deque[TrendPoint] = deque()
        self._stood: dict[str, Stood] = {}
        self._alarms: dict[str, AlarmRecord] = {}

    @property
    def trend(self) -> Sequence[TrendPoint]:
        """The last half hour, oldest first."""
        return tuple(self._points)

    @property
    def stood(self) -> Sequence[Stood]:
        """The stops of the last half hour, oldest first."""
        return tuple(sorted(self._stood.values(), key=lambda stood: stood.start))

    @property
    def alarms(self) -> Sequence[AlarmRecord]:
        """Every alarm that is not normal."""
        return tuple(self._alarms.values())

    @property
    def heard(self) -> float | None:
        """Time of the newest reading of any signal; None before the first."""
        if self.live is None:
            return None
        return max((signal.at for signal in self.live.signals if signal.at is not None), default=None)

    def is_silent(self, now: float, after: float) -> bool:
        """
        True where what is shown cannot be taken for what is.

        That is before the first live view, when it is older than `after` seconds, and when no signal is fresh.
        """
        live = self.live
        return live is None or now - live.at > after or not any(signal.fresh for signal in live.signals)

    def show(self, live: Live) -> None:
        """Take the line's newest view; its alarms replace those told one by one."""
        self.live = live
        self._alarms = {alarm.name: alarm for alarm in live.alarms}
        self._note_stop(live.stop, live.at)

    def figures(self, at: float, figures: Mapping[str, float]) -> None:
        """Append to the trend. A moment not after the newest one is already there."""
        if self._points and at <= self._points[-1].at:
            return
        self._points.append(TrendPoint(at, figures))
        while self._points[0].at < at - TREND_SECONDS:
            self._points.popleft()

    def tell(self, effect: TellEvent | TellAlarm | TellSummary) -> None:
        """Take an alarm's new state or a shift's summary; other events are not shown."""
        match effect:
            case TellAlarm(alarm=alarm):
                self._alarms.pop(alarm.name, None)
                if alarm.state is not AlarmState.NORMAL:
                    self._alarms[alarm.name] = alarm
            case TellSummary(summary=summary):
                self.summary = summary
            case TellEvent():
                pass

    def _note_stop(self, stop: StopRecord | None, at: float) -> None:
        for key, stood in self._stood.items():
            if stood.end is None and (stop is None or key != stop.id):
                self._stood[key] = Stood(stood.start, at)
        if stop is not None:
            self._stood[stop.id] = Stood(stop.start, stop.end)
        self._stood = {
            key: stood for key, stood in self._stood.items() if stood.end is None or stood.end > at - TREND_SECONDS
        }


class Board:
    """What is known about every line, and word to whoever watches that something changed."""

    def __init__(self, lines: Sequence[str]) -> None:
        self._lines = {line: LineBoard(line) for line in lines}
        self._watchers: set[asyncio.Event] = set()

    @property
    def lines(self) -> Sequence[str]:
        """Ids of the lines, in the order of the settings."""
        return tuple(self._lines)

    def line(self, line: str) -> LineBoard:
        """The board of one line; KeyError where there is none."""
        return self._lines[line]

    def show(self, line: str, live: Live) -> None:
        """A second of event time is over on this line."""
        self._lines[line].show(live)
        self._changed()

    def figures(self, line: str, at: float, figures: Mapping[str, float]) -> None:
        """The line's figures at this moment (keys as in `effects.KeepFigures`)."""
        self._lines[line].figures(at, figures)
        self._changed()

    def tell(self, effect: TellEvent | TellAlarm | TellSummary, line: str) -> None:
        """Something happened on this line that people want to know."""
        self._lines[line].tell(effect)
        self._changed()

    @contextmanager
    def subscribe(self) -> Iterator[asyncio.Event]:
        """Within the block the event is set at every change; the watcher clears it."""
        changed = asyncio.Event()
        self._watchers.add(changed)
        try:
            yield changed
        finally:
            self._watchers.discard(changed)

    def _changed(self) -> None:
        for watcher in self._watchers:
            watcher.set()
