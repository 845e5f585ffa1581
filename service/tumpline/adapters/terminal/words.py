"""How a terminal says things: in plain characters that every terminal has, and no others from outside."""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import datetime
from zoneinfo import ZoneInfo

from tumpline.wire.glance import Glance, Interval, SeenAlarm
from tumpline.wire.units import YIELD, from_si, to_si

CONDITION = {
    "pressing": ">>  PRESSING",
    "slow": "> .  SLOW",
    "starved": "( )  NO FRUIT",
    "blocked": "XX  BLOCKED",
    "stopped": "[]  STOPPED",
    "filling": "/\\  FILLING",
    "draining": "\\/  DRAINING",
    "washing": "~~  WASHING",
    "unknown": "??  NOT KNOWN",
}
"""A shape and a word for each condition."""
PRIORITY = {"high": "Now", "medium": "Soon", "low": "When you can"}
_ORDER = tuple(PRIORITY)
_TIME = re.compile(r"\d{4}-\d\d-\d\dT\d\d:\d\d:\d\d(\.\d+)?Z")


def condition(name: str) -> str:
    """The word alone: `PRESSING`, `NO FRUIT`."""
    return CONDITION.get(name, name.upper()).split("  ")[-1]


def harmless(text: str) -> str:
    """Text from outside without anything a terminal would obey."""
    return "".join(c if c.isprintable() else " " for c in text)


def sentence(clause: str) -> str:
    """A clause with a capital and a full stop."""
    text = clause.strip()
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) or not text else ".")


def number(value: float, decimals: int = 0) -> str:
    """A number with that many decimals, thousands set apart by a space, never `-0`."""
    text = f"{value:,.{decimals}f}".replace(",", " ")
    return text.lstrip("-") if float(f"{value:.{decimals}f}") == 0.0 else text


def between(figure: Interval, decimals: int = 0, factor: float = 1.0) -> str:
    """`698 to 726`, with one more decimal where both ends would read the same."""
    low, high = factor * figure.low, factor * figure.high
    if number(low, decimals) == number(high, decimals):
        decimals += 1
    return f"{number(low, decimals)} to {number(high, decimals)}"


def gallons_per_ton(litres_per_tonne: float) -> str:
    """The same yield in imperial gallons and long tons."""
    return f"{number(from_si(to_si(litres_per_tonne, 'L/t', YIELD), 'imp gal/long ton', YIELD))} gal/ton"


def duration(seconds: float) -> str:
    """`40 s`, `6 min`, `1 h 42`: whole units that have passed."""
    whole = max(0, int(seconds))
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min"
    return f"{whole // 3600} h {whole % 3600 // 60:02d}" if whole < 86400 else f"{whole // 86400} d"


def clock(at: datetime, zone: ZoneInfo) -> str:
    """`10:24:07` on the wall of the works."""
    return f"{at.astimezone(zone):%H:%M:%S}"


def reason(text: str, zone: ZoneInfo) -> str:
    """Why something is not known, times of the document in it as the wall of the works shows them."""
    return _TIME.sub(lambda found: clock(datetime.fromisoformat(found[0]), zone), text)


def why(glance: Glance) -> str:
    """Why the line is in its condition; for a stop, the reason people gave, or that nobody did."""
    stop = glance.stop
    if stop is None or stop.end is not None:
        return sentence(glance.condition_why)
    return f"{sentence(glance.condition_why)} {sentence(stop.reason) if stop.reason else 'No reason given yet.'}"


def alarm_name(alarm: SeenAlarm) -> str:
    """`Mill blocked`, `Signal lost: juice/flow`."""
    name = alarm.name.replace("-", " ").capitalize()
    return f"{name}: {alarm.subject}" if alarm.subject else name


def alarm_state(alarm: SeenAlarm) -> str:
    """What people have done about it, in a few words."""
    match alarm.state:
        case "unacknowledged" | "latched-unacknowledged":
            return "not acknowledged"
        case "returned-unacknowledged":
            return "over, not acknowledged"
        case "acknowledged" | "latched-acknowledged":
            return f"seen by {alarm.by}" if alarm.by else "acknowledged"
        case _:
            return alarm.state.replace("-", " ")


def in_order(alarms: list[SeenAlarm]) -> Iterator[SeenAlarm]:
    """The most urgent first, each followed by what followed from it."""

    def rank(alarm: SeenAlarm) -> tuple[int, str]:
        place = _ORDER.index(alarm.priority) if alarm.priority in _ORDER else len(_ORDER)
        return place, "" if alarm.raised is None else alarm.raised.isoformat()

    names = {alarm.name for alarm in alarms}
    for cause in sorted((a for a in alarms if a.because_of not in names), key=rank):
        yield cause
        yield from sorted((a for a in alarms if a.because_of == cause.name), key=rank)
