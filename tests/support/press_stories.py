"""Shifts of known truth, told second by second, and a line that listens to them.

The line told of is simple on purpose and shares nothing with the program: fruit goes in at a given rate, its juice
comes after a plug delay and two stirred tanks, and every meter is off by a gain of its own.
"""

from __future__ import annotations

import math
from collections import deque
from collections.abc import Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime

from tumpline.pressing.effects import Effect, KeepReading, TellAlarm, TellEvent, TellSummary
from tumpline.pressing.entries import Entry, Load, LoadOn, ShiftEnd, ShiftStart, Variety
from tumpline.pressing.events import EntryMade, Event, ReadingTaken, TimePassed
from tumpline.pressing.line import PressLine
from tumpline.pressing.params import Accuracy, LineParams, Quantity, ResidenceParams, SignalParams
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import AlarmRecord, Known, Summary, Unknown

START = datetime(2026, 10, 14, 7, 0, tzinfo=UTC).timestamp()
RATED = 4.0 / 3.6  # kg/s: 4 t/h
YIELD = 0.7e-3  # m³/kg: 700 L/t
WATER = 0.022  # m³/s in the flume
CURRENT = 18.0  # A while milling at the rated throughput
IDLE_CURRENT = 7.0  # A while the mill turns empty
_TREMBLE = 1e-6
"""No meter ever reads the same twice in a row."""
DELAY, SPREAD = 45, 20.0  # s from mill to juice meter

_FITTED = (
    SignalParams("flume/flow", Quantity.VOLUME_FLOW, 0.0, 0.05, Accuracy(of_reading=0.02)),
    SignalParams("mill/throughput", Quantity.MASS_FLOW, 0.0, 8.0 / 3.6, Accuracy(of_reading=0.015)),
    SignalParams("press/pressure", Quantity.PRESSURE, 0.0, 10e5, Accuracy(fixed=2000.0)),
    SignalParams("juice/flow", Quantity.VOLUME_FLOW, 0.0, 100.0 / 60e3, Accuracy(of_reading=0.01)),
)
_CURRENT = SignalParams("mill/current", Quantity.CURRENT, 0.0, 100.0, Accuracy(of_reading=0.02))


def params(*more: SignalParams, current: bool = True) -> LineParams:
    """A line of 4 t/h with the four expected signals, a mill current unless told otherwise, and `more`."""
    return LineParams(
        id="line-1",
        rated_throughput=RATED,
        expected_yield=YIELD,
        residence=ResidenceParams(float(DELAY), SPREAD),
        signals=(*_FITTED, *((_CURRENT,) if current else ()), *more),
        live_every=60.0,
    )


def load(name: str, net_kg: float, *, grower: str = "Coppice Farm") -> Load:
    """A load of one variety, weighed in."""
    return Load(name, grower, net_kg, (Variety("bittersweet", 1.0),))


@dataclass
class _Tanks:
    """What the line does to one load's fruit: a plug delay, then two stirred tanks."""

    plug: deque[float] = field(default_factory=lambda: deque([0.0] * DELAY))
    levels: tuple[float, float] = (0.0, 0.0)

    def step(self, fruit: float) -> float:
        """One second of fruit in, the fruit whose juice comes out."""
        self.plug.append(fruit)
        stay = math.exp(-math.sqrt(2.0) / SPREAD)
        first = stay * self.levels[0] + (1.0 - stay) * self.plug.popleft()
        second = stay * self.levels[1] + (1.0 - stay) * first
        self.levels = (first, second)
        return second


@dataclass
class Story:
    """The events of a shift, in the order of event time, and what was true."""

    gains: dict[str, float] = field(default_factory=dict)
    """By how much each meter multiplies the truth."""
    current: bool = True
    now: float = START
    events: list[Event] = field(default_factory=list)
    milled: dict[str, float] = field(default_factory=dict)
    """kg by load."""
    pressed: dict[str, float] = field(default_factory=dict)
    """m³ by load."""
    _tanks: dict[str, _Tanks] = field(default_factory=dict)
    _owners: list[tuple[float, str]] = field(default_factory=list)

    def write(self, entry: Entry, *, at: float | None = None, by: str = "Ned") -> Story:
        """Somebody writes into the book, now or about an earlier time."""
        when = self.now if at is None else at
        self.events.append(EntryMade(f"entry-{len(self.events)}", when, self.now, by, entry))
        return self

    def start(self, shift: str = "early") -> Story:
        """The shift starts."""
        return self.write(ShiftStart(shift, ("Ned", "Isla")))

    def end(self) -> Story:
        """The shift ends, and a minute passes."""
        return self.write(ShiftEnd()).idle(60)

    def put_on(self, name: str, *, typed_late: bool = False) -> Story:
        """A load's fruit goes into the flume; it is at the mill twenty seconds later."""
        self._owners.append((self.now + 20.0, name))
        return self if typed_late else self.write(LoadOn(name))

    def idle(self, seconds: int) -> Story:
        """Nothing is tipped, everything else runs on."""
        return self.run(seconds, fruit=0.0, current=IDLE_CURRENT)

    def run(
        self,
        seconds: int,
        *,
        fruit: float = RATED,
        juice: float = 1.0,
        water: float = WATER,
        current: float | None = None,
        silent: Iterable[str] = (),
    ) -> Story:
        """So many seconds of fruit (kg/s) with `juice` times the usual yield; `silent` signals say nothing."""
        mute = set(silent)
        for _ in range(seconds):
            self._fruit(fruit)
            came = YIELD * juice * sum(self._press(name, fruit, juice) for name in list(self._tanks))
            amps = current if current is not None else IDLE_CURRENT + (CURRENT - IDLE_CURRENT) * fruit / RATED
            readings = {"flume/flow": water, "mill/throughput": fruit, "press/pressure": 1.4e5, "juice/flow": came}
            if self.current:
                readings["mill/current"] = amps
            for name, value in readings.items():
                if name not in mute:
                    measured = value * self.gains.get(name, 1.0) * (1.0 + _TREMBLE * (self.now % 3.0 - 1.0))
                    self.events.append(ReadingTaken(name, self.now, measured, self.now + 0.2))
            self.now += 1.0
        return self

    def wait(self, seconds: int) -> Story:
        """Nothing at all is heard; only time passes."""
        for _ in range(seconds):
            self.now += 1.0
            self.events.append(TimePassed(self.now))
        return self

    def _owner(self) -> str:
        return next((name for at, name in reversed(self._owners) if at <= self.now), "")

    def _fruit(self, fruit: float) -> None:
        owner = self._owner()
        self._tanks.setdefault(owner, _Tanks())
        self.milled[owner] = self.milled.get(owner, 0.0) + fruit

    def _press(self, name: str, fruit: float, juice: float) -> float:
        came = self._tanks[name].step(fruit if name == self._owner() else 0.0)
        self.pressed[name] = self.pressed.get(name, 0.0) + YIELD * juice * came
        return came


@dataclass
class Told:
    """What a line said about a story."""

    line: PressLine
    effects: list[Effect]

    @property
    def summaries(self) -> list[Summary]:
        """Every shift that was summed up."""
        return [e.summary for e in self.effects if isinstance(e, TellSummary)]

    @property
    def summary(self) -> Summary:
        """The one shift there was."""
        (only,) = self.summaries
        return only

    def alarms(self, name: str) -> list[AlarmRecord]:
        """Every change of an alarm, in order."""
        return [e.alarm for e in self.effects if isinstance(e, TellAlarm) and e.alarm.name == name]

    def events(self, kind: str) -> list[TellEvent]:
        """Every event told of one kind, in order."""
        return [e for e in self.effects if isinstance(e, TellEvent) and e.kind == kind]

    @property
    def raised(self) -> list[str]:
        """Names of the alarms that were raised, in order."""
        told = [e.alarm for e in self.effects if isinstance(e, TellAlarm)]
        return [a.name for i, a in enumerate(told) if a.active and not any(b.raised == a.raised for b in told[:i])]

    @property
    def conditions(self) -> list[str]:
        """What the line was doing, in order."""
        return [str(e.data["condition"]) for e in self.events("condition.changed")]

    @property
    def kept(self) -> list[KeepReading]:
        """Every reading that was to be stored."""
        return [e for e in self.effects if isinstance(e, KeepReading)]


def play(events: Iterable[Event], line_params: LineParams | None = None, *, finish: bool = True) -> Told:
    """A fresh line hears the events; at the end nothing more comes, unless `finish` is False."""
    line = PressLine(line_params or params())
    effects = [effect for event in events for effect in line.handle(event)]
    return Told(line, effects + (line.finish() if finish else []))


def known(figure: Known) -> Estimate:
    """The figure as an estimate; a test that asks for it fails with the reason where it is unknown."""
    assert not isinstance(figure, Unknown), figure.why
    return figure


def inside(truth: float, figure: Known) -> bool:
    """Whether the truth lies in the figure's 95 % interval."""
    low, high = known(figure).figure()[1:]
    return low <= truth <= high


def plain_shift(*, current: bool = True, gains: dict[str, float] | None = None, minutes: int = 15) -> Story:
    """A shift of two loads of so many minutes each, milled without a break, and the press run empty at the end."""
    story = Story(current=current, gains=gains or {}).start()
    net = RATED * 60.0 * minutes
    story.write(load("41", net)).write(load("42", net, grower="Long Acre"))
    story.put_on("41").idle(20).run(60 * minutes - 20).put_on("42")
    return story.run(60 * minutes + 20).idle(400).end()
