"""One drawn shift through the engine in memory, by the way a replay takes: decoder, line, effects."""

from __future__ import annotations

import tomllib
from collections.abc import Iterable
from dataclasses import dataclass
from math import inf
from typing import Any, NamedTuple

from tumpline.pressing.effects import Effect, ShowLive, TellAlarm, TellSummary
from tumpline.pressing.learnt import Residence
from tumpline.pressing.line import PressLine
from tumpline.pressing.records import AlarmState, Known, Summary
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
    decoder, line, start = Decoder([wire]), PressLine(wire.params), simulated.start
    minutes: list[Minute] = []
    raised: dict[tuple[str, str | None, float], Raised] = {}
    summaries: list[Summary] = []

    def take(effects: Iterable[Effect], now: float) -> None:
        for effect in effects:
            if type(effect) is ShowLive and effect.at % _LIVE_EVERY_S == 0.0:
                live = line.live(effect.at)
                minutes.append(Minute(effect.at - start, live.recent_yield, live.residence))
            elif type(effect) is TellAlarm and effect.alarm.raised is not None and effect.alarm.state in _RAISED:
                told, at = effect.alarm, effect.alarm.raised
                standing = any(key[0] == told.name and key[2] == at for key in raised)
                since = (now if standing else at) - start
                key = told.name, told.subject, at
                raised.setdefault(key, Raised(told.name, told.subject, since, told.because_of))
            elif type(effect) is TellSummary:
                summaries.append(effect.summary)

    for message in simulated:
        decoded = decoder.decode(message.topic, message.payload, message.arrived)
        for event in decoded.events if decoded else ():
            take(line.handle(event), message.arrived)
    take(line.finish(), inf)
    named = next(summary for summary in summaries if summary.shift == simulated.name)
    return Heard(draw=draw, summary=named, minutes=minutes, raised=list(raised.values()), truth=simulated.truth)
