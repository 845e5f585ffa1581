"""What the pomace must be, from what went in and what came out as juice.

Two balances hold over any stretch in which the line neither fills nor drains and nothing is lost (own derivation):

    fruit + wash water + press aid             = juice + pomace                   (mass)
    fruit·d_fruit + press aid·d_aid            = juice·x_juice + pomace·d_pomace  (dry matter)

Masses in kg, dry matter in kg/kg. Uncertainty is first order (JCGM 100:2008, 5.1.2): each input's terms times the
sensitivity of the result to that input.
"""

from __future__ import annotations

from msgspec import Struct

from tumpline.pressing.quantities import Estimate, combined
from tumpline.pressing.records import Known, Unknown


class Flows(Struct, frozen=True, kw_only=True):
    """What went through the line over one stretch, in kg."""

    fruit: Estimate
    wash_water: Estimate
    """Carried into the mill on the fruit; not what flows past it in the flume."""
    press_aid: Estimate
    """Such as rice hulls; zero where none is used."""
    juice: Estimate

    @property
    def pomace(self) -> Estimate:
        """The mass that the juice leaves over, in kg."""
        return combined(((self.fruit, 1.0), (self.wash_water, 1.0), (self.press_aid, 1.0), (self.juice, -1.0)))


def mass_of(volume: Estimate, density: Estimate) -> Estimate:
    """Mass in kg of so many m³ at so many kg/m³."""
    return _first_order(volume.value * density.value, (volume, density.value), (density, volume.value))


def dry_matter_of_juice(brix: Estimate, suspended: Estimate) -> Estimate:
    """Dry matter of cloudy juice in kg/kg: the share of suspended solids, and °Bx/100 of the liquid around them."""
    liquid = 1.0 - suspended.value
    dissolved = brix.value / 100.0
    value = dissolved * liquid + suspended.value
    return _first_order(value, (brix, liquid / 100.0), (suspended, 1.0 - dissolved))


def dry_matter_of_pomace(
    flows: Flows, *, fruit_dry_matter: Estimate, press_aid_dry_matter: Estimate, juice_dry_matter: Estimate
) -> Known:
    """
    Dry matter of the pomace in kg/kg by difference, from dry matters in kg/kg.

    Good to about ±2.6 points in practice, nearly all of it from the dry matter of the fruit. Unknown where so little
    pomace is left over that the difference says nothing, or where the figures contradict each other.
    """
    pomace = flows.pomace
    if pomace.value <= 3.0 * pomace.u:
        return Unknown("the juice leaves no mass over that is clearly pomace")
    dry = (
        flows.fruit.value * fruit_dry_matter.value
        + flows.press_aid.value * press_aid_dry_matter.value
        - flows.juice.value * juice_dry_matter.value
    )
    value = dry / pomace.value
    if not 0.0 < value < 1.0:
        return Unknown(f"the balance would give pomace of {100.0 * value:.0f} % dry matter, which cannot be")
    return _first_order(
        value,
        (flows.fruit, (fruit_dry_matter.value - value) / pomace.value),
        (flows.wash_water, -value / pomace.value),
        (flows.press_aid, (press_aid_dry_matter.value - value) / pomace.value),
        (flows.juice, (value - juice_dry_matter.value) / pomace.value),
        (fruit_dry_matter, flows.fruit.value / pomace.value),
        (press_aid_dry_matter, flows.press_aid.value / pomace.value),
        (juice_dry_matter, -flows.juice.value / pomace.value),
    )


def _first_order(value: float, *inputs: tuple[Estimate, float]) -> Estimate:
    """`value` with the terms of each input times the sensitivity of the value to it."""
    return Estimate(value, combined(inputs).terms)
