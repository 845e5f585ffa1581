"""Dry matter of the fruit, sugar of the juice, and from them the dryness of the pomace.

What is known of the fruit's dry matter is kept by variety: a mean with its uncertainty, sharpened by every oven sample
(a Gaussian update), so that a load nobody sampled is judged by its kind. A sample of the load itself counts for more.
"""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from typing import NamedTuple

from msgspec import Struct

from tumpline.pressing import juice as juice_physics
from tumpline.pressing.balance import Weighed, line_balance
from tumpline.pressing.entries import Load, Sample, Variety
from tumpline.pressing.massbalance import Flows, dry_matter_of_juice, dry_matter_of_pomace, mass_of
from tumpline.pressing.quantities import Estimate, Term, limits, normal
from tumpline.pressing.records import Known, Unknown

# Cider apples (common practice, no source): 14 to 19 % dry matter, 2.5 to 5 % of it insoluble, juice of 10 to 16 °Bx.
_USUAL, _USUAL_HALF = 0.165, 0.025
_INSOLUBLE, _INSOLUBLE_HALF = 0.0375, 0.0125
_BRIX, _BRIX_HALF = 13.0, 3.0
_SETTINGS_HALF = 0.015
"""How well a site knows its fruit where the settings name one dry matter (common practice, no source)."""
U_OVEN = 0.003
"""Standard uncertainty of one oven sample of fruit, kg/kg: heterogeneity of the load above all (domain practice)."""
U_POMACE_OVEN = 0.005
"""The same of pomace, which varies over the belt."""
_BETWEEN = 0.005
"""Standard deviation between loads of one variety, kg/kg (common practice, no source)."""
# Surface water on washed fruit is 1 to 2 % of its mass (value from memory); cloudy juice carries about 0.5 % solids
# (common practice, no source).
_WASH_WATER, _WASH_WATER_HALF = 0.015, 0.005
_SUSPENDED = Estimate(0.005, (limits("solids in the juice", 0.003),))
_COOL = Estimate(12.0, (limits("temperature of the juice, not measured", 8.0),))


class Anchor(Struct, frozen=True):
    """What is known of the dry matter of one variety, kg/kg."""

    mean: float
    u: float
    samples: int = 0


Anchors = dict[str, Anchor]


class Evidence(NamedTuple):
    """A sample of fruit of these varieties, kg/kg with its standard uncertainty."""

    varieties: Sequence[Variety]
    value: float
    u: float


def prior(configured: float | None) -> Anchor:
    """What is known of a variety nobody has sampled: the settings' figure, or the usual range of cider apples."""
    if configured is not None:
        return Anchor(configured, _SETTINGS_HALF / math.sqrt(3.0))
    return Anchor(_USUAL, _USUAL_HALF / math.sqrt(3.0))


def anchored(anchors: Mapping[str, Anchor], evidence: Iterable[Evidence], configured: float | None) -> Anchors:
    """
    The anchors after some samples: each pulls its varieties by their share in it (Kalman update, taken as independent
    between varieties). The load's own difference from its kind counts as noise of the sample.
    """
    after = dict(anchors)
    for varieties, value, u in evidence:
        known = {v.name: after.get(v.name, prior(configured)) for v in varieties}
        expected = sum(v.share * known[v.name].mean for v in varieties)
        spread = sum((v.share * known[v.name].u) ** 2 for v in varieties) + u**2 + _BETWEEN**2
        for v in varieties:
            a = known[v.name]
            gain = v.share * a.u**2 / spread
            u_after = math.sqrt(max(0.0, a.u**2 * (1.0 - gain * v.share)))
            after[v.name] = Anchor(a.mean + gain * (value - expected), u_after, a.samples + 1)
    return after


def dry_matter_of_fruit(
    load: str,
    varieties: Sequence[Variety],
    own: Sequence[tuple[float, float]],
    anchors: Mapping[str, Anchor],
    configured: float | None,
    sugar: Estimate | None,
) -> Estimate:
    """
    Dry matter of one load, kg/kg: from samples of its `own` (value, standard uncertainty), else from its varieties',
    else the settings' figure, else from its sugar, else from the usual one.
    """
    if own:
        weight = sum(1.0 / u**2 for _, u in own)
        value = sum(v / u**2 for v, u in own) / weight
        return Estimate(value, (normal(f"dry matter of load {load}, sampled", weight**-0.5),))
    sampled = bool(varieties) and all(anchors.get(v.name, prior(None)).samples for v in varieties)
    if sampled:
        terms = [normal(f"dry matter of {v.name}, sampled elsewhere", v.share * anchors[v.name].u) for v in varieties]
        own_term = normal(f"dry matter of load {load}, not sampled", _BETWEEN)
        return Estimate(sum(v.share * anchors[v.name].mean for v in varieties), (*terms, own_term))
    if configured is not None:
        return Estimate(configured, (limits("dry matter of the fruit, from the settings", _SETTINGS_HALF),))
    return _from_sugar(load, sugar if sugar is not None else usual_sugar(load))


def _from_sugar(load: str, brix: Estimate) -> Estimate:
    """Dry matter of fruit whose liquid has this °Bx, the insoluble part as usual."""
    liquid = 1.0 - _INSOLUBLE + _WASH_WATER
    dissolved = brix.value / 100.0
    insoluble = limits(f"insoluble part of load {load}, not sampled", _INSOLUBLE_HALF * (1.0 - dissolved))
    return Estimate(_INSOLUBLE + dissolved * liquid, (*brix.scaled(liquid / 100.0).terms, insoluble))


def usual_sugar(load: str) -> Estimate:
    """°Bx of juice of which nothing at all is known."""
    return Estimate(_BRIX, (limits(f"sugar of load {load}, not measured", _BRIX_HALF),))


def sugar_from_solids(load: str, fruit: Estimate) -> Estimate:
    """°Bx of juice nobody measured, of fruit whose dry matter is known: what is not insoluble is in the liquid."""
    per_liquid = 100.0 / (1.0 - _INSOLUBLE + _WASH_WATER)
    insoluble = limits(f"insoluble part of load {load}, not sampled", _INSOLUBLE_HALF * per_liquid)
    return Estimate((fruit.value - _INSOLUBLE) * per_liquid, (*fruit.scaled(per_liquid).terms, insoluble))


def samples_of(samples: Iterable[Sample], load: str, page: Load | None) -> list[tuple[float, float]]:
    """
    Oven samples of one load's fruit, and the dry matter it was weighed in with: (kg/kg, standard uncertainty). A sample
    that names no load counts for every load of the shift.
    """
    percents = [s.dry_matter_pct for s in samples if s.what == "fruit" and s.load in (None, load)]
    if page is not None:
        percents.append(page.dry_matter_pct)
    return [(pct / 100.0, U_OVEN) for pct in percents if pct is not None]


def carried_in(fruit: Estimate) -> Estimate:
    """kg of wash water that comes in on the fruit."""
    half = limits("water carried in with the fruit", _WASH_WATER_HALF * fruit.value)
    return Estimate(_WASH_WATER * fruit.value, (half,))


def juice_mass(juice: Known, sugar: Estimate, celsius: Estimate | None) -> Known:
    """kg of juice from its volume as metered, its °Bx and its temperature; a cool cellar's where that is not known."""
    if isinstance(juice, Unknown):
        return juice
    warmth = celsius if celsius is not None else _COOL
    middle = juice_physics.density(sugar.value, warmth.value)
    if isinstance(middle, juice_physics.OutOfRange):
        return Unknown(middle.sentence.rstrip("."))
    # Slopes of SPS-4 near 13 °Bx and 12 °C: 4.2 kg/m³ a degree Brix, -0.22 kg/m³ a degree Celsius.
    terms = (*_scaled(sugar.terms, 4.2), *_scaled(warmth.terms, 0.22))
    return mass_of(juice, Estimate(middle, terms))


def _scaled(terms: Iterable[Term], factor: float) -> list[Term]:
    return [Term(t.source, t.u * factor, t.limits) for t in terms]


def at_20(volume: Known, sugar: Estimate, celsius: Estimate | None) -> Known:
    """The volume that metered juice has at 20 °C; unknown without its temperature."""
    if isinstance(volume, Unknown):
        return volume
    if celsius is None:
        return Unknown("the temperature of the juice is not known")
    one = juice_physics.volume_at_20(1.0, sugar.value, celsius.value)
    if isinstance(one, juice_physics.OutOfRange):
        return Unknown(one.sentence.rstrip("."))
    warmth = [Term(t.source, t.u * 2.1e-4 * volume.value, t.limits) for t in celsius.terms]  # 0.021 % a degree
    return volume.scaled(one).plus(*warmth)


def pomace_by_difference(fruit: Known, juice: Known) -> Known:
    """kg of pomace left over by the balance (massbalance.Flows.pomace)."""
    if isinstance(fruit, Unknown):
        return fruit
    if isinstance(juice, Unknown):
        return juice
    return _flows(fruit, juice).pomace


def dryness(fruit: Known, juice: Known, *, pomace: Weighed | None, solids: Estimate, sugar: Estimate) -> Known:
    """
    Dry matter of the pomace by difference, kg/kg; masses in kg. Where the pomace was weighed too, and the meters agree,
    the masses are reconciled first, which narrows it.
    """
    if isinstance(fruit, Unknown):
        return fruit
    if isinstance(juice, Unknown):
        return juice
    if fruit.value <= 0.0:
        return Unknown("no fruit was milled")
    return dry_matter_of_pomace(
        _agreed(fruit, juice, pomace) if pomace is not None else _flows(fruit, juice),
        fruit_dry_matter=solids,
        press_aid_dry_matter=Estimate(0.92),
        juice_dry_matter=dry_matter_of_juice(sugar, _SUSPENDED),
    )


def _agreed(fruit: Estimate, juice: Estimate, pomace: Weighed) -> Flows:
    """The flows as fruit, juice and pomace bear them out together; as metered where they do not agree."""
    balance = line_balance(
        fruit=Weighed("mill/throughput", fruit),
        water=carried_in(fruit),
        juice=Weighed("juice/flow", juice),
        pomace=pomace,
    )
    masses = [balance.reconciled.get(key) for key in ("fruit_kg", "water_kg", "juice_kg")]
    if balance.statistic is None or balance.limit is None or balance.statistic > balance.limit:
        return _flows(fruit, juice)
    f, w, j = masses
    if not (isinstance(f, Estimate) and isinstance(w, Estimate) and isinstance(j, Estimate)):
        return _flows(fruit, juice)
    return Flows(fruit=f, wash_water=w, press_aid=Estimate(0.0), juice=j)


def _flows(fruit: Estimate, juice: Estimate) -> Flows:
    return Flows(fruit=fruit, wash_water=carried_in(fruit), press_aid=Estimate(0.0), juice=juice)


def from_pomace(value: float, *, fruit: float, juice: float, sugar: float) -> tuple[float, float]:
    """
    Dry matter of the fruit, with its standard uncertainty, kg/kg, that an oven sample of its pomace tells: the balance
    turned round. `fruit` and `juice` in kg, `sugar` in °Bx.
    """
    pomace = fruit * (1.0 + _WASH_WATER) - juice
    dissolved = dry_matter_of_juice(Estimate(sugar), _SUSPENDED).value
    u = math.hypot(U_POMACE_OVEN * pomace / fruit, 0.01 * (value - dissolved))  # and 1 % of juice over fruit
    return (value * pomace + juice * dissolved) / fruit, u
