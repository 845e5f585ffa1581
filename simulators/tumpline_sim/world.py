"""The line as a whole, one second of event time after another: pure, seeded, without a clock."""

from __future__ import annotations

from dataclasses import dataclass, field
from random import Random

from tumpline_sim.drift import Wander
from tumpline_sim.faults import Effects, Fault, Troubles
from tumpline_sim.feed import Feed
from tumpline_sim.flow import Parcel, Parcels, Plug, Tank, pour
from tumpline_sim.loads import Load
from tumpline_sim.mill import Hopper, Motor
from tumpline_sim.press import Press, Setting
from tumpline_sim.services import Air, Flume
from tumpline_sim.sump import Sump, Tray, litres

_EXPECTED_L_PER_KG = 0.68
_WASHING_S = 30.0
_LOW_AIR = 0.9  # of what is set: lost press air is there to be noticed (common practice, no source)
_FULL_PCT = 95.0
"""A pulp hopper so full stops the fruit."""


@dataclass(frozen=True, kw_only=True)
class Plant:
    """One works' press line: what is bolted down."""

    rate: float
    """Rated throughput, t/h."""
    first_fruit: float
    """s from the start of the shift until fruit first reaches the mill."""
    bar: float
    belt_m_per_min: float
    chute_s: int
    """s from mill to hopper and through the pipes, whatever the feed."""
    hopper_s: float
    """s of fruit in the hopper at the rated feed."""
    tray_s: float
    pipe_s: int
    sump: bool
    belt_length: float = 4.2
    """m under pressure."""

    @classmethod
    def drawn(cls, rng: Random, *, rate: float, first_fruit: float, sump: bool, far_apart: bool) -> Plant:
        """A line of that rate; no two are built alike, and some have long ways from machine to machine."""
        longest = (60, 50.0) if far_apart else (30, 36.0)
        return cls(
            rate=rate,
            first_fruit=first_fruit,
            bar=rng.uniform(4.2, 4.8),
            belt_m_per_min=rng.uniform(3.4, 3.8),
            chute_s=rng.randint(8, longest[0]),
            hopper_s=rng.uniform(16.0, longest[1]),
            tray_s=rng.uniform(5.0, 12.0),
            pipe_s=rng.randint(3, 8),
            sump=sump,
        )

    @property
    def rated(self) -> float:
        """kg/s."""
        return self.rate / 3.6

    @property
    def width(self) -> float:
        """Belt width, m: as wide as the rate asks for."""
        return self.rate / 4.0


@dataclass
class Second:
    """All that happened in one second, masses in kg."""

    now: float
    load: int = 0
    milled: float = 0.0
    juice: Parcels = field(default_factory=dict)
    """At the end of the pipe, before any sump."""
    metered_l: dict[int, float] = field(default_factory=dict)
    """Into the vat, L by load."""
    lost: Parcels = field(default_factory=dict)
    """Juice that ran away before the meter."""
    pomace: Parcels = field(default_factory=dict)
    """Onto the trailer."""
    flume_l: float = 0.0
    entries: list[tuple[str, str]] = field(default_factory=list)
    values: dict[str, float] = field(default_factory=dict)
    """The true value of every signal that is not the crew's doing."""
    effects: Effects = field(default_factory=Effects)
    drained: bool = False


class World:
    """Everything between the flume and the vat."""

    def __init__(
        self, rng: Random, plant: Plant, loads: tuple[Load, ...], *, faults: list[Fault], events: list[Fault]
    ) -> None:
        self.plant = plant
        self.fruits = [load.fruit for load in loads]
        self._troubles = Troubles([*events, *faults])
        self._faults, self._events = faults, events
        self._now = 0.0
        self._feed = Feed(rng, loads, rated=plant.rated, first=plant.first_fruit)
        self._motor = Motor(rng, rated=plant.rated)
        self._flume = Flume(rng, rate=plant.rate)
        self._air = Air(rng, bar=plant.bar)
        self._belt = Wander(rng, sd=0.008, seconds=300.0)
        self._wash = Wander(rng, sd=0.02, seconds=60.0)
        self._chute = Plug(plant.chute_s)
        self._hopper = Hopper(rated=plant.rated, seconds=plant.hopper_s)
        self._press = Press(width=plant.width, length=plant.belt_length, fruits=self.fruits)
        self._tray = Tray(tray_s=plant.tray_s, pipe_s=plant.pipe_s)
        self._sump = Sump(rated_l_per_s=plant.rated * _EXPECTED_L_PER_KG) if plant.sump else None
        self._conveyor = Tank()
        self._fruit_ended: float | None = None
        self._drained_at: float | None = None
        self._brix, self._celsius = 0.0, self.fruits[0].celsius

    @property
    def faults(self) -> list[Fault]:
        """Those that have begun."""
        return [fault for fault in self._troubles.begun if fault in self._faults]

    @property
    def events(self) -> list[Fault]:
        """What else has happened, no fault."""
        return [event for event in self._troubles.begun if event in self._events]

    def step(self) -> Second:
        """One second on."""
        self._now += 1.0
        second = Second(self._now, load=self._feed.load)
        effects = second.effects = self._troubles.step(
            self._now, milling_s=self._feed.milling_s, between_loads=self._feed.between_loads
        )
        if effects.pulp_held and self._hopper.level_pct > _FULL_PCT:
            effects.feed = 0.0
        second.milled, second.entries = self._feed.step(effects.feed)
        if self._feed.finished and self._fruit_ended is None:
            self._fruit_ended = self._now
        self._run_services(second)
        self._run_fruit(second)
        self._run_juice(second)
        self._say_pomace(second)
        return second

    def _run_services(self, second: Second) -> None:
        ended, first, now = self._fruit_ended, self.plant.first_fruit, self._now
        effects, values = second.effects, second.values
        milling = now > 0.8 * first and (ended is None or now < ended + 90.0) and not effects.mill_stopped
        pumping = now > 0.65 * first and (ended is None or now < ended + 60.0)
        washed = self._drained_at is not None and now > self._drained_at + _WASHING_S
        belts = now > 0.3 * first and not washed and not effects.stands
        second.flume_l, fresh = self._flume.step(running=pumping, effects=effects)
        values["flume/flow"] = second.flume_l
        values["water/make-up"] = 60.0 * fresh
        values["press/pressure"] = self._air.step(on=now > 0.2 * first and not washed, effects=effects)
        if effects.air < 1.0 and values["press/pressure"] < _LOW_AIR * self.plant.bar:
            self._troubles.feel("air-lost", now)
        speed = self.plant.belt_m_per_min * effects.belts
        values["press/belt-speed"] = speed * (1.0 + self._belt.step()) if belts else 0.0
        values["press/wash-pressure"] = (
            3.5 * effects.wash * (1.0 + self._wash.step()) * (1.0 + 0.6 * (1.0 - effects.cloth)) if belts else 0.0
        )
        values["mill/current"] = self._motor.step(second.milled, running=milling, effects=effects)
        values["line/emergency-stop"] = 0.0

    def _run_fruit(self, second: Second) -> None:
        values = second.values
        values["mill/throughput"] = 3.6 * second.milled
        values["mill/total"] = second.milled
        values["pulp/level"] = self._hopper.level_pct
        if second.effects.stands:
            # Liquid still drains from a cake that stands; that is left out.
            second.juice = self._tray.step({})
            return
        milled = {second.load: Parcel.milled(second.milled, self._now)} if second.milled else {}
        pulp = self._hopper.step(self._chute.push(milled), held=second.effects.pulp_held)
        values["pulp/level"] = self._hopper.level_pct
        setting = Setting(
            bar=values["press/pressure"],
            belt_m_per_s=(values["press/belt-speed"] or self.plant.belt_m_per_min) / 60.0,
            cloth=second.effects.cloth,
        )
        juice, cake = self._press.step(pulp, setting)
        lost = second.effects.juice_lost
        if lost:
            for load, parcel in juice.items():
                second.lost[load] = Parcel(juice=parcel.juice * lost)
                parcel.juice -= second.lost[load].juice
        second.juice = self._tray.step(juice)
        second.pomace = self._conveyor.take(1.0 / 8.0)
        pour(cake, self._conveyor.contents)

    def _run_juice(self, second: Second) -> None:
        onward = {load: Parcel(juice=p.juice) for load, p in second.juice.items()}
        dry = self._press.empty and self._tray.empty and self._hopper.empty and self._chute.empty
        if self._sump:
            onward = self._sump.step(onward, self.fruits, by_hand=self._feed.finished and dry)
        second.metered_l = litres(onward, self.fruits)
        volume = sum(second.metered_l.values())
        kg = sum(p.juice for p in onward.values())
        if kg:
            # The refractometer keeps the last juice that wetted it.
            self._brix = sum(p.juice * self.fruits[load].brix for load, p in onward.items()) / kg
            self._celsius = sum(p.juice * self.fruits[load].celsius for load, p in onward.items()) / kg
        values = second.values
        values["juice/flow"], values["juice/total"] = 60.0 * volume, volume
        values["juice/brix"], values["juice/temperature"] = self._brix, self._celsius
        second.drained = (
            self._feed.finished and dry and not self._conveyor.contents and (not self._sump or self._sump.empty)
        )
        if second.drained and self._drained_at is None:
            self._drained_at = self._now

    def _say_pomace(self, second: Second) -> None:
        second.values["pomace/flow"] = 3600.0 * sum(
            p.fruit * self.fruits[load].mass_in - p.juice for load, p in second.pomace.items()
        )
