"""
Which effect goes where.

What is kept or told is stored first, together with the next rows of the journal, and only then published: nobody hears
of anything that a crash could unmake. What a screen shows may be lost; it goes out at once, and only the newest.
"""

from collections.abc import Mapping, Sequence

import msgspec

from tumpline.pressing.effects import Effect, KeepFigures, KeepReading, ShowLive, TellAlarm, TellEvent, TellSummary
from tumpline.pressing.entries import KINDS
from tumpline.pressing.events import EntryMade, EntryRefused, Event, ReadingRefused
from tumpline.pressing.records import AlarmRecord, AlarmState
from tumpline.runtime.ports import (
    AlarmRow,
    Broker,
    EntryRow,
    EventRow,
    FiguresRow,
    Line,
    Outgoing,
    Outputs,
    ReadingRow,
    RefusedRow,
    Row,
    Screen,
    SummaryRow,
)
from tumpline.wire.documents import alarm_document, encode, event_document, live_document, summary_document
from tumpline.wire.points import alarm_point, event_point, figures_point, reading_point
from tumpline.wire.topics import Topics

_KIND_OF = {entry: kind for kind, entry in KINDS.items()}


class Dispatch:
    """Performs effects. What is to be stored gathers in `outputs` until the journal takes it."""

    def __init__(self, *, topics: Topics, screen: Screen, points: bool) -> None:
        """Build one for all lines; `points` is True where an outside time-series store is fed."""
        self._topics = topics
        self._screen = screen
        self._points = points
        self._outputs = Outputs()
        self._due: dict[str, float] = {}
        """By line: the newest second of event time whose view nobody has seen yet."""
        self._summaries: dict[str, SummaryRow] = {}
        """By line: of the last shift that ended."""

    @property
    def pressing(self) -> bool:
        """True where somebody waits to be told: store soon."""
        return bool(self._outputs.outgoing)

    @property
    def gathered(self) -> bool:
        """True where there is anything to store."""
        waiting = self._outputs
        return bool(waiting.readings or waiting.figures or waiting.entries or waiting.refused or waiting.confirmed) or (
            self.pressing
        )

    def take(self, through: int) -> Outputs:
        """Everything since the last time, to be stored; rows up to `through` have been worked through."""
        outputs, self._outputs = self._outputs, Outputs()
        outputs.through = through
        return outputs

    def confirmed(self, number: int) -> None:
        """The broker has this outgoing message."""
        self._outputs.confirmed.append(number)

    def keep_events(self, row: Row, line: str, events: Sequence[Event]) -> None:
        """Keep what people wrote, and what could not be used with its raw bytes."""
        for step, event in enumerate(events):
            if type(event) is EntryMade:
                kind = _KIND_OF[type(event.entry)]
                entry = EntryRow(line, event.id, kind, event.at, event.arrived, event.by, row.payload)
                self._outputs.entries.append(entry)
                self._screen.enter(line, event)
            elif type(event) is ReadingRefused:
                self._refused(row, step, line, event.signal, event.reason)
            elif type(event) is EntryRefused:
                self._refused(row, step, line, f"book/{event.kind}", event.reason)

    def perform(self, row: Row, line: str, effects: Sequence[Effect], *, keep: bool) -> None:
        """
        Perform a line's effects, in order. All effects of one row must come in one call.

        Without `keep` they have been stored and told before, and only the screen is brought up to date.
        """
        for step, effect in enumerate(effects):
            if isinstance(effect, ShowLive):
                self._due[line] = effect.at
            elif isinstance(effect, KeepFigures):
                self._screen.figures(line, effect.at, effect.figures)
            elif isinstance(effect, TellEvent | TellAlarm | TellSummary):
                self._screen.tell(effect, line)
            if keep:
                self._keep(row, step, line, effect)

    def show(self, lines: Mapping[str, Line], brokers: Mapping[str, Broker]) -> None:
        """Show and publish the newest view of every line that has one; older ones that nobody saw are left out."""
        for name in list(self._due):
            broker = brokers.get(name)
            if broker is not None and broker.busy:
                continue
            live = lines[name].live(self._due.pop(name))
            self._screen.show(name, live)
            if broker is not None:
                broker.publish(self._topics.live(name), encode(live_document(live)), qos=0, retain=True)

    def remind(self, line: str, now: float, lines: Mapping[str, Line], broker: Broker) -> None:
        """Tell a broker that may have lost its retained messages which alarms stand, and how the last shift ended."""
        live = lines[line].live(now)
        for alarm in live.alarms:
            if alarm.state is not AlarmState.NORMAL:
                topic = self._topics.alarm(line, alarm.name)
                broker.publish(topic, encode(alarm_document(alarm, line)), qos=1, retain=True)
        summary = self._summaries.get(line)
        if summary is not None:
            broker.publish(self._topics.summary(line, summary.shift), summary.document, qos=1, retain=True)

    def summed_up(self, summary: SummaryRow) -> None:
        """A shift's summary; the line's last shift is the one of which a broker may be reminded."""
        known = self._summaries.get(summary.line)
        if known is None or summary.end >= known.end:
            self._summaries[summary.line] = summary

    def _keep(self, row: Row, step: int, line: str, effect: Effect) -> None:
        outputs = self._outputs
        match effect:
            case KeepReading():
                outputs.readings.append(ReadingRow(line, effect.signal, effect.at, effect.value, int(effect.quality)))
                if self._points:
                    outputs.points.append(reading_point(line, effect))
            case KeepFigures():
                outputs.figures.append(FiguresRow(line, effect.at, msgspec.json.encode(effect.figures)))
                point = figures_point(line, effect) if self._points else None
                if point is not None:
                    outputs.points.append(point)
            case TellEvent():
                self._keep_event(line, effect)
            case TellAlarm(alarm=alarm):
                self._keep_alarm(row, step, line, alarm)
            case TellSummary(summary=summary):
                document, record = encode(summary_document(summary)), msgspec.msgpack.encode(summary)
                kept = SummaryRow(line, summary.shift, summary.start, summary.end, document, record)
                outputs.summaries.append(kept)
                self.summed_up(kept)
                self._tell(line, self._topics.summary(line, summary.shift), document, retain=True)
            case ShowLive():
                pass

    def _keep_event(self, line: str, event: TellEvent) -> None:
        document = event_document(event, line, self._topics.root)
        encoded = encode(document)
        self._outputs.events.append(EventRow(line, str(document["id"]), event.at, event.kind, encoded))
        self._tell(line, self._topics.event(line), encoded, retain=False)
        if self._points:
            self._outputs.points.append(event_point(line, event))

    def _keep_alarm(self, row: Row, step: int, line: str, alarm: AlarmRecord) -> None:
        document = encode(alarm_document(alarm, line))
        self._outputs.alarms.append(AlarmRow(row.seq, step, line, alarm.name, document))
        self._tell(line, self._topics.alarm(line, alarm.name), document, retain=True)
        if self._points:
            at = max(t for t in (alarm.raised, alarm.cleared, alarm.acknowledged, 0.0) if t is not None)
            self._outputs.points.append(alarm_point(line, alarm, at))

    def _refused(self, row: Row, step: int, line: str, subject: str, reason: str) -> None:
        refused = RefusedRow(row.seq, step, line, subject, row.arrived, reason, row.payload)
        self._outputs.refused.append(refused)
        self._screen.refuse(refused)

    def _tell(self, line: str, topic: str, payload: bytes, *, retain: bool) -> None:
        self._outputs.outgoing.append(Outgoing(0, line, topic, payload, retain))
