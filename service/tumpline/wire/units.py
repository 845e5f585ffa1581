"""Units: how they are spelled outside, and their factors to SI.

Spellings of RFC 8428 and RFC 8798 (SenML) first, then the application units documented for this program (`t/h`,
`L/min`, `bar`, `%Bx`, `kg/h`, …). Gallons are always named imperial: the bare word has at least four meanings.

A dimension is written as its SI unit, the value of `params.Quantity`; `m3/kg` (yield) and `s` come on top.
"""

from __future__ import annotations

import re
from typing import NamedTuple

from tumpline.pressing.params import Quantity
from tumpline.wire.words import Refused, listed, quoted

IMPERIAL_GALLON = 4.54609e-3
"""m³, exact: Units of Measurement Regulations 1995."""
LONG_TON = 1016.0469088
"""kg, exact: 2240 lb of 0.45359237 kg."""
POUND = 0.45359237
"""kg, exact."""
_PSI = 6894.757293168


class Scale(NamedTuple):
    """SI value = value x factor + offset."""

    factor: float
    offset: float = 0.0


_LITRE = 1e-3
_VOLUME = {"m3": 1.0, "L": _LITRE, "l": _LITRE, "hL": 0.1, "imp gal": IMPERIAL_GALLON}
_MASS = {"kg": 1.0, "t": 1000.0, "g": 1e-3, "lb": POUND, "long ton": LONG_TON}

YIELD = "m3/kg"
TIME = "s"

_FACTORS: dict[str, dict[str, float]] = {
    Quantity.VOLUME_FLOW.value: {
        "m3/s": 1.0, "m3/h": 1 / 3600, "L/s": _LITRE, "l/s": _LITRE, "L/min": _LITRE / 60, "l/min": _LITRE / 60,
        "L/h": _LITRE / 3600, "l/h": _LITRE / 3600, "imp gal/min": IMPERIAL_GALLON / 60,
    },
    Quantity.MASS_FLOW.value: {
        "kg/s": 1.0, "t/h": 1000 / 3600, "kg/h": 1 / 3600, "kg/min": 1 / 60, "long ton/h": LONG_TON / 3600,
    },
    Quantity.PRESSURE.value: {
        "Pa": 1.0, "hPa": 100.0, "kPa": 1000.0, "mbar": 100.0, "bar": 1e5, "MPa": 1e6, "psi": _PSI,
    },
    Quantity.VOLUME.value: _VOLUME,
    Quantity.MASS.value: _MASS,
    Quantity.CURRENT.value: {"A": 1.0, "mA": 1e-3},
    Quantity.SPEED.value: {"m/s": 1.0, "m/min": 1 / 60, "m/h": 1 / 3600, "mm/s": 1e-3, "cm/s": 1e-2},
    Quantity.FRACTION.value: {"/": 1.0, "%": 0.01, "/100": 0.01, "/1000": 1e-3},
    Quantity.BRIX.value: {"%Bx": 1.0, "°Bx": 1.0, "Bx": 1.0},
    Quantity.STATUS.value: {"0/1": 1.0, "/": 1.0},
    YIELD: {
        "m3/kg": 1.0, "L/t": 1e-6, "l/t": 1e-6, "L/kg": 1e-3, "m3/t": 1e-3,
        "imp gal/long ton": IMPERIAL_GALLON / LONG_TON,
    },
    TIME: {"s": 1.0, "ms": 1e-3, "min": 60.0, "h": 3600.0, "d": 86400.0},
}  # fmt: skip

SCALES: dict[str, dict[str, Scale]] = {
    dimension: {unit: Scale(factor) for unit, factor in factors.items()} for dimension, factors in _FACTORS.items()
}
"""Dimension -> spelling -> scale."""
SCALES[Quantity.TEMPERATURE.value] = {
    "Cel": Scale(1.0), "°C": Scale(1.0), "K": Scale(1.0, -273.15), "°F": Scale(5 / 9, -160 / 9),
}  # fmt: skip

_QUANTITY = re.compile(r"\s*([+-]?(?:\d+(?:\.\d*)?|\.\d+)(?:[eE][+-]?\d+)?)\s*(\S.*?)\s*", re.ASCII)


def scale(unit: str, dimension: str) -> Scale | None:
    """How a unit becomes the SI unit of that dimension; None where it does not measure it."""
    return SCALES[dimension].get(unit)


def accepted(dimension: str) -> str:
    """The units of a dimension, as a list for a sentence."""
    return listed(SCALES[dimension])


def to_si(value: float, unit: str, dimension: str) -> float:
    """A value in SI. The unit must be one of that dimension (KeyError otherwise)."""
    factor, offset = SCALES[dimension][unit]
    return value * factor + offset


def from_si(value: float, unit: str, dimension: str) -> float:
    """A value of SI in that unit. The unit must be one of that dimension (KeyError otherwise)."""
    factor, offset = SCALES[dimension][unit]
    return (value - offset) / factor


def parse_quantity(text: object, dimension: str) -> float | Refused:
    """`4 t/h` as SI; a refusal is a clause that says which units are accepted."""
    parts = _number_and_scale(text, dimension)
    return parts if isinstance(parts, Refused) else parts[0] * parts[1].factor + parts[1].offset


def parse_difference(text: object, dimension: str) -> float | Refused:
    """The same of a difference, to which a unit's offset does not belong: `1 °F` is 5/9 of a degree Celsius."""
    parts = _number_and_scale(text, dimension)
    return parts if isinstance(parts, Refused) else parts[0] * parts[1].factor


def _number_and_scale(text: object, dimension: str) -> tuple[float, Scale] | Refused:
    found = _QUANTITY.fullmatch(text) if isinstance(text, str) else None
    known = scale(found[2], dimension) if found else None
    if found is None or known is None:
        return Refused(f"{quoted(text)} is not a number with a unit of {accepted(dimension)}")
    return float(found[1]), known
