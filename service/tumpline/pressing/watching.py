"""The watchman: looks at the line once a second, judges its condition, and moves the alarms.

What is looked at stands in `lookout`, what deserves an alarm in `watches`, the life of an alarm in `alarms`.
"""

from __future__ import annotations

import math

from tumpline.pressing import annunciator, lookout
from tumpline.pressing.annunciator import AlarmEntry
from tumpline.pressing.condition import Seen, begin, judge
from tumpline.pressing.effects import Effect, TellEvent
from tumpline.pressing.events import ReadingRefused, ReadingTaken
from tumpline.pressing.ledger import Ledger
from tumpline.pressing.params import LineParams
from tumpline.pressing.quality import Finding, SensorCheck, Trouble, examine, sensor_of
from tumpline.pressing.records import Condition, StopRecord
from tumpline.pressing.rooms import rooms
from tumpline.pressing.state import State
from tumpline.pressing.watches import QUIET
from tumpline.pressing.watches.bins import Bins

_LOOKED_AT = 5.0  # seconds between two looks at the sensors
_PRESSES, _SETTLED = (Condition.PRESSING, Condition.SLOW), 60.0  # for so many seconds, for all meters to move
_STUCK = frozenset({Trouble.FROZEN, Trouble.ALL_FROZEN, Trouble.AT_LIMIT})


class Watchman:
    """Watches one line. What it remembers is in the state; effects are added to the list it is given."""

    def __init__(self, params: LineParams) -> None:
        self._params = params
        self._sensors = {meter.name: sensor_of(meter) for meter in params.signals}

    def heard(self, s: State, event: ReadingTaken) -> None:
        """A reading was taken."""
        check = s.checks.get(event.signal)
        if check is None:
            check = s.checks[event.signal] = SensorCheck()
        if event.at > check.at:
            check.behind = min(max(0.0, s.clock - event.at), self._params.ahead)
        check.take(event.at, event.value, self._sensors[event.signal])

    def refused(self, s: State, event: ReadingRefused) -> None:
        """A reading was refused. A current above the meter's range is a high current, whatever else it is."""
        if event.signal == "mill/current" and event.beyond == "high":
            s.signals[event.signal].peak = math.inf
        elif event.signal in s.checks:
            s.checks[event.signal].refuse(event.arrived)

    def second(self, s: State, now: float, effects: list[Effect]) -> None:
        """One second of event time more."""
        line, watches = self._params, s.watches
        look = lookout.look(s, line, now)
        blocked, starved = watches.feed_second(look, line)
        seen = lookout.observe(s, line, look, blocked=blocked.active, starved=starved.active)
        self._judge(s, now, seen, effects)
        if now % _LOOKED_AT == 0.0:
            self._check(s, now)
        verdicts = {"mill-blocked": blocked, "fruit-starved": starved, **watches.second(look, line)}
        for name, verdict in verdicts.items():
            if verdict.active or s.alarms[name].active:
                annunciator.apply(s, name, verdict if line.watches[name].on else QUIET, now, effects)
        annunciator.second_over(s, now, effects)

    def _check(self, s: State, now: float) -> None:
        """Do the sensors still tell what they measure?"""
        running = s.condition in _PRESSES and now - s.since >= _SETTLED
        normal = running and s.watches.all_quiet()
        found = examine(s.checks, self._sensors, now, running=running, normal=normal)
        juice = found.get("juice/flow")
        s.watches.unsteady = juice is not None and juice.trouble in (Trouble.NOISY, Trouble.AIR)
        s.stuck = [name for name, f in found.items() if f.trouble in _STUCK]
        s.watches.doubted = {name: f.said(name, now) for name, f in found.items() if _tells_nothing(name, f)}

    def bin_closed(self, s: State, ledger: Ledger) -> None:
        """A bin of the ledger was closed and given to its loads."""
        found, way = s.attribution, s.learned.transport
        speed = lookout.value(s, self._params, "press/belt-speed", ledger.end)
        bins = Bins(ledger, found.aligned, found.owners[-1], s.pumped, way.mean, s.learned.u_mean, way.sd, speed)
        s.watches.bin_closed(bins, self._params, rooms=rooms(s, self._params, ledger))

    def entry(self, s: State, at: float, by: str, entry: AlarmEntry, effects: list[Effect]) -> str | None:
        """What somebody wrote about an alarm; a sentence where it is refused."""
        return annunciator.entry(s, at, by, entry, effects)

    def _judge(self, s: State, now: float, seen: Seen, effects: list[Effect]) -> None:
        condition, why = judge(seen)
        if condition is not s.condition:
            since = now
            if condition in (Condition.BLOCKED, Condition.STARVED) and s.watches.feed.collapsed_at is not None:
                since = s.watches.feed.collapsed_at
            s.condition, s.since = condition, since
            begin(s.spells, condition, since)
            effects.append(TellEvent("condition.changed", now, {"condition": condition.value, "why": why}))
        s.why = why
        for stop in s.stops.step(now, condition, s.since, rate=s.throughput, stop_after=self._params.stop_after):
            effects.append(stop_told("stop.began" if stop.end is None else "stop.ended", now, stop))


def _tells_nothing(name: str, found: Finding) -> bool:
    """Whether a signal is as good as lost. One that only scatters is not, and a hopper may be full."""
    if found.trouble is Trouble.AIR:
        return name == "juice/flow"
    if name == "pulp/level" and found.trouble is Trouble.AT_LIMIT:
        return False
    return found.trouble not in (None, Trouble.NOISY)


def stop_told(kind: str, at: float, stop: StopRecord) -> TellEvent:
    """The event that says what became of a stop."""
    told = {"stop": stop.id, "start": stop.start, "end": stop.end, "condition": stop.condition.value}
    return TellEvent(kind, at, {**told, "reason": stop.reason})
