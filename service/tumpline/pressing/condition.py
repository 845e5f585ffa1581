"""What the line is doing, and the stops.

Rule 1: the condition follows from `observe` by the first row of `_TABLE` that fits; nothing else decides it.
"""

from __future__ import annotations

from bisect import bisect_right
from collections.abc import Callable
from typing import NamedTuple

from msgspec import Struct, field

from tumpline.pressing.records import Condition, StopRecord


class Seen(NamedTuple):
    """What can be observed at one moment; None where the signal is not fitted or not heard."""

    fruit: float | None
    """kg/s into the mill."""
    juice: float | None
    """m³/s."""
    wash: bool | None
    """The belt wash is on."""
    milling: bool
    juicing: bool
    slow: bool
    blocked: bool
    starved: bool


_TABLE: tuple[tuple[Condition, Callable[[Seen], bool], str], ...] = (
    (Condition.BLOCKED, lambda s: s.blocked, "the mill stopped taking fruit"),
    (Condition.UNKNOWN, lambda s: s.fruit is None, "the mill's throughput is not heard"),
    (Condition.STARVED, lambda s: s.starved, "the mill runs short of fruit"),
    (Condition.UNKNOWN, lambda s: s.juice is None, "the juice flow is not heard"),
    (
        Condition.SLOW,
        lambda s: s.milling and s.juicing and s.slow,
        "fruit comes at less than half the rated throughput",
    ),
    (Condition.PRESSING, lambda s: s.milling and s.juicing, "fruit goes in and juice comes out"),
    (Condition.FILLING, lambda s: s.milling, "fruit goes in, its juice has not come yet"),
    (Condition.DRAINING, lambda s: s.juicing, "no fruit goes in, the press still gives juice"),
    (Condition.WASHING, lambda s: s.wash is True, "no fruit and no juice, the belt wash is on"),
    (Condition.STOPPED, lambda _: True, "no fruit goes in and no juice comes out"),
)

PRESSING = frozenset({Condition.PRESSING, Condition.SLOW, Condition.FILLING, Condition.DRAINING})
"""Conditions that are not a stop."""


def judge(seen: Seen) -> tuple[Condition, str]:
    """The condition, and in a clause what it was read from."""
    for condition, fits, why in _TABLE:
        if fits(seen):
            return condition, why
    raise AssertionError("the last row always fits")


Spells = list[tuple[float, Condition]]
"""From when on the line was in which condition, in order; before the first it is not known."""


def begin(spells: Spells, condition: Condition, since: float) -> None:
    """From `since` on it is this condition, whatever was said of that time before."""
    while spells and spells[-1][0] >= since:
        spells.pop()
    spells.append((since, condition))


def time_spent(spells: Spells, start: float, end: float) -> dict[Condition, float]:
    """Seconds in each condition between two times; they sum to the whole."""
    spent: dict[Condition, float] = {}
    for condition, begun, over in zip(
        [Condition.UNKNOWN, *(c for _, c in spells)],
        [start, *(t for t, _ in spells)],
        [*(t for t, _ in spells), end],
        strict=True,
    ):
        seconds = min(over, end) - max(begun, start)
        if seconds > 0.0:
            spent[condition] = spent.get(condition, 0.0) + seconds
    return spent


def lasting(spells: Spells, at: float) -> Spells:
    """The spell that lasts at a time, and all later ones."""
    return spells[max(0, bisect_right(spells, at, key=lambda spell: spell[0]) - 1) :]


class Stops(Struct):
    """The stops of a shift: stretches of not pressing that last longer than the settings allow."""

    closed: list[StopRecord] = field(default_factory=list)
    open: StopRecord | None = None
    """A stop going on, from the moment it is long enough to be one."""
    idle_since: float | None = None
    pressed: bool = False
    """True once the line pressed in this shift: what comes before is getting ready, not a stop."""
    rate: float = 0.0
    """kg/s before the stop."""
    conditions: dict[Condition, float] = field(default_factory=dict)

    def step(
        self, at: float, condition: Condition, since: float, *, rate: float, stop_after: float
    ) -> list[StopRecord]:
        """One second more in this condition; the stops that began or ended with it."""
        if condition in PRESSING:
            self.pressed = self.pressed or condition is Condition.PRESSING
            self.rate = rate
            self.idle_since = None
            return self._end(since)
        if not self.pressed or condition is Condition.UNKNOWN:
            return []  # not hearing a meter is no stop, and does not end one
        if self.idle_since is None:
            self.idle_since = since
            self.conditions = {}
        self.conditions[condition] = self.conditions.get(condition, 0.0) + 1.0
        if self.open is None and at - self.idle_since > stop_after:
            self.open = StopRecord(f"stop-{self.idle_since:.0f}", self.idle_since, None, self._worst())
            return [self.open]
        return []

    def _worst(self) -> Condition:
        return max(self.conditions, key=lambda c: self.conditions[c])

    def _end(self, at: float) -> list[StopRecord]:
        if self.open is None:
            return []
        o = self.open
        fruit = self.rate * (at - o.start) if self.rate > 0.0 else None
        ended = StopRecord(o.id, o.start, at, self._worst(), fruit, o.reason, o.note, o.by)
        self.open = None
        self.closed.append(ended)
        return [ended]

    def give_reason(self, stop: str, reason: str, note: str | None, by: str) -> StopRecord | None:
        """Write down why a stop happened; the stop, or None where there is none of that id."""
        if self.open is not None and self.open.id == stop:
            self.open = _with_reason(self.open, reason, note, by)
            return self.open
        for i, record in enumerate(self.closed):
            if record.id == stop:
                self.closed[i] = _with_reason(record, reason, note, by)
                return self.closed[i]
        return None

    def split(self, at: float) -> Stops:
        """Take away the stops that began at `at` or later: they are the next shift's."""
        later = [stop for stop in self.closed if stop.start >= at]
        self.closed = [stop for stop in self.closed if stop.start < at]
        return Stops(later)

    def waiting(self) -> StopRecord | None:
        """The stop going on, or the last one without a reason."""
        if self.open is not None:
            return self.open
        return self.closed[-1] if self.closed and self.closed[-1].reason is None else None

    def sum_up(self, end: float) -> tuple[StopRecord, ...]:
        """All stops of a shift that is over; standing still or washing at its end is going home, not a stop."""
        stops = list(self.closed)
        if self.open is not None and self._worst() in (Condition.BLOCKED, Condition.STARVED):
            o = self.open
            stops.append(StopRecord(o.id, o.start, end, self._worst(), None, o.reason, o.note, o.by))
        return tuple(stops)


def _with_reason(stop: StopRecord, reason: str, note: str | None, by: str) -> StopRecord:
    return StopRecord(stop.id, stop.start, stop.end, stop.condition, stop.fruit_not_pressed, reason, note, by)
