"""The twin-belt press: milled fruit in, juice and pomace out, by consolidation of the layer between the belts.

How much juice a layer gives follows from pressure, thickness (feed over belt speed and width), time on the belts and
how open the cloth is, all at once. How dry the pomace is follows from the juice by the mass balance.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import exp

from tumpline_sim.consolidation import consolidated, time_factor
from tumpline_sim.flow import Parcels, Tank, pour
from tumpline_sim.material import Fruit

ZONES = 6
"""The belts as tanks in series; 5 to 10 fit a press (common practice, no source)."""


@dataclass(frozen=True, kw_only=True)
class Cake:
    """How the milled fruit behaves under pressure.

    Placeholders, all of them: no value for apple pulp was found in print. They are set so that a line at its rate gives
    about 71 % juice by mass, what Turk, Vorobiev and Baron (2012) report of an industrial continuous line.
    """

    coefficient: float = 5e-7
    """C_e, m²/s."""
    density: float = 1000.0
    """Milled fruit, kg/m³."""
    free_share: float = 0.5
    """Share of the juice that drains before the first roller."""
    dryness_at_reference: float = 0.3
    """Dry matter of pomace pressed without end at the reference pressure."""
    reference_bar: float = 4.5
    pressure_exponent: float = 0.2
    """Dryness as a power of pressure: the form is published (J. Res. Appl. Agric. Eng. 2017), this value is not."""


@dataclass(kw_only=True)
class Setting:
    """How the press is run at the moment."""

    bar: float
    belt_m_per_s: float
    cloth: float = 1.0
    """How open the cloth is: 1 clean, towards 0 blinded."""


class Press:
    """The belts. `width` and `length` under pressure in m; `fruits` by load number."""

    def __init__(self, *, width: float, length: float, fruits: Sequence[Fruit]) -> None:
        self._cake = Cake()
        self._zones = [Tank() for _ in range(ZONES)]
        self._zone_area = width * length / ZONES
        self._length = length
        self._fruits = fruits

    @property
    def empty(self) -> bool:
        """Whether nothing lies between the belts."""
        return not any(zone.contents for zone in self._zones)

    def step(self, pulp: Parcels, setting: Setting) -> tuple[Parcels, Parcels]:
        """Run one second: milled fruit in; juice, and pomace with the `juice` pressed out of it noted, out."""
        share = 1.0 - exp(-ZONES * setting.belt_m_per_s / self._length)
        dryness = self._equilibrium_dryness(setting.bar)
        final = [fruit.juice_for(dryness) for fruit in self._fruits]
        juice: Parcels = {}
        pomace: Parcels = {}
        for number in reversed(range(ZONES)):
            zone = self._zones[number]
            if not zone.contents:
                continue
            released, whole = self._released(zone, number, setting)
            moved = zone.take(share)
            for load, parcel in moved.items():
                out = final[load] * whole * released * parcel.tag
                pour({load: parcel.tagged(released, out)}, juice)
            pour(moved, self._zones[number + 1].contents if number < ZONES - 1 else pomace)
        pour(pulp, self._zones[0].contents)
        return juice, pomace

    def _equilibrium_dryness(self, bar: float) -> float:
        cake = self._cake
        # Under a tenth of the pressure the belts barely touch; the power law is not asked about it.
        return float(cake.dryness_at_reference * max(bar / cake.reference_bar, 0.1) ** cake.pressure_exponent)

    def _released(self, zone: Tank, number: int, setting: Setting) -> tuple[float, float]:
        """Share of the juice still to come that leaves in this zone, and share of the final juice that comes at all.

        What is still in a cake leaves in the proportion the layer's own curve gives it here, so all of it has left by
        the last zone and juice always knows the fruit it came from.
        """
        cake = self._cake
        fruit = 0.0
        for parcel in zone.contents.values():
            fruit += parcel.fruit
        layer = max(fruit / (self._zone_area * cake.density), 1e-4)
        seconds = self._length / setting.belt_m_per_s
        # A blinded cloth drains slower: taken as the free juice and the drainage time falling with its openness.
        whole_t = setting.cloth**2 * time_factor(coefficient=cake.coefficient, seconds=seconds, layer=layer)
        free = cake.free_share * setting.cloth

        def expressed(zones: int) -> float:
            return free + (1.0 - cake.free_share) * consolidated(whole_t * zones / ZONES) if zones else 0.0

        whole = expressed(ZONES)
        if number == ZONES - 1:
            return 1.0, whole
        before = expressed(number)
        return 1.0 if whole - before < 1e-9 else (expressed(number + 1) - before) / (whole - before), whole
