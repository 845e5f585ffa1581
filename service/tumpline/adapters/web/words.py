"""How the page says things: times, durations, numbers, conditions, alarms."""

from datetime import datetime
from zoneinfo import ZoneInfo

from tumpline.pressing.records import AlarmRecord, Condition, Priority

THIN_SPACE = "\N{NARROW NO-BREAK SPACE}"

CONDITION = {
    Condition.PRESSING: "Pressing",
    Condition.SLOW: "Slow",
    Condition.STARVED: "No fruit",
    Condition.BLOCKED: "Blocked",
    Condition.STOPPED: "Stopped",
    Condition.FILLING: "Filling",
    Condition.DRAINING: "Draining",
    Condition.WASHING: "Washing",
    Condition.UNKNOWN: "Not known",
}
PRIORITY = {Priority.HIGH: "Now", Priority.MEDIUM: "Soon", Priority.LOW: "When you can"}


class Clock:
    """Writes times as the site's wall clock shows them."""

    def __init__(self, timezone: str) -> None:
        self._zone = ZoneInfo(timezone)

    def minute(self, at: float, *, now: float | None = None) -> str:
        """`10:24`; with the day, `24 Nov 22:10`, where that is not the day of `now`."""
        when = self._local(at)
        if now is None or when.date() == self._local(now).date():
            return f"{when:%H:%M}"
        return f"{when.day} {when:%b %H:%M}"

    def second(self, at: float) -> str:
        """`10:24:07`."""
        return f"{self._local(at):%H:%M:%S}"

    def _local(self, at: float) -> datetime:
        return datetime.fromtimestamp(at, self._zone)


def duration(seconds: float) -> str:
    """`40 s`, `6 min`, `1 h 42`, `2 d 3 h`: whole units that have passed."""
    whole = max(0, int(seconds))
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min"
    if whole < 86400:
        return f"{whole // 3600} h {whole % 3600 // 60:02d}"
    return f"{whole // 86400} d {whole % 86400 // 3600} h"


def number(value: float, decimals: int) -> str:
    """A number with that many decimals, thousands set apart by a thin space, never `-0`."""
    text = f"{value:,.{decimals}f}".replace(",", THIN_SPACE)
    return text.lstrip("-") if float(f"{value:.{decimals}f}") == 0.0 else text.replace("-", "\N{MINUS SIGN}")


def between(low: float, high: float, decimals: int) -> str:
    """`between 698 and 726`, with one more decimal where both ends would read the same."""
    if number(low, decimals) == number(high, decimals):
        decimals += 1
    return f"between {number(low, decimals)} and {number(high, decimals)}"


def sentence(clause: str) -> str:
    """A clause with a capital and a full stop."""
    text = clause.strip()
    return text[:1].upper() + text[1:] + ("" if text.endswith((".", "!", "?")) else ".")


def alarm_name(alarm: AlarmRecord) -> str:
    """`Mill blocked`, `Signal lost: juice/flow`."""
    name = alarm.name.replace("-", " ").capitalize()
    return f"{name}: {alarm.subject}" if alarm.subject else name
