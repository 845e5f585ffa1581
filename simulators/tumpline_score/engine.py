"""One drawn shift through the engine in memory, by the way a replay takes: decoder, line, effects."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any, NamedTuple

from tumpline.pressing.effects import Effect, ShowLive, TellAlarm, TellSummary
from tumpline.pressing.learnt import Residence
from tumpline.pressing.line import PressLine
from tumpline.pressing.records import AlarmRecord, AlarmState, Known, Summary
from tumpline.settings import Settings
from tumpline.wire.decode import Decoder
from tumpline_score.draw import Draw
from tumpline_sim import settings_toml, shift

_LIVE_EVERY_S = 60.0
_RAISED = frozenset({AlarmState.UNACKNOWLEDGED, AlarmState.LATCHED_UNACKNOWLEDGED})


class Raised(NamedTuple):
    """An alarm raised, or one that stands and found a further subject; `at` in s since the shift began."""

    name: str
    subject: str | None
    at: float
    because_of: str | None


class Minute(NamedTuple):
    """What the live view said; `at` in s since the shift began."""

    at: float
    recent_yield: Known
    """m³/kg."""
    residence: Residence | None


@dataclass(frozen=True, kw_only=True)
class Heard:
    """What the service made of a shift, and what truly happened."""

    draw: Draw
    summary: Summary
    minutes: list[Minute]
    raised: list[Raised]
    truth: dict[str, Any]


def hear(draw: Draw) -> Heard:
    """Simulate a shift and let the engine hear it."""
    simulated = shift(draw.options)
    settings = Settings.model_validate(tomllib.loads(settings_toml(draw.options, pump=draw.pump)))
    wire = settings.lines[0].wire(settings.broker.root)
    decoder, line = Decoder([wire]), PressLine(wire.params)
    ear = _Ear(line, start=simulated.start)
    for message in simulated:
        decoded = decoder.decode(message.topic, message.payload, message.arrived)
        for event in decoded.events if decoded else ():
            ear.take(line.handle(event), message.arrived)
    ear.take(line.finish(), message.arrived)
    return Heard(
        draw=draw,
        summary=next(summary for summary in ear.summaries if summary.shift == simulated.name),
        minutes=ear.minutes,
        raised=list(ear.raised.values()),
        truth=simulated.truth,
    )


class _Ear:
    """Keeps what the line says; `start` of the shift in epoch s."""

    def __init__(self, line: PressLine, *, start: float) -> None:
        self._line = line
        self._start = start
        self.minutes: list[Minute] = []
        self.raised: dict[tuple[str, float, str | None], Raised] = {}
        """By name, time of the occurrence and subject."""
        self.summaries: list[Summary] = []

    def take(self, effects: Iterable[Effect], now: float) -> None:
        """Hear what the line asked for at `now` (epoch s)."""
        for effect in effects:
            if type(effect) is ShowLive and effect.at % _LIVE_EVERY_S == 0.0:
                live = self._line.live(effect.at)
                self.minutes.append(Minute(effect.at - self._start, live.recent_yield, live.residence))
            elif type(effect) is TellAlarm and effect.alarm.state in _RAISED:
                self._note(effect.alarm, now)
            elif type(effect) is TellSummary:
                self.summaries.append(effect.summary)

    def _note(self, alarm: AlarmRecord, now: float) -> None:
        if alarm.raised is None:
            return
        standing = any(key[:2] == (alarm.name, alarm.raised) for key in self.raised)
        at = (now if standing else alarm.raised) - self._start
        key = alarm.name, alarm.raised, alarm.subject
        self.raised.setdefault(key, Raised(alarm.name, alarm.subject, at, alarm.because_of))
