"""How documents say things: figures with their intervals, durations, and times by the clock of the works."""

from collections.abc import Mapping, Sequence
from datetime import datetime
from typing import Any
from zoneinfo import ZoneInfo

Document = Mapping[str, Any]
"""A document as `wire` writes it, or a part of one."""

THIN = "\N{NARROW NO-BREAK SPACE}"
NOT_KNOWN = "not known"


class Clock:
    """Turns the times of documents (RFC 3339) into days and minutes of the works' time zone."""

    def __init__(self, timezone: str) -> None:
        self._zone = ZoneInfo(timezone)

    def local(self, text: str) -> datetime:
        """The moment, in the zone."""
        return datetime.fromisoformat(text).astimezone(self._zone)

    def at(self, moment: float) -> datetime:
        """The same from seconds since 1970."""
        return datetime.fromtimestamp(moment, self._zone)

    def day(self, text: str) -> str:
        """`14 October 2026`."""
        when = self.local(text)
        return f"{when.day} {when:%B %Y}"

    def minute(self, text: str) -> str:
        """`08:30`."""
        return f"{self.local(text):%H:%M}"

    def span(self, start: str, end: str) -> str:
        """`08:00 to 16:00 BST`, with the day of the end where it is another one."""
        first, last = self.local(start), self.local(end)
        until = f"{last:%H:%M %Z}" if first.date() == last.date() else f"{last.day} {last:%b %H:%M %Z}"
        return f"{first:%H:%M} to {until}"


def seconds_of(text: str) -> float:
    """A time of a document in seconds since 1970."""
    return datetime.fromisoformat(text).timestamp()


def number(value: float, decimals: int = 0) -> str:
    """Thousands set apart by a thin space, a real minus, and never a minus before nought."""
    text = f"{value:,.{decimals}f}".replace(",", THIN)
    return text.lstrip("-") if float(f"{value:.{decimals}f}") == 0.0 else text.replace("-", "\N{MINUS SIGN}")


def value_of(document: Document, key: str) -> float | None:
    """A figure's best value, or a plain number; None where it is not known or not in the document."""
    found = document.get(key)
    if isinstance(found, Mapping):
        return float(found["value"])
    return None if found is None else float(found)


def figure(document: Document, key: str, decimals: int = 0) -> str:
    """A figure's best value in words, or that it is not known."""
    found = value_of(document, key)
    return NOT_KNOWN if found is None else number(found, decimals)


def interval(document: Document, key: str, decimals: int = 0) -> str:
    """`664 to 690`; empty where the figure is not known."""
    found = document.get(key)
    if not isinstance(found, Mapping):
        return ""
    return f"{number(found['low'], decimals)} to {number(found['high'], decimals)}"


def with_interval(document: Document, key: str, decimals: int = 0) -> str:
    """`677 (664 to 690)`, or that it is not known."""
    ends = interval(document, key, decimals)
    return f"{figure(document, key, decimals)} ({ends})" if ends else figure(document, key, decimals)


def reason(document: Document, key: str) -> str:
    """Why a figure is not known; empty where it is."""
    return "" if document.get(key) is not None else str(document.get(f"{key}_unknown", "no reason is given"))


def duration(seconds: float) -> str:
    """`40 s`, `4 min 37 s`, `1 h 42 min`."""
    minutes, rest = divmod(round(seconds), 60)
    hours, minutes = divmod(minutes, 60)
    if hours:
        return f"{hours} h {minutes:02} min"
    return f"{minutes} min {rest:02} s" if minutes else f"{rest} s"


def percent(share: float | None, decimals: int = 0) -> str:
    """A fraction in per cent, or that it is not known."""
    return NOT_KNOWN if share is None else f"{number(100.0 * share, decimals)}{THIN}%"


def varieties(load: Document) -> str:
    """`Hollow Norman 60 %, Acre Russet 40 %`; a single variety stands without its share."""
    found: Sequence[Document] = load.get("varieties") or []
    if len(found) == 1:
        return str(found[0]["name"])
    return ", ".join(f"{variety['name']} {percent(variety['share'])}" for variety in found)


def count_of(count: int, one: str, many: str | None = None) -> str:
    """`1 stop`, `2 stops`."""
    return f"{count} {one if count == 1 else many or one + 's'}"


def of_load(name: str | None) -> str:
    """A load's name; fruit that no load entry names has none."""
    return name or "fruit of no load"
