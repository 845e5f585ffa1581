"""Juice formulas: what they promise between and beyond the table values."""

import math
from collections.abc import Callable

import pytest
import uncertainties
from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing import juice
from tumpline.pressing.juice import OutOfRange
from tumpline.pressing.quantities import Estimate, limits, normal

brixes = st.floats(0.0, 70.0)
temperatures = st.floats(0.0, 40.0)


def number(value: float | OutOfRange) -> float:
    """The number, where there should be one."""
    assert not isinstance(value, OutOfRange)
    return value


def estimate(value: Estimate | OutOfRange) -> Estimate:
    """The estimate, where there should be one."""
    assert isinstance(value, Estimate)
    return value


@given(brixes, temperatures)
def test_more_sugar_is_denser_at_any_temperature(brix: float, celsius: float) -> None:
    """Density rises with sugar over the whole range."""
    more = min(70.0, brix + 0.1)
    assert number(juice.density(more, celsius)) >= number(juice.density(brix, celsius))


@given(temperatures)
def test_a_solution_without_sugar_is_water(celsius: float) -> None:
    """At 0 °Bx both formulas are one."""
    assert juice.density(0.0, celsius) == juice.water_density(celsius)


@given(brixes)
def test_gravity_and_brix_are_each_others_inverse(brix: float) -> None:
    """Into gravity and back is the same °Bx."""
    assert number(juice.brix_from_gravity(number(juice.apparent_gravity(brix)))) == pytest.approx(brix, abs=1e-7)


@given(st.floats(0.0, 25.0))
def test_the_cubics_stay_near_the_polynomial(brix: float) -> None:
    """As their descriptions promise: 0.02 °Bx, 0.0001 of gravity."""
    gravity = number(juice.apparent_gravity(brix))
    assert number(juice.brix_by_nbs_cubic(gravity)) == pytest.approx(brix, abs=0.02)
    assert number(juice.gravity_by_crc_cubic(brix)) == pytest.approx(gravity, abs=1e-4)


@given(st.floats(0.1, 50.0), brixes, temperatures)
def test_warming_changes_the_volume_and_not_the_mass(volume: float, brix: float, celsius: float) -> None:
    """Volume at 20 °C times density at 20 °C is the mass there was."""
    at_20 = number(juice.volume_at_20(volume, brix, celsius))
    mass = volume * number(juice.density(brix, celsius))
    assert at_20 * number(juice.density(brix)) == pytest.approx(mass, rel=1e-12)


def test_cold_juice_takes_up_more_room_once_warm() -> None:
    """1000 L of 12 °Bx at 5 °C are 1002.7 L at 20 °C."""
    assert number(juice.volume_at_20(1.0, 12.0, 5.0)) == pytest.approx(1.0027, abs=5e-5)


@pytest.mark.parametrize("brix", [-0.1, 70.1, math.nan, math.inf, -math.inf])
@pytest.mark.parametrize(
    "formula",
    [
        juice.density,
        juice.specific_gravity,
        juice.apparent_gravity,
        juice.gravity_by_crc_cubic,
        lambda brix: juice.volume_at_20(1.0, brix, 20.0),
        lambda brix: juice.extract(Estimate(brix)),
        lambda brix: juice.sugar(Estimate(brix)),
        lambda brix: juice.potential_alcohol(Estimate(brix)),
    ],
)
def test_a_sugar_content_beyond_the_formula_is_refused(
    formula: Callable[[float], float | Estimate | OutOfRange], brix: float
) -> None:
    """No formula guesses: it says what was asked and what it takes."""
    answer = formula(brix)
    assert isinstance(answer, OutOfRange)
    assert f"{brix:g} °Bx" in answer.sentence
    assert "accepted" in answer.sentence


@pytest.mark.parametrize("celsius", [-0.1, 40.1, math.nan, math.inf])
def test_a_temperature_beyond_the_formula_is_refused(celsius: float) -> None:
    """Frozen or hot, the density is not made up."""
    for answer in (
        juice.water_density(celsius),
        juice.density(12.0, celsius),
        juice.volume_at_20(1.0, 12.0, celsius),
    ):
        assert isinstance(answer, OutOfRange)
        assert "0 to 40 °C is accepted" in answer.sentence


@pytest.mark.parametrize("gravity", [0.999, 1.36, math.nan, 0.0])
def test_a_gravity_beyond_the_formula_is_refused(gravity: float) -> None:
    """Below water or beyond syrup there is no °Bx."""
    for answer in (juice.brix_from_gravity(gravity), juice.brix_by_nbs_cubic(gravity)):
        assert isinstance(answer, OutOfRange)
        assert "specific gravity" in answer.sentence


@given(st.floats(3.0, 25.0), st.floats(0.01, 1.0))
def test_doubt_about_brix_becomes_doubt_about_extract(brix: float, u: float) -> None:
    """The uncertainty of the extract is that of °Bx times the slope, as another library finds it."""
    expected = uncertainties.wrap(lambda b: number(juice.density(b)) * b / 100.0)(uncertainties.ufloat(brix, u))
    assert estimate(juice.extract(Estimate(brix, (normal("refractometer", u),)))).u == pytest.approx(
        expected.std_dev, rel=1e-5
    )


def test_not_all_extract_is_sugar() -> None:
    """Juice of 12 °Bx: 125.6 g/L of extract, 103.6 g/L of sugar, and the difference is known only within limits."""
    brix = Estimate(12.0, (limits("refractometer", 0.2),))
    extract, sugar = estimate(juice.extract(brix)), estimate(juice.sugar(brix))
    assert extract.value - sugar.value == pytest.approx(22.0)
    assert [t.source for t in sugar.terms] == ["refractometer", "sugar-free extract of the juice"]
    assert sugar.u > extract.u


def test_potential_alcohol_of_a_usual_juice() -> None:
    """A gravity of 1.050 promises 6.4 % by volume, give or take a third of a per cent."""
    brix = number(juice.brix_from_gravity(1.050))
    figure = estimate(juice.potential_alcohol(Estimate(brix))).figure()
    assert (figure.low, figure.value, figure.high) == pytest.approx((0.0609, 0.0640, 0.0671), abs=1e-4)


def test_alcohol_by_the_best_possible_conversion_is_more() -> None:
    """The limit of stoichiometry promises 9 % more than the convention."""
    sugar = Estimate(100.0)
    best = juice.alcohol_from_sugar(sugar, sugar_per_alcohol=juice.SUGAR_PER_ALCOHOL_AT_BEST)
    assert best.value / juice.alcohol_from_sugar(sugar).value == pytest.approx(16.83 / 15.432)


def test_rinse_water_has_no_potential_alcohol() -> None:
    """What is too thin to be juice is refused rather than given a negative alcohol."""
    answer = juice.potential_alcohol(Estimate(1.5))
    assert isinstance(answer, OutOfRange)
    assert answer.sentence == "1.5 °Bx is too thin for juice; its sugar is worked out from 2.2 °Bx upwards."
