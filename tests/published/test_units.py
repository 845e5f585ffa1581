"""Factors of units against their legal definitions and against a library that knows them independently."""

import pint
import pytest

from tumpline.pressing.params import Quantity
from tumpline.wire.units import SCALES, TIME, YIELD, from_si, to_si

VOLUME, MASS, FLOW, MASS_FLOW = (
    q.value for q in (Quantity.VOLUME, Quantity.MASS, Quantity.VOLUME_FLOW, Quantity.MASS_FLOW)
)


@pytest.mark.parametrize(
    ("value", "unit", "dimension", "into", "expected"),
    [
        # Units of Measurement Regulations 1995 (UK), exact
        (1.0, "imp gal", VOLUME, "L", 4.54609),
        (1.0, "long ton", MASS, "kg", 1016.0469088),
        (1.0, "lb", MASS, "kg", 0.45359237),
        (1.0, "t", MASS, "kg", 1000.0),
        (10_000.0, "imp gal", VOLUME, "m3", 45.4609),
        # five imperial gallons a second, from the definition above
        (300.0, "imp gal/min", FLOW, "L/s", 22.73045),
        (300.0, "imp gal/min", FLOW, "m3/h", 81.82962),
        # from the two definitions above: 4.54609 / 1.0160469088
        (1.0, "imp gal/long ton", YIELD, "L/t", 4.474291453107),
        (150.0, "imp gal/long ton", YIELD, "L/t", 671.14371796605),
        # NIST SP 811, appendix B
        (1.0, "bar", Quantity.PRESSURE.value, "Pa", 100_000.0),
        (1.0, "psi", Quantity.PRESSURE.value, "Pa", 6894.757293168),
        (1.0, "long ton/h", MASS_FLOW, "kg/h", 1016.0469088),
        (212.0, "°F", Quantity.TEMPERATURE.value, "°C", 100.0),
        (-40.0, "°F", Quantity.TEMPERATURE.value, "Cel", -40.0),
        (273.15, "K", Quantity.TEMPERATURE.value, "Cel", 0.0),
    ],
)
def test_legal_and_derived_factors(value: float, unit: str, dimension: str, into: str, expected: float) -> None:
    """Each unit is what the law or the definition says it is."""
    assert from_si(to_si(value, unit, dimension), into, dimension) == pytest.approx(expected, rel=1e-12, abs=1e-9)


@pytest.mark.parametrize(
    ("symbol", "dimension", "scale", "base"),
    [
        # RFC 8428 section 12.1 and RFC 8798, those that a press line can send
        ("kg", MASS, 1.0, "kg"),
        ("g", MASS, 1e-3, "kg"),
        ("m3", VOLUME, 1.0, "m3"),
        ("l", VOLUME, 1e-3, "m3"),
        ("m3/s", FLOW, 1.0, "m3/s"),
        ("l/s", FLOW, 1e-3, "m3/s"),
        ("Pa", Quantity.PRESSURE.value, 1.0, "Pa"),
        ("hPa", Quantity.PRESSURE.value, 100.0, "Pa"),
        ("A", Quantity.CURRENT.value, 1.0, "A"),
        ("mA", Quantity.CURRENT.value, 1e-3, "A"),
        ("m/s", Quantity.SPEED.value, 1.0, "m/s"),
        ("m/h", Quantity.SPEED.value, 1 / 3600, "m/s"),
        ("/", Quantity.FRACTION.value, 1.0, "/"),
        ("%", Quantity.FRACTION.value, 0.01, "/"),
        ("/100", Quantity.FRACTION.value, 0.01, "/"),
        ("Cel", Quantity.TEMPERATURE.value, 1.0, "Cel"),
        ("s", TIME, 1.0, "s"),
        ("ms", TIME, 1e-3, "s"),
        ("min", TIME, 60.0, "s"),
        ("h", TIME, 3600.0, "s"),
    ],
)
def test_senml_units(symbol: str, dimension: str, scale: float, base: str) -> None:
    """The registry's units are accepted with the registry's scale."""
    assert to_si(1.0, symbol, dimension) == pytest.approx(to_si(scale, base, dimension), rel=1e-15)


_SPELLED = {
    "L": "liter", "l": "liter", "hL": "hectoliter", "m3": "meter**3", "imp gal": "imperial_gallon", "t": "metric_ton",
    "long ton": "long_ton", "lb": "pound", "%": "percent", "/100": "percent", "/1000": "permille", "°C": "degC",
    "Cel": "degC", "K": "kelvin", "°F": "degF", "d": "day", "h": "hour", "min": "minute", "kg": "kilogram",
}  # fmt: skip
_SI = {
    FLOW: "meter**3/second", MASS_FLOW: "kilogram/second", VOLUME: "meter**3",
    MASS: "kilogram", YIELD: "meter**3/kilogram", TIME: "second", Quantity.TEMPERATURE.value: "degC",
    Quantity.PRESSURE.value: "pascal", Quantity.CURRENT.value: "ampere", Quantity.SPEED.value: "meter/second",
    Quantity.FRACTION.value: "dimensionless",
}  # fmt: skip


@pytest.fixture(scope="module")
def registry() -> pint.UnitRegistry[float]:
    """The library's units, read once."""
    return pint.UnitRegistry()


def _in_pints_words(unit: str) -> str:
    if unit in ("/", "/100", "/1000"):
        return {"/": "dimensionless"}.get(unit) or _SPELLED[unit]
    return "/".join(_SPELLED.get(part, part) for part in unit.split("/"))


@pytest.mark.parametrize("dimension", [d for d in SCALES if d not in (Quantity.BRIX.value, Quantity.STATUS.value)])
def test_every_factor_agrees_with_pint(dimension: str, registry: pint.UnitRegistry[float]) -> None:
    """Not one of the accepted spellings has a factor of its own making."""
    for unit in SCALES[dimension]:
        expected = registry.Quantity(7.5, _in_pints_words(unit)).to(_SI[dimension]).magnitude
        assert to_si(7.5, unit, dimension) == pytest.approx(expected, rel=1e-12), unit
