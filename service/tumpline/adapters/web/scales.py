"""The units that the page shows figures in: the trade's metric ones, or imperial ones that stand for them."""

from collections.abc import Mapping

from msgspec import Struct

from tumpline.pressing.params import Quantity
from tumpline.wire.units import YIELD, from_si, to_si


class Scale(Struct, frozen=True):
    """A unit, and how many decimals a figure in it has."""

    unit: str
    """As the page writes it."""
    dimension: str
    decimals: int
    spelling: str = ""
    """As `wire.units` spells it, where that is longer."""

    def of(self, value: float) -> float:
        """An SI value in this unit."""
        return from_si(value, self.spelling or self.unit, self.dimension)


MASS, VOLUME, FRACTION = Quantity.MASS.value, Quantity.VOLUME.value, Quantity.FRACTION.value
MASS_FLOW, VOLUME_FLOW, PRESSURE = Quantity.MASS_FLOW.value, Quantity.VOLUME_FLOW.value, Quantity.PRESSURE.value

METRIC: Mapping[str, Scale] = {
    scale.unit: scale
    for scale in (
        Scale("t", MASS, 1),
        Scale("kg", MASS, 0),
        Scale("L", VOLUME, 0),
        Scale("L/t", YIELD, 0),
        Scale("t/h", MASS_FLOW, 1),
        Scale("kg/h", MASS_FLOW, 0),
        Scale("L/min", VOLUME_FLOW, 0),
        Scale("L/s", VOLUME_FLOW, 1),
        Scale("bar", PRESSURE, 2),
        Scale("%", FRACTION, 1),
        Scale("A", Quantity.CURRENT.value, 1),
        Scale("°Bx", Quantity.BRIX.value, 1),
        Scale("°C", Quantity.TEMPERATURE.value, 1),
        Scale("m/min", Quantity.SPEED.value, 1),
    )
}
"""By the unit, which is how the rest of the page asks for them."""
IMPERIAL: Mapping[str, Scale] = {
    **METRIC,
    "t": Scale("ton", MASS, 1, "long ton"),
    "kg": Scale("lb", MASS, 0),
    "L": Scale("gal", VOLUME, 0, "imp gal"),
    "L/t": Scale("gal/ton", YIELD, 0, "imp gal/long ton"),
    "t/h": Scale("ton/h", MASS_FLOW, 1, "long ton/h"),
    "kg/h": Scale("ton/h", MASS_FLOW, 2, "long ton/h"),
    "L/min": Scale("gal/min", VOLUME_FLOW, 1, "imp gal/min"),
    "L/s": Scale("gal/min", VOLUME_FLOW, 0, "imp gal/min"),
    "bar": Scale("psi", PRESSURE, 1),
    "°C": Scale("°F", Quantity.TEMPERATURE.value, 1),
}
"""What stands for each of the metric ones."""


def si(value: float, unit: str) -> float:
    """A value that came in a metric unit of the trade, in SI."""
    return to_si(value, unit, METRIC[unit].dimension)
