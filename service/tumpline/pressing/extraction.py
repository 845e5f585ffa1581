"""Yield and pomace dryness, with intervals.

A yield is a ratio of sums, litres of juice over the fruit that became it, never a mean of ratios. What is common to the
whole shift (the meters' limits) stands in the ledger's sums; what belongs to one window or load is added here.
"""

from __future__ import annotations

import math

from tumpline.pressing import juice as juice_physics
from tumpline.pressing.attribution import Attribution, Portion
from tumpline.pressing.ledger import Flow, Ledger
from tumpline.pressing.massbalance import Flows, dry_matter_of_juice, dry_matter_of_pomace, mass_of
from tumpline.pressing.quantities import Estimate, Term, limits, normal, ratio
from tumpline.pressing.records import Known, Unknown
from tumpline.pressing.residence import BIN

WINDOW = 120
"""Bins of the live yield: ten minutes."""

# Cider apples (common practice, no source): 14 to 19 % dry matter, 2.5 to 5 % of it insoluble, juice of 10 to 16 °Bx.
_FRUIT_DRY_MATTER = Estimate(0.165, (limits("dry matter of the fruit, not sampled", 0.025),))
_INSOLUBLE = Estimate(0.0375, (limits("insoluble part of the fruit, not sampled", 0.0125),))
_BRIX = Estimate(13.0, (limits("sugar of the juice, not measured", 3.0),))
# Surface water on washed fruit is 1 to 2 % of its mass (value from memory); cloudy juice carries about 0.5 % solids
# (common practice, no source).
_WASH_WATER = (0.015, 0.010)
_SUSPENDED = Estimate(0.005, (limits("solids in the juice", 0.003),))


def yield_of(juice: Known, fruit: Known) -> Known:
    """Juice per kg of fruit, or why not."""
    if isinstance(fruit, Unknown):
        return fruit
    if isinstance(juice, Unknown):
        return juice
    found = ratio(juice, fruit)
    return Unknown("no fruit was milled") if found is None else found


def sum_of(flow: Flow, name: str) -> Known:
    """A flow's sum; unknown where its meter was not heard at all."""
    return flow.estimate(name) if flow.heard else Unknown(f"{name} was not heard in this shift")


def part_of(flow: Flow, name: str, amount: float) -> Known:
    """A part of a flow's sum: it shares the meter's relative uncertainty, which is common to the whole shift."""
    if not flow.heard:
        return sum_of(flow, name)
    whole = sum(flow.amounts)
    if whole <= 0.0:
        return Estimate(0.0)
    share = amount / whole
    return flow.estimate(name, share)


def recent_yield(ledger: Ledger, attribution: Attribution, u_residence: float) -> Known:
    """
    Yield of the last ten minutes; unknown while too little fruit has become juice in them. `u_residence` is the
    standard uncertainty of the mean time from mill to juice meter, s. Juice from a sump counts to the last pump start.
    """
    end = attribution.given
    start = max(0, end - WINDOW)
    aligned, juice = attribution.aligned[start:end], attribution.juice[start:end]
    fruit = sum(aligned)
    busiest = max(aligned, default=0.0)
    steady = sum(1 for m in aligned if m > 0.5 * busiest)
    if fruit <= 0.0 or steady < 36:
        return Unknown("less than three minutes of pressing in the last ten")
    if aligned[-1] < 0.3 * busiest:
        return Unknown("the press is running empty")
    mean = fruit / len(aligned)
    wander = math.sqrt(sum((m - mean) ** 2 for m in aligned) / len(aligned))
    ends = aligned[-1] - aligned[0]
    moved = u_residence / BIN * math.hypot(ends, 0.5 * wander)
    milled = _plus(part_of(ledger.fruit, "mill/throughput", fruit), normal("residence time", moved))
    return yield_of(part_of(ledger.juice, "juice/flow", sum(juice)), milled)


def _plus(figure: Known, term: Term) -> Known:
    return figure if isinstance(figure, Unknown) else figure.plus(term)


def load_juice(ledger: Ledger, portion: Portion, *, shared_ends: int, u_residence: float) -> Known:
    """A load's juice: where its end is mixed with a neighbour's, the residence time decides who gets the litres."""
    juice = part_of(ledger.juice, "juice/flow", portion.juice)
    if shared_ends == 0 or portion.aligned <= 0.0:
        return juice
    rate = _steady_rate(ledger.juice)
    return _plus(juice, normal("residence time", math.sqrt(shared_ends) * 0.5 * u_residence * rate))


def load_fruit(ledger: Ledger, amount: float, *, shared_ends: int, seconds: float) -> Known:
    """A load's fruit: at each end that touches another load, `seconds` of milling may belong to either."""
    fruit = part_of(ledger.fruit, "mill/throughput", amount)
    if shared_ends == 0:
        return fruit
    return _plus(
        fruit,
        limits("where one load ends in the flume", math.sqrt(shared_ends) * seconds * _steady_rate(ledger.fruit)),
    )


def _steady_rate(flow: Flow) -> float:
    """Mean amount a second while anything flows."""
    flowing = [a for a in flow.amounts if a > 0.0]
    return sum(flowing) / (BIN * len(flowing)) if flowing else 0.0


def brix_of(ledger: Ledger) -> Estimate | None:
    """Juice-weighted °Bx of the refractometer; None where it was not heard while juice flowed."""
    weight = value = 0.0
    for amount, brix in zip(ledger.juice.amounts, ledger.brix, strict=True):
        if brix > 1.0 and amount > 0.0:
            weight += amount
            value += amount * brix
    return Estimate(value / weight) if weight > 0.0 else None


def juice_mass(juice: Known, brix: Estimate | None) -> Known:
    """kg of juice from its volume; without °Bx the usual range of cider juice stands in."""
    if isinstance(juice, Unknown):
        return juice
    known = brix if brix is not None else _BRIX
    middle = juice_physics.density(known.value)
    if isinstance(middle, juice_physics.OutOfRange):
        return juice_mass(juice, None)
    per_degree = 4.2  # kg/m³ per °Bx, slope of SPS-4 near 13 °Bx
    terms = tuple(Term(t.source, t.u * per_degree, t.limits) for t in known.terms)
    return mass_of(juice, Estimate(middle, terms))


def pomace_by_difference(fruit: Known, juice: Known) -> Known:
    """kg of pomace left over by the balance (massbalance.Flows.pomace)."""
    if isinstance(fruit, Unknown):
        return fruit
    if isinstance(juice, Unknown):
        return juice
    return _flows(fruit, juice).pomace


def dryness(fruit: Known, juice: Known, brix: Estimate | None, fruit_dry_matter: Estimate | None) -> Known:
    """
    Dry matter of the pomace by difference, kg/kg; `fruit` and `juice` in kg. With nothing known of the fruit the usual
    range of cider apples makes the interval as wide as it has to be.
    """
    if isinstance(fruit, Unknown):
        return fruit
    if isinstance(juice, Unknown):
        return juice
    if fruit.value <= 0.0:
        return Unknown("no fruit was milled")
    sugar = brix if brix is not None else _BRIX
    solids = fruit_dry_matter
    if solids is None:
        solids = _FRUIT_DRY_MATTER if brix is None else _from_sugar(brix)
    return dry_matter_of_pomace(
        _flows(fruit, juice),
        fruit_dry_matter=solids,
        press_aid_dry_matter=Estimate(0.92),
        juice_dry_matter=dry_matter_of_juice(sugar, _SUSPENDED),
    )


def carried_in(fruit: Estimate) -> Estimate:
    """kg of wash water that comes in on the fruit."""
    share, half = _WASH_WATER
    return Estimate(share * fruit.value, (limits("water carried in with the fruit", half * fruit.value),))


def _flows(fruit: Estimate, juice: Estimate) -> Flows:
    return Flows(fruit=fruit, wash_water=carried_in(fruit), press_aid=Estimate(0.0), juice=juice)


def _from_sugar(brix: Estimate) -> Estimate:
    """Dry matter of fruit whose liquid has this °Bx, the insoluble part as usual."""
    liquid = 1.0 - _INSOLUBLE.value
    value = _INSOLUBLE.value + brix.value / 100.0 * liquid
    return Estimate(value, tuple(Term(t.source, t.u * (1.0 - brix.value / 100.0), t.limits) for t in _INSOLUBLE.terms))
