"""What the alarms of a shift and of a season come to, as documents say it."""

from __future__ import annotations

from collections.abc import Sequence

from tumpline.pressing.alarm_load import BASIS_DAYS, AlarmPerformance, ShiftAlarms, alarm_performance
from tumpline.pressing.records import AlarmLoad, AlarmRecord, AlarmState, Priority
from tumpline.wire.figures import PERCENT, Document, plain, rounded_or_none, seconds
from tumpline.wire.times import from_rfc3339

CONVENTION = (
    "ANSI/ISA-18.2-2016 and IEC 62682 through secondary texts: per hour of shift, over 30 days or more. Alarms that "
    "asked for nobody (under their cause, shelved, out of service) do not count. A flood begins above 10 alarms in ten "
    "minutes and ends below 5; chattering is three times in a minute; stale is standing for more than 24 h."
)


def alarm_load_document(load: AlarmLoad) -> Document:
    """How much the alarms of one shift asked of people."""
    return {
        "count": load.count,
        "per_hour": rounded_or_none(load.per_hour),
        "worst_10_minutes": load.worst_ten_minutes,
        "flood_s": seconds(load.flood),
        "chattering": list(load.chattering),
        "stale": list(load.stale),
    }


def season_alarms(summaries: Sequence[Document]) -> Document:
    """What the alarms of these `tumpline.summary/1` documents come to; over too few days the rates are not stated."""
    found = alarm_performance([_shift(summary) for summary in summaries])
    return {
        "shifts": found.shifts,
        "days": rounded_or_none(found.days),
        "count": found.count,
        "worst_10_minutes": found.worst_ten_minutes,
        **_rates(found),
        "chattering": list(found.chattering),
        "stale": list(found.stale),
        "convention": CONVENTION,
    }


def _rates(found: AlarmPerformance) -> Document:
    why = "there was no alarm"
    if found.days < BASIS_DAYS:
        why = f"not enough data: {found.days:.1f} of {BASIS_DAYS:.0f} days"
        return {f"{key}{end}": None if not end else why for key in _RATES for end in ("", "_unknown")}
    shares = found.priorities
    return {
        **plain("per_hour", found.per_hour, why),
        **plain("over_10_in_10_minutes_pct", found.crowded_share, why, PERCENT),
        **plain("flood_pct", found.flood_share, why, PERCENT),
        **plain("top_10_share_pct", found.top_ten_share, why, PERCENT),
        **({f"{p.value}_pct": rounded_or_none(shares.get(p, 0.0), PERCENT) for p in Priority} if found.count else {}),
    }


_RATES = (
    "per_hour",
    "over_10_in_10_minutes_pct",
    "flood_pct",
    "top_10_share_pct",
    *(f"{p.value}_pct" for p in Priority),
)


def _shift(summary: Document) -> ShiftAlarms:
    start, end = _time(summary["start"]) or 0.0, _time(summary["end"]) or 0.0
    return ShiftAlarms(start, end, [_alarm(alarm) for alarm in summary["alarms"]])


def _alarm(document: Document) -> AlarmRecord:
    """As much of an alarm as its load asks for; documents of earlier versions counted every alarm as announced."""
    return AlarmRecord(
        name=document["name"],
        subject=document["subject"],
        state=AlarmState(document["state"]),
        active=document["active"],
        priority=Priority(document["priority"]),
        raised=_time(document["raised"]),
        cleared=_time(document["cleared"]),
        acknowledged=None,
        by=None,
        value=None,
        limit=None,
        unit=None,
        cause="",
        because_of=None,
        caution=None,
        announced=document.get("announced", True),
        times=document.get("times", 1),
    )


def _time(text: str | None) -> float | None:
    return None if text is None else from_rfc3339(text)
