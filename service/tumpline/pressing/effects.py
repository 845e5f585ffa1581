"""What a line asks for, in the imperative. What happens to a line stands in `events`.

None of these is an order to a machine. The caller performs them in the order given.
"""

from enum import IntEnum

from msgspec import Struct

from tumpline.pressing.records import AlarmRecord, Summary


class Quality(IntEnum):
    """What became of a reading."""

    GOOD = 0
    LATE = 1


class KeepReading(Struct, frozen=True, gc=False):
    """Store one reading of the time series; SI value."""

    signal: str
    at: float
    value: float
    quality: Quality


class KeepFigures(Struct, frozen=True):
    """Store computed figures of this moment (keys carry their unit, as in documents)."""

    at: float
    figures: dict[str, float]


class ShowLive(Struct, frozen=True):
    """A second of event time is over: ask the line for its `live()` view and publish that."""

    at: float


class TellEvent(Struct, frozen=True):
    """Publish and store something people will want to find again."""

    kind: str
    """Past tense, dotted under the line: `stop.began`, `load.on`, `shift.ended`, …"""
    at: float
    data: dict[str, object]


class TellAlarm(Struct, frozen=True):
    """Publish and store this alarm's new state."""

    alarm: AlarmRecord


class TellSummary(Struct, frozen=True):
    """Publish and store the summary of a shift that is over."""

    summary: Summary


Effect = KeepReading | KeepFigures | ShowLive | TellEvent | TellAlarm | TellSummary
