"""InfluxDB line protocol: one line a point, times in nanoseconds."""

from __future__ import annotations

import math
from functools import lru_cache

from tumpline.pressing.effects import KeepFigures, KeepReading, TellEvent
from tumpline.pressing.records import AlarmRecord
from tumpline.wire.catalogue import kind_of
from tumpline.wire.documents import encode
from tumpline.wire.units import SCALES, Scale

# A backslash cannot be written in a tag so that it never swallows what follows.
_TAG = str.maketrans({",": r"\,", "=": r"\=", " ": r"\ ", "\n": r"\ ", "\r": r"\ ", "\\": "/"})
_TEXT = str.maketrans({"\\": r"\\", '"': r"\"", "\n": r" ", "\r": r" "})


def reading_point(line: str, reading: KeepReading) -> str:
    """`reading,line=…,signal=…,unit=… value=…,late=…`: in the unit of documents."""
    start, scale = _reading_start(line, reading.signal)
    value = (reading.value - scale.offset) / scale.factor
    return f"{start} value={value!r},late={'true' if reading.quality else 'false'} {_ns(reading.at)}"


def figures_point(line: str, figures: KeepFigures) -> str | None:
    """`figures,line=… yield_l_per_t=…,…`; None where none is known."""
    fields = ",".join(f"{_tag(key)}={value!r}" for key, value in figures.figures.items() if math.isfinite(value))
    return f"figures,line={_tag(line)} {fields} {_ns(figures.at)}" if fields else None


def event_point(line: str, event: TellEvent) -> str:
    """`event,line=…,kind=… data="…"` with the event's data as JSON."""
    data = _text(encode(event.data).decode())
    return f"event,line={_tag(line)},kind={_tag(event.kind)} data={data} {_ns(event.at)}"


def alarm_point(line: str, alarm: AlarmRecord, at: float) -> str:
    """`alarm,line=…,name=…[,subject=…] state="…",active=…,priority="…",cause="…"` of the moment it changed."""
    subject = f",subject={_tag(alarm.subject)}" if alarm.subject else ""
    return (
        f"alarm,line={_tag(line)},name={_tag(alarm.name)}{subject} state={_text(alarm.state.value)},"
        f"active={'true' if alarm.active else 'false'},priority={_text(alarm.priority.value)},"
        f"cause={_text(alarm.cause)} {_ns(at)}"
    )


@lru_cache(maxsize=1024)
def _reading_start(line: str, signal: str) -> tuple[str, Scale]:
    kind = kind_of(signal)
    unit, scale = ("", Scale(1.0)) if kind is None else (kind.unit, SCALES[kind.quantity.value][kind.unit])
    tag = f",unit={_tag(unit)}" if unit else ""
    return f"reading,line={_tag(line)},signal={_tag(signal)}{tag}", scale


def _tag(text: str) -> str:
    return text.translate(_TAG)


def _text(text: str) -> str:
    return f'"{text.translate(_TEXT)}"'


def _ns(at: float) -> int:
    """Microseconds are what a float of seconds holds; whole ones, so that the same reading is the same point."""
    return round(at * 1e6) * 1000
