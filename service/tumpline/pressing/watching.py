"""The watchman: looks at the line once a second, judges its condition, and moves the alarms.

What is looked at stands in `lookout`, what deserves an alarm in `watches`, the life of an alarm in `alarms`.
"""

from __future__ import annotations

from tumpline.pressing import annunciator, lookout, watches
from tumpline.pressing.annunciator import AlarmEntry
from tumpline.pressing.condition import Seen, begin, judge
from tumpline.pressing.effects import Effect, TellEvent
from tumpline.pressing.ledger import Ledger
from tumpline.pressing.params import LineParams
from tumpline.pressing.records import Condition, StopRecord
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
            annunciator.apply(s, name, verdict, now, effects)
        annunciator.second_over(s, now, effects)

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

    def entry(self, s: State, at: float, by: str, entry: AlarmEntry, effects: list[Effect]) -> str | None:
        """What somebody wrote about an alarm; a sentence where it is refused."""
        return annunciator.entry(s, at, by, entry, effects)

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


def stop_told(kind: str, at: float, stop: StopRecord) -> TellEvent:
    """The event that says what became of a stop."""
    told = {"stop": stop.id, "start": stop.start, "end": stop.end, "condition": stop.condition.value}
    return TellEvent(kind, at, {**told, "reason": stop.reason})
