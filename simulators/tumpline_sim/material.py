"""What fruit, juice and pomace are made of, and the mass balance that ties them together.

Every mass is in kg, every fraction in kg/kg. Fruit and the water it carries in leave as juice and pomace, nothing else;
so yield and pomace dryness are two views of one number and neither is ever chosen on its own.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property

# Density of sucrose solutions, ICUMSA SPS-4 (1998); water after Kell (1975). Apple juice is read as sucrose, which is
# good to about 0.1 % (common practice, no source).
_SUCROSE = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)
_WATER = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)


def juice_density(brix: float, celsius: float) -> float:
    """Density of juice, kg/m³, from °Brix and °C (ICUMSA SPS-4, sucrose)."""
    sugar, warmth = brix / 100.0, (celsius - 20.0) / 100.0
    water = sum(c * celsius**k for k, c in enumerate(_WATER)) / (1.0 + 16.887236e-3 * celsius)
    return water + sum(c * warmth**k * sugar ** (j + 1) for k, row in enumerate(_SUCROSE) for j, c in enumerate(row))


@dataclass(frozen=True, kw_only=True)
class Fruit:
    """One lot of fruit as it enters the mill, with the wash water it carries.

    Soluble solids are the same in the juice and in the liquid held by the pomace, so the juice's make-up does not
    depend on how hard it was pressed.
    """

    insoluble: float
    soluble: float
    water_carried: float = 0.015
    """kg of wash water per kg of fruit: 1 to 2 % (from memory; weigh it on site)."""
    press_aid: float = 0.0
    press_aid_dry_matter: float = 0.92
    suspended: float = 0.005
    """Insoluble solids that leave with the juice, kg per kg of juice (no published figure)."""
    celsius: float = 12.0

    @property
    def dry_matter(self) -> float:
        """Dry matter of the fruit."""
        return self.insoluble + self.soluble

    @cached_property
    def mass_in(self) -> float:
        """What enters the press per kg of fruit: fruit, carried water, press aid."""
        return 1.0 + self.water_carried + self.press_aid

    @cached_property
    def dry_in(self) -> float:
        """Dry matter that enters the press per kg of fruit."""
        return self.dry_matter + self.press_aid * self.press_aid_dry_matter

    @cached_property
    def brix(self) -> float:
        """°Brix of the liquid: soluble solids over all the liquid there is."""
        liquid = 1.0 - self.insoluble + self.water_carried + self.press_aid * (1.0 - self.press_aid_dry_matter)
        return 100.0 * self.soluble / liquid

    @cached_property
    def juice_dry_matter(self) -> float:
        """Dry matter of the juice, suspended solids included."""
        return self.brix / 100.0 * (1.0 - self.suspended) + self.suspended

    @cached_property
    def density(self) -> float:
        """Density of the juice, kg/L."""
        return juice_density(self.brix, self.celsius) / 1000.0

    def juice_for(self, pomace_dry_matter: float) -> float:
        """Juice, kg per kg of fruit, that leaves pomace of that dry matter."""
        return (self.mass_in * pomace_dry_matter - self.dry_in) / (pomace_dry_matter - self.juice_dry_matter)

    def pomace_dry_matter(self, juice: float) -> float:
        """Dry matter of the pomace left after that much juice, kg per kg of fruit."""
        return (self.dry_in - juice * self.juice_dry_matter) / (self.mass_in - juice)
