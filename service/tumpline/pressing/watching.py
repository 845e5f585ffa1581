"""The watchman: looks at the line once a second, judges its condition, and moves the alarms.

What is looked at stands in `lookout`, what deserves an alarm in `watches`, the life of an alarm in `alarms`.
"""

from __future__ import annotations

from tumpline.pressing import lookout, watches
from tumpline.pressing.alarms import Trigger
from tumpline.pressing.condition import Seen, begin, judge
from tumpline.pressing.effects import Effect, TellAlarm, TellEvent
from tumpline.pressing.entries import Acknowledge, Shelve, Unshelve
from tumpline.pressing.ledger import Ledger
from tumpline.pressing.params import LineParams
from tumpline.pressing.records import AlarmState, Condition, StopRecord
from tumpline.pressing.residence import BIN
from tumpline.pressing.state import State

_MILLING = frozenset({Condition.PRESSING, Condition.SLOW, Condition.FILLING})
"""Fruit goes in: there may be juice to miss."""


class Watchman:
    """Watches one line. What it remembers is in the state; effects are added to the list it is given."""

    def __init__(self, params: LineParams) -> None:
        self._params = params

    def second(self, s: State, now: float, effects: list[Effect]) -> None:
        """One second of event time more."""
        look = lookout.look(s, self._params, now)
        rated = self._params.rated_throughput
        s.feed.step(look, rated)
        mill = s.mill.step(look, s.feed, rated)
        starved = s.fruit.step(look, s.feed, blocked=mill.active)
        seen = lookout.observe(s, self._params, now, blocked=mill.active, starved=starved.active)
        self._judge(s, now, seen, effects)
        for name, verdict in (
            ("mill-blocked", mill),
            ("fruit-starved", starved),
            ("juice-low", s.juice.verdict(pressing=s.condition in _MILLING)),
            ("signal-lost", watches.lost(lookout.unheard(s, self._params, now))),
        ):
            self._apply(s, name, verdict, now, effects)
        for name, alarm in s.alarms.items():
            if alarm.shelved_until is not None and now >= alarm.shelved_until and alarm.move(Trigger.UNSHELVED, now):
                _tell_alarm(s, name, effects)

    def bin_closed(self, s: State, ledger: Ledger) -> None:
        """A bin of the ledger was closed and given to its loads."""
        s.juice.close_bin(
            ledger.fruit.amounts,
            s.attribution.aligned,
            ledger.juice.amounts,
            expected=self._params.expected_yield,
            rated_bin=BIN * self._params.rated_throughput,
            pump=self._params.juice_pump,
        )

    def entry(
        self, s: State, at: float, by: str, entry: Acknowledge | Shelve | Unshelve, effects: list[Effect]
    ) -> str | None:
        """What somebody wrote about an alarm; a sentence where it is refused."""
        alarm = s.alarms.get(entry.alarm)
        if alarm is None:
            return f"There is no alarm {entry.alarm}; there are: {', '.join(s.alarms)}."
        if isinstance(entry, Acknowledge):
            # What was written down before the alarm was raised was about the one before it.
            known = alarm.raised is None or at >= alarm.raised
            changed = known and alarm.move(Trigger.ACKNOWLEDGED, at, by)
        elif isinstance(entry, Shelve):
            changed = alarm.move(Trigger.SHELVED, at, by)
            alarm.shelved_until = at + 60.0 * entry.minutes
        else:
            changed = alarm.move(Trigger.UNSHELVED, at, by)
        if changed:
            _tell_alarm(s, entry.alarm, effects)
        return None

    def _judge(self, s: State, now: float, seen: Seen, effects: list[Effect]) -> None:
        condition, why = judge(seen)
        if condition is not s.condition:
            since = now
            if condition in (Condition.BLOCKED, Condition.STARVED) and s.feed.collapsed_at is not None:
                since = s.feed.collapsed_at
            s.condition, s.since = condition, since
            begin(s.spells, condition, since)
            effects.append(TellEvent("condition.changed", now, {"condition": condition.value, "why": why}))
        s.why = why
        for stop in s.stops.step(now, condition, s.since, rate=s.throughput, stop_after=self._params.stop_after):
            effects.append(stop_told("stop.began" if stop.end is None else "stop.ended", now, stop))

    def _apply(self, s: State, name: str, verdict: watches.Verdict, now: float, effects: list[Effect]) -> None:
        alarm = s.alarms[name]
        if verdict.active == alarm.active:
            return
        if verdict.active:
            _, alarm.value, alarm.limit, alarm.unit, alarm.cause = verdict
        if alarm.move(Trigger.RAISED if verdict.active else Trigger.CLEARED, now):
            _tell_alarm(s, name, effects, again=not verdict.active)


def _tell_alarm(s: State, name: str, effects: list[Effect], *, again: bool = True) -> None:
    """Say an alarm's new state; `again` is False for a new occurrence."""
    record = s.alarms[name].record()
    effects.append(TellAlarm(record))
    if again or record.state is AlarmState.SHELVED:
        for i in range(len(s.occurrences) - 1, -1, -1):
            if s.occurrences[i].name == name:
                s.occurrences[i] = record
                return
    s.occurrences.append(record)


def stop_told(kind: str, at: float, stop: StopRecord) -> TellEvent:
    """The event that says what became of a stop."""
    told = {"stop": stop.id, "start": stop.start, "end": stop.end, "condition": stop.condition.value}
    return TellEvent(kind, at, {**told, "reason": stop.reason})
