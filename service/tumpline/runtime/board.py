"""What a screen shows right now, folded from a line's effects.

Nothing here computes, waits or reads a clock: all times are event times, and how old something is follows from the
`now` of whoever asks.
"""

import asyncio
from collections import deque
from collections.abc import Iterator, Mapping, Sequence
from contextlib import contextmanager

import msgspec

from tumpline.pressing.effects import TellAlarm, TellEvent, TellSummary
from tumpline.pressing.events import EntryMade
from tumpline.pressing.logbook import Logbook
from tumpline.pressing.records import AlarmRecord, AlarmState, Live, StopRecord, Summary, VatRecord
from tumpline.runtime.ports import RefusedRow
from tumpline.runtime.trend import LONGEST_SECONDS, Trend

PAST_ALARMS = 60
REFUSALS = 40


class LineBoard:
    """What is known about one line."""

    def __init__(self, line: str) -> None:
        self.line = line
        self.live: Live | None = None
        self.summary: Summary | None = None
        """Of the last shift that ended."""
        self.trend = Trend()
        self.book = Logbook()
        self.vats: dict[str, VatRecord] = {}
        """Every vat by name as it was last seen."""
        self.refusals: deque[RefusedRow] = deque(maxlen=REFUSALS)
        """What could not be used, newest first."""
        self._stops: dict[str, StopRecord] = {}
        self._alarms: dict[str, AlarmRecord] = {}
        self._past: deque[AlarmRecord] = deque(maxlen=PAST_ALARMS)

    @property
    def stops(self) -> Sequence[StopRecord]:
        """The stops of the time that the trend covers, oldest first."""
        return tuple(sorted(self._stops.values(), key=lambda stop: stop.start))

    @property
    def alarms(self) -> Sequence[AlarmRecord]:
        """Every alarm that is not normal."""
        return tuple(self._alarms.values())

    @property
    def past_alarms(self) -> Sequence[AlarmRecord]:
        """Alarms that have returned to normal, newest first."""
        return tuple(self._past)

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
        self._note_stops(live)
        if live.vat is not None:
            self.vats[live.vat.vat] = live.vat

    def refuse(self, row: RefusedRow) -> None:
        """Take what could not be used; the same one twice counts once."""
        if row not in self.refusals:
            self.refusals.appendleft(row)

    def tell(self, effect: TellEvent | TellAlarm | TellSummary) -> None:
        """Take an alarm's new state, a shift's summary, or that an entry was refused; other events are not shown."""
        match effect:
            case TellAlarm(alarm=alarm):
                self._alarms.pop(alarm.name, None)
                if alarm.state is not AlarmState.NORMAL:
                    self._alarms[alarm.name] = alarm
                elif alarm not in self._past:
                    self._past.appendleft(alarm)
            case TellSummary(summary=summary) if self.summary is None or summary.end >= self.summary.end:
                self.summary = summary
                self.vats |= {vat.vat: vat for vat in summary.vats}
            case TellEvent(kind="entry.refused", at=at, data={"kind": str(kind), "reason": str(reason)}):
                self.book.refuse(kind, at, reason)
            case TellSummary() | TellEvent():
                pass

    def _note_stops(self, live: Live) -> None:
        shown = {stop.id: stop for stop in live.stops} | ({live.stop.id: live.stop} if live.stop else {})
        for key, stop in self._stops.items():
            if stop.end is None and key not in shown:
                self._stops[key] = msgspec.structs.replace(stop, end=live.at)
        self._stops |= shown
        oldest = live.at - LONGEST_SECONDS
        self._stops = {key: stop for key, stop in self._stops.items() if stop.end is None or stop.end > oldest}


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
        self.changed()

    def figures(self, line: str, at: float, figures: Mapping[str, float]) -> None:
        """The line's figures at this moment (keys as in `effects.KeepFigures`)."""
        self._lines[line].trend.add(at, figures)
        self.changed()

    def enter(self, line: str, made: EntryMade) -> None:
        """Somebody wrote into this line's book."""
        self._lines[line].book.take(made)
        self.changed()

    def refuse(self, row: RefusedRow) -> None:
        """Something that came for a line could not be used."""
        self._lines[row.line].refuse(row)
        self.changed()

    def tell(self, effect: TellEvent | TellAlarm | TellSummary, line: str) -> None:
        """Something happened on this line that people want to know."""
        self._lines[line].tell(effect)
        self.changed()

    @contextmanager
    def subscribe(self) -> Iterator[asyncio.Event]:
        """Within the block the event is set at every change; the watcher clears it."""
        changed = asyncio.Event()
        self._watchers.add(changed)
        try:
            yield changed
        finally:
            self._watchers.discard(changed)

    def changed(self) -> None:
        """Tell whoever watches."""
        for watcher in self._watchers:
            watcher.set()
