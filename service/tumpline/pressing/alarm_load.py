"""How much the alarms ask of people: rates, floods, chattering, stale alarms, and what a season of them comes to.

Figures and their bounds: ANSI/ISA-18.2-2016 / IEC 62682 through secondary texts; the end of a flood from memory.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from msgspec import Struct, field

from tumpline.pressing.alarms import CHATTERS, CHATTERS_IN
from tumpline.pressing.effects import TellEvent
from tumpline.pressing.records import AlarmLoad, AlarmRecord, Priority

FLOOD_ABOVE, FLOOD_BELOW = 10, 5
"""Alarms in ten minutes: a flood starts above the one and ends below the other."""
TEN_MINUTES = 600.0
STALE_AFTER = 86_400.0
"""s for which an alarm stands before it is stale."""
BASIS_DAYS = 30.0
"""Days over which a site's alarms are judged; over fewer the figures say little."""


class Flood(Struct):
    """The alarms of the last ten minutes, and the flood they are, from its first second to its last."""

    times: list[float] = field(default_factory=list)
    since: float | None = None
    names: dict[str, int] = field(default_factory=dict)
    """During a flood: how often each alarm was announced."""

    def announced(self, at: float, name: str) -> None:
        """People were told of an alarm."""
        self.times.append(at)
        self.names[name] = self.names.get(name, 0) + 1

    def step(self, now: float) -> TellEvent | None:
        """One second more; what is to be told where a flood begins or ends with it."""
        if not self.times and self.since is None:
            return None
        self.times = [at for at in self.times if at > now - TEN_MINUTES]
        if self.since is None and len(self.times) > FLOOD_ABOVE:
            self.since = now
            return self._event("flood.began", now)
        if self.since is not None and len(self.times) < FLOOD_BELOW:
            told = self._event("flood.ended", now)
            self.since, self.names = None, {}
            return told
        if not self.times:
            self.names = {}
        return None

    def _event(self, kind: str, at: float) -> TellEvent:
        return TellEvent(kind, at, {"start": self.since, "count": sum(self.names.values()), "alarms": dict(self.names)})


def alarm_load(alarms: Iterable[AlarmRecord], *, start: float, end: float) -> AlarmLoad:
    """
    What the alarms between two times asked of people. Those that asked for nobody do not count, nor do those of before
    that still stood at the start: they were counted then.
    """
    told = _told(alarms)
    times = sorted(at for at in _raised(told) if at >= start)
    hours = (end - start) / 3600.0
    worst, flood = _crowding(times, end)
    return AlarmLoad(
        count=len(times),
        per_hour=len(times) / hours if hours > 0.0 else None,
        worst_ten_minutes=worst,
        flood=flood,
        chattering=tuple(sorted({a.name for a in told if _chatters(a, told)})),
        stale=tuple(sorted({a.name for a in told if _stands(a, end) > STALE_AFTER})),
    )


class ShiftAlarms(NamedTuple):
    """A shift's alarms."""

    start: float
    end: float
    alarms: Sequence[AlarmRecord]


class AlarmPerformance(Struct, frozen=True):
    """What the alarms of many shifts come to; shares are of one, None where there is nothing to share out."""

    shifts: int
    days: float
    """From the first shift's start to the last one's end."""
    count: int
    per_hour: float | None
    worst_ten_minutes: int
    crowded_share: float | None
    """Of the periods of ten minutes: with more alarms than people can follow."""
    flood_share: float | None
    """Of the time."""
    top_ten_share: float | None
    """Of the alarms: that have the ten most frequent names."""
    chattering: tuple[str, ...]
    stale: tuple[str, ...]
    priorities: dict[Priority, float]


def alarm_performance(shifts: Sequence[ShiftAlarms]) -> AlarmPerformance:
    """What the alarms of many shifts come to; rates are over the hours of the shifts."""
    loads = [alarm_load(s.alarms, start=s.start, end=s.end) for s in shifts]
    told = [a for s in shifts for a in _told(s.alarms) if a.raised is not None and a.raised >= s.start]
    seconds = sum(s.end - s.start for s in shifts)
    tens = [n for s in shifts for n in by_ten_minutes(_raised(_told(s.alarms)), start=s.start, end=s.end)]
    names, priorities = Counter(a.name for a in told), Counter(a.priority for a in told)
    return AlarmPerformance(
        shifts=len(shifts),
        days=(max(s.end for s in shifts) - min(s.start for s in shifts)) / 86_400.0 if shifts else 0.0,
        count=len(told),
        per_hour=3600.0 * len(told) / seconds if seconds > 0.0 else None,
        worst_ten_minutes=max((load.worst_ten_minutes for load in loads), default=0),
        crowded_share=sum(n > FLOOD_ABOVE for n in tens) / len(tens) if tens else None,
        flood_share=sum(load.flood for load in loads) / seconds if seconds > 0.0 else None,
        top_ten_share=sum(n for _, n in names.most_common(10)) / len(told) if told else None,
        chattering=_all_names(load.chattering for load in loads),
        stale=_all_names(load.stale for load in loads),
        priorities={priority: n / len(told) for priority, n in priorities.items()},
    )


def by_ten_minutes(times: Iterable[float], *, start: float, end: float) -> list[int]:
    """How many times fall into each whole or begun period of ten minutes from `start` on."""
    counts = [0] * max(0, -int(-(end - start) // TEN_MINUTES))
    for at in times:
        if start <= at < end:
            counts[int((at - start) // TEN_MINUTES)] += 1
    return counts


def _all_names(names: Iterable[Iterable[str]]) -> tuple[str, ...]:
    return tuple(sorted({name for some in names for name in some}))


def _told(alarms: Iterable[AlarmRecord]) -> list[AlarmRecord]:
    """Those that asked for somebody."""
    return [a for a in alarms if a.announced and a.raised is not None]


def _raised(alarms: Iterable[AlarmRecord]) -> list[float]:
    return [a.raised for a in alarms if a.raised is not None]


def _crowding(times: Sequence[float], end: float) -> tuple[int, float]:
    """The most alarms of any ten minutes, and the seconds spent in floods up to `end`; times in order."""
    last = worst = 0  # alarms of the ten minutes before
    flood, since = 0.0, None
    for at, step in sorted([(t, 1) for t in times] + [(t + TEN_MINUTES, -1) for t in times]):
        last += step
        worst = max(worst, last)
        if since is None and last > FLOOD_ABOVE:
            since = at
        elif since is not None and last < FLOOD_BELOW:
            flood, since = flood + min(at, end) - since, None
    return worst, flood


def _chatters(alarm: AlarmRecord, alarms: Sequence[AlarmRecord]) -> bool:
    """True where this one came and went by itself, or begins a minute with three of its name."""
    times = sorted(_raised(a for a in alarms if a.name == alarm.name))
    return alarm.times > 1 or any(b - a < CHATTERS_IN for a, b in zip(times, times[CHATTERS - 1 :], strict=False))


def _stands(alarm: AlarmRecord, end: float) -> float:
    """s for which its condition held, up to `end`."""
    over = alarm.cleared if alarm.cleared is not None else end if alarm.active else alarm.raised
    return (over or 0.0) - (alarm.raised or 0.0)
