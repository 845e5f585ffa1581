"""
What is left of a season: when the vats are full, how many shifts remain, and what another pressing rate would change.

A calculation on what this line did so far, no forecast of fruit or weather; its assumptions are part of the answer.
SI: kg, m³, s, kg/s, m³/kg.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Sequence

from msgspec import Struct

from tumpline.pressing.quantities import Estimate, normal, ratio
from tumpline.pressing.records import Known, Unknown

DAY = 86400.0
SPOILT_A_DAY = 0.01
"""Share of the fruit waiting in the yard that a day costs, where the site has no figure of its own (common practice, no
source)."""

_FEWEST = 8
"""Loads from which the effect of the rate is worked out at all."""
_SPREAD = 0.03
"""Relative spread of their rates under which there is nothing to learn from."""
_STEPS = 20
_LONGEST = 400  # days


class Pressed(Struct, frozen=True):
    """One load that was pressed: how fast, and what it gave."""

    fruit: float
    rate: float
    """kg/s while its fruit ran."""
    extraction: float


class Ahead(Struct, frozen=True, kw_only=True):
    """What people know about the rest of the season."""

    to_come: float
    """kg still to be delivered, evenly over `days`."""
    days: int
    waiting: float = 0.0
    """kg in the yard now."""
    room: Known
    """m³ that the vats still take."""
    shift_time: float
    """Seconds of pressing in a shift."""
    shifts_a_day: float = 1.0
    spoilt_a_day: float = SPOILT_A_DAY


class RateEffect(Struct, frozen=True):
    """A straight line through the loads: `at` rate `mean` the yield was this, and changed by `slope` per kg/s."""

    mean: float
    there: Estimate
    slope: Known
    slowest: float
    """Rates outside which this line has not pressed."""
    fastest: float

    def extraction_at(self, rate: float) -> float:
        """m³/kg; the same at every rate where the effect of the rate is not known."""
        tilt = self.slope.value if isinstance(self.slope, Estimate) else 0.0
        return max(0.0, self.there.value + tilt * (rate - self.mean))


class Outcome(Struct, frozen=True):
    """The rest of the season at one rate."""

    rate: float
    juice: float
    pressed: float
    spoilt: float
    shifts: float
    days: int
    full_after: float | None
    """Shifts until the vats are full; None where they take it all, or nobody knows their room."""


class Plan(Struct, frozen=True):
    """What a season comes to."""

    effect: RateEffect
    now: Outcome
    """At the mean rate so far."""
    full_after: Known
    """Shifts until the vats are full at that rate, with what is not known about yield and room."""
    outcomes: tuple[Outcome, ...]
    """At rates this line has pressed at, slowest first; one where nothing can be said about the rate."""
    best: Outcome
    gain: Known
    """m³ that the best rate gives more than the mean one."""
    assumptions: tuple[str, ...]


def rate_effect(loads: Iterable[Pressed]) -> RateEffect | Unknown:
    """Least squares of yield on rate, a load counting by its fruit; as unsure as the loads scatter about the line."""
    known = [p for p in loads if p.fruit > 0.0 and p.rate > 0.0]
    whole = sum(p.fruit for p in known)
    if len(known) < 2:
        return Unknown("fewer than two loads were pressed")
    weights = [p.fruit / whole for p in known]
    mean = sum(w * p.rate for w, p in zip(weights, known, strict=True))
    middle = sum(w * p.extraction for w, p in zip(weights, known, strict=True))
    spread = sum(w * (p.rate - mean) ** 2 for w, p in zip(weights, known, strict=True))
    tilt = sum(w * (p.rate - mean) * p.extraction for w, p in zip(weights, known, strict=True))
    learnt = len(known) >= _FEWEST and math.sqrt(spread) >= _SPREAD * mean
    slope = tilt / spread if learnt else 0.0
    left = sum(w * (p.extraction - middle - slope * (p.rate - mean)) ** 2 for w, p in zip(weights, known, strict=True))
    effective = 1.0 / sum(w * w for w in weights)
    u_middle = math.sqrt(left / max(1.0, effective - 2.0))
    found: Known = Unknown(f"the rate has an effect only from {_FEWEST} loads pressed at rates that differ")
    if learnt:
        found = Estimate(slope, (normal("scatter of the loads' yields", u_middle / math.sqrt(spread)),))
    there = Estimate(middle, (normal("scatter of the loads' yields", u_middle),))
    rates = [p.rate for p in known]
    return RateEffect(mean, there, found, min(rates), max(rates))


def outcome(ahead: Ahead, effect: RateEffect, rate: float) -> Outcome:
    """Day by day: fruit comes, the shifts press what they can at this rate, what waits overnight spoils a little."""
    extraction = effect.extraction_at(rate)
    a_day = rate * ahead.shift_time * ahead.shifts_a_day
    room = ahead.room.value if isinstance(ahead.room, Estimate) else math.inf
    waiting, pressed, spoilt, day = ahead.waiting, 0.0, 0.0, 0
    while (day < ahead.days or waiting > 1.0) and day < _LONGEST:
        waiting += ahead.to_come / ahead.days if day < ahead.days else 0.0
        today = min(waiting, a_day)
        pressed += today
        gone = (waiting - today) * ahead.spoilt_a_day
        waiting -= today + gone
        spoilt += gone
        day += 1
    juice = pressed * extraction
    a_shift = rate * ahead.shift_time
    full = room / extraction / a_shift if juice > room else None
    return Outcome(rate, juice, pressed, spoilt, pressed / a_shift, day, full)


def plan(ahead: Ahead, loads: Sequence[Pressed]) -> Plan | Unknown:
    """The rest of the season at the mean rate so far, and at those between the slowest and the fastest it had."""
    effect = rate_effect(loads)
    if isinstance(effect, Unknown):
        return effect
    now = outcome(ahead, effect, effect.mean)
    outcomes: tuple[Outcome, ...] = (now,)
    gain: Known = effect.slope
    best = now
    if isinstance(effect.slope, Estimate):
        step = (effect.fastest - effect.slowest) / _STEPS
        outcomes = tuple(outcome(ahead, effect, effect.slowest + step * n) for n in range(_STEPS + 1))
        best = max(outcomes, key=lambda o: o.juice)
        unsure = normal("effect of the rate", best.pressed * (best.rate - effect.mean) * effect.slope.u)
        gain = Estimate(best.juice - now.juice, (unsure,))
    return Plan(effect, now, _full_after(ahead, effect), outcomes, best, gain, _assumptions(ahead, effect))


def _full_after(ahead: Ahead, effect: RateEffect) -> Known:
    """Room over what a shift gives at the mean rate."""
    if isinstance(ahead.room, Unknown):
        return ahead.room
    a_shift = effect.there.scaled(effect.mean * ahead.shift_time)
    return ratio(ahead.room, a_shift) or Unknown("no juice was pressed")


def _assumptions(ahead: Ahead, effect: RateEffect) -> tuple[str, ...]:
    coming = f"{ahead.to_come / 1000.0:.0f} t still come, evenly over {ahead.days} days"
    waiting = f"{ahead.waiting / 1000.0:.1f} t wait in the yard now"
    same = "Fruit to come yields as the loads so far did, whatever its variety"
    return (
        f"{coming}; {waiting}.",
        f"A shift presses for {ahead.shift_time / 3600.0:.1f} h, {ahead.shifts_a_day:g} shifts a day, every day.",
        f"Of the fruit that waits overnight {100.0 * ahead.spoilt_a_day:g} % is lost a day.",
        f"{same}, and follows the rate in a straight line; loads at other rates may also have been other fruit.",
        f"Only rates this line has pressed at count: {3.6 * effect.slowest:.2f} to {3.6 * effect.fastest:.2f} t/h.",
        "Juice leaves no vat until the season is over.",
    )
