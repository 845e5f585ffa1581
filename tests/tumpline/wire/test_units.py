"""Units as the settings write them; the factors are checked in `published/test_units.py`."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tumpline.pressing.params import Quantity
from tumpline.wire.units import SCALES, TIME, YIELD, accepted, from_si, parse_difference, parse_quantity, scale, to_si
from tumpline.wire.words import Refused

TEMPERATURE = Quantity.TEMPERATURE.value


@pytest.mark.parametrize(
    ("text", "dimension", "si"),
    [
        ("4 t/h", Quantity.MASS_FLOW.value, 4000 / 3600),
        ("4t/h", Quantity.MASS_FLOW.value, 4000 / 3600),
        (" 0.02  bar ", Quantity.PRESSURE.value, 2000.0),
        ("700 L/t", YIELD, 7e-4),
        ("1e3 L", Quantity.VOLUME.value, 1.0),
        (".5 min", TIME, 30.0),
        ("16 %", Quantity.FRACTION.value, 0.16),
        ("150 imp gal/long ton", YIELD, 150 * 4.54609e-3 / 1016.0469088),
        ("-5 Cel", TEMPERATURE, -5.0),
    ],
)
def test_quantities_are_read_with_their_unit(text: str, dimension: str, si: float) -> None:
    """A number and its unit become SI."""
    assert parse_quantity(text, dimension) == pytest.approx(si, rel=1e-12)


@pytest.mark.parametrize("text", ["45", "45 x", "4,5 s", "s", "", "nan s", "1_0 s", "٣ s", 45, None, ["45 s"]])
def test_what_is_no_quantity_is_refused_with_the_units_accepted(text: object) -> None:
    """No unit is ever guessed, and the sentence names those there are."""
    refused = parse_quantity(text, TIME)
    assert isinstance(refused, Refused)
    assert accepted(TIME) in refused.reason


@pytest.mark.parametrize("text", ["4 gal/min", "4 gal"])
def test_a_bare_gallon_is_nobodys(text: str) -> None:
    """A gallon has at least two sizes, so it must say which it is."""
    assert isinstance(parse_quantity(text, Quantity.VOLUME.value), Refused)


def test_a_difference_has_no_offset() -> None:
    """A limit of 0.5 K is half a degree and not 272.65 degrees of frost."""
    assert parse_difference("0.5 K", TEMPERATURE) == 0.5
    assert parse_quantity("0.5 K", TEMPERATURE) == -272.65
    assert isinstance(parse_difference("0.5 bar", TEMPERATURE), Refused)


@pytest.mark.parametrize(("unit", "dimension"), [(u, d) for d, units in SCALES.items() for u in units])
@settings(max_examples=20)  # a factor and perhaps an offset: the second value shows a wrong one
@given(value=st.floats(-1e6, 1e6))
def test_to_si_and_back(unit: str, dimension: str, value: float) -> None:
    """Every unit finds its way back."""
    assert from_si(to_si(value, unit, dimension), unit, dimension) == pytest.approx(value, rel=1e-9, abs=1e-6)


def test_a_unit_of_another_dimension_has_no_scale() -> None:
    """Kilograms do not measure a flow of volume."""
    assert scale("kg", Quantity.VOLUME_FLOW.value) is None
    assert scale("t/h", Quantity.MASS_FLOW.value) is not None
