"""A shift summed up as a page of plain text, for a terminal."""

from collections.abc import Iterator, Mapping
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

Document = Mapping[str, Any]
"""A summary document, `tumpline.summary/1`."""

_FIGURES = (
    ("fruit", "fruit_kg", "kg"),
    ("juice", "juice_l", "L"),
    ("yield", "yield_l_per_t", "L/t"),
    ("pomace", "pomace_kg", "kg"),
    ("pomace dry matter", "pomace_dry_matter_pct", "%"),
    ("flume water", "flume_water_l", "L"),
    ("potential alcohol", "potential_alcohol_pct", "% vol"),
)
_LABEL = 20
_SECONDS = "_s"


def summary_text(summary: Document, timezone: str) -> str:
    """The shift's figures with their 95 % intervals, its loads, stops and alarms; ends with the standing notice."""
    zone = ZoneInfo(timezone)
    parts = (
        _head(summary, zone),
        _figures(summary),
        _times(summary),
        _loads(summary),
        _stops(summary, zone),
        _alarms(summary, zone),
        _balance(summary),
        iter(["", summary["caution"]]),
    )
    return "\n".join(line for part in parts for line in part) + "\n"


def _head(summary: Document, zone: ZoneInfo) -> Iterator[str]:
    yield f"{summary['line']}, shift {summary['shift']}"
    yield f"{_moment(summary['start'], zone)} to {_moment(summary['end'], zone)}"
    yield ""


def _figures(summary: Document) -> Iterator[str]:
    for label, key, unit in _FIGURES:
        yield f"{label:{_LABEL}}{_figure(summary, key, unit)}"


def _times(summary: Document) -> Iterator[str]:
    yield ""
    for key, seconds in summary["time"].items():
        if seconds:
            yield f"{key.removesuffix(_SECONDS):{_LABEL}}{_duration(seconds)}"


def _loads(summary: Document) -> Iterator[str]:
    if summary["loads"]:
        yield ""
    for load in summary["loads"]:
        yield f"{'load ' + load['load']:{_LABEL}}{load['grower']}: {_figure(load, 'fruit_kg', 'kg')}"
        yield f"{'':{_LABEL}}{_figure(load, 'yield_l_per_t', 'L/t')}"


def _stops(summary: Document, zone: ZoneInfo) -> Iterator[str]:
    if summary["stops"]:
        yield ""
    for stop in summary["stops"]:
        lasted = _duration(stop["duration_s"]) if stop["duration_s"] is not None else "not over"
        reason = stop["reason"] or "no reason given"
        yield f"{'stop at ' + _clock(stop['start'], zone):{_LABEL}}{lasted}, {stop['condition']}, {reason}"


def _alarms(summary: Document, zone: ZoneInfo) -> Iterator[str]:
    if summary["alarms"]:
        yield ""
    for alarm in summary["alarms"]:
        when = _clock(alarm["raised"], zone) if alarm["raised"] else "earlier"
        yield f"{alarm['name']:{_LABEL}}{when}: {alarm['cause']}"


def _balance(summary: Document) -> Iterator[str]:
    suspect = summary["balance"]["suspect"]
    if suspect:
        yield ""
        yield f"The meters do not agree; {suspect} fits the others least."


def _figure(document: Document, key: str, unit: str) -> str:
    figure = document[key]
    if figure is None:
        return f"not known: {document.get(f'{key}_unknown', 'no reason is given')}"
    value, low, high = (_number(figure[part]) for part in ("value", "low", "high"))
    return f"{value} {unit} ({low} to {high})"


def _number(value: float) -> str:
    return f"{value:.0f}" if abs(value) >= 100 else f"{value:.1f}"


def _duration(seconds: float) -> str:
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    if hours:
        return f"{hours} h {minutes:02} min"
    return f"{minutes} min {rest:02} s" if minutes else f"{rest} s"


def _moment(text: str, zone: ZoneInfo) -> str:
    return f"{datetime.fromisoformat(text).astimezone(zone):%Y-%m-%d %H:%M %Z}"


def _clock(text: str, zone: ZoneInfo) -> str:
    return f"{datetime.fromisoformat(text).astimezone(zone):%H:%M}"
