"""Juice as a sugar solution: density, °Brix, specific gravity, extract, potential alcohol.

Apple juice is treated as a solution of sucrose, as every refractometer does; its density is then good to about 0.1 %
(common practice, no source). Units here: °Bx (g per 100 g), °C, kg/m³ (which is also g/L), m³.

Every formula says its range. Outside it the answer is `OutOfRange`, a value that carries the sentence to show;
nothing is extrapolated. A number that is not finite is out of every range.
"""

from __future__ import annotations

from msgspec import Struct

from tumpline.pressing.quantities import Estimate, limits

# ICUMSA SPS-4 (1998), density of sucrose solutions in kg/m³: that of water, plus the sum over k of tau^k times the sum
# over j from 1 of c[k][j] w^j, with w = °Bx/100 and tau = (°C - 20)/100. Coefficients as two unrelated public programs
# print them; the standard itself was not seen.
_SPS4 = (
    (385.1761, 135.3705, 40.9299, -3.9643, 13.4853, -17.2890),
    (-46.2720, -7.1720, 1.1597, 5.1126, 17.5254),
    (59.7712, 7.2491, 12.3630, -35.4791),
    (-47.2207, -21.6977, 27.6301),
    (18.3184, 12.3081),
)
# Water, kg/m³ from °C: Kell (1975) on the temperature scale of 1990, as SPS-4 uses it.
_WATER = (999.83952, 16.952577, -7.9905127e-3, -46.241757e-6, 105.84601e-9, -281.03006e-12)
_WATER_DIVISOR = 16.887236e-3

_AIR = 1.2  # kg/m³: the conventional density of air for weighing (OIML D 28, from memory)
_REFERENCE = 20.0  # °C

SUGAR_PER_ALCOHOL = 16.83
"""kg of sugar per m³ of juice for one per cent by volume: the convention of EU and OIV (value from memory)."""

SUGAR_PER_ALCOHOL_AT_BEST = 15.432
"""
The same if every gram of hexose became ethanol and carbon dioxide (own computation: 0.511429 g of ethanol per g of
hexose, ethanol 789.24 kg/m³ at 20 °C). No cider gets there: yeast also lives on it.
"""

SUGAR_FREE_EXTRACT = Estimate(22.0, (limits("sugar-free extract of the juice", 5.5),))
"""
kg/m³ dissolved in apple juice that is not sugar (acids, minerals, sorbitol, pectin). The reference guideline of the
trade for apple juice gives 18 to 29, about 22 as a rule (values from memory). Limits that are not symmetric about the
best value count by their width (GUM 4.3.8).
"""


class OutOfRange(Struct, frozen=True):
    """A formula was asked for more than it was made for."""

    sentence: str
    """What was asked, and what would have been accepted."""


def water_density(celsius: float) -> float | OutOfRange:
    """Density of water in kg/m³ at 0 to 40 °C and ordinary pressure. Source: Kell (1975), as used by ICUMSA SPS-4."""
    refused = _temperature_outside(celsius)
    return refused if refused is not None else _water(celsius)


def density(brix: float, celsius: float = _REFERENCE) -> float | OutOfRange:
    """Density in kg/m³ of a sucrose solution of 0 to 70 °Bx at 0 to 40 °C. Source: ICUMSA SPS-4."""
    refused = _brix_outside(brix) or _temperature_outside(celsius)
    return refused if refused is not None else _density(brix, celsius)


def volume_at_20(volume: float, brix: float, celsius: float) -> float | OutOfRange:
    """The volume in m³ at 20 °C of what fills `volume` m³ at `celsius`; 0 to 70 °Bx, 0 to 40 °C. Mass is the same."""
    then = density(brix, celsius)
    return then if isinstance(then, OutOfRange) else volume * then / _density(brix, _REFERENCE)


def specific_gravity(brix: float) -> float | OutOfRange:
    """True specific gravity 20/20: density over that of water, both at 20 °C in vacuum. 0 to 70 °Bx, ICUMSA SPS-4."""
    refused = _brix_outside(brix)
    return refused if refused is not None else _density(brix, _REFERENCE) / _water(_REFERENCE)


def apparent_gravity(brix: float) -> float | OutOfRange:
    """Specific gravity 20/20 as weighed in air, which hydrometers are marked in. 0 to 70 °Bx, ICUMSA SPS-4."""
    refused = _brix_outside(brix)
    return refused if refused is not None else _apparent_gravity(brix)


def brix_from_gravity(apparent: float) -> float | OutOfRange:
    """°Bx from the specific gravity 20/20 a hydrometer shows (in air): `apparent_gravity` turned round by bisection."""
    low, high = 0.0, 70.0
    lightest, heaviest = _apparent_gravity(low), _apparent_gravity(high)
    if not lightest <= apparent <= heaviest:
        return _outside("A specific gravity", apparent, "", lightest, heaviest)
    while high - low > 1e-9:
        middle = 0.5 * (low + high)
        if _apparent_gravity(middle) < apparent:
            low = middle
        else:
            high = middle
    return 0.5 * (low + high)


def brix_by_nbs_cubic(apparent: float) -> float | OutOfRange:
    """
    °Bx from specific gravity 20/20 in air, 1.000 to 1.106, by the widely printed cubic fit to the table of
    NBS Circular 440. Within 0.02 °Bx of `brix_from_gravity` in that range (own computation).
    """
    if not 1.0 <= apparent <= 1.106:
        return _outside("A specific gravity", apparent, "", 1.0, 1.106)
    return _polynomial((-669.5622, 1262.7794, -775.6821, 182.4601), apparent)


def gravity_by_crc_cubic(brix: float) -> float | OutOfRange:
    """
    Specific gravity 20/20 from 0 to 25 °Bx, by the cubic fit to table 88 of the CRC handbook (69th edition), as
    Manning printed it (Brewing Techniques 1993, 1(3), 30-35). Within 0.0001 of `apparent_gravity` (own computation).
    """
    if not 0.0 <= brix <= 25.0:
        return _outside("A sugar content", brix, " °Bx", 0.0, 25.0)
    return _polynomial((1.000019, 3.865613e-3, 1.296425e-5, 5.701128e-8), brix)


def extract(brix: Estimate) -> Estimate | OutOfRange:
    """Everything dissolved, in kg per m³ of juice at 20 °C (g/L): density times °Bx/100. 0 to 70 °Bx."""
    refused = _brix_outside(brix.value)
    if refused is not None:
        return refused
    slope = (_extract(brix.value + 0.01) - _extract(brix.value - 0.01)) / 0.02
    return Estimate(_extract(brix.value), brix.scaled(slope).terms)


def sugar(brix: Estimate) -> Estimate | OutOfRange:
    """
    Sugar in kg per m³ of juice at 20 °C (g/L): `extract` less `SUGAR_FREE_EXTRACT`.

    Refused below the °Bx at which that extract alone would be there (about 2.2 °Bx: rinse water, not juice).
    """
    dissolved = extract(brix)
    if isinstance(dissolved, OutOfRange):
        return dissolved
    value = dissolved.value - SUGAR_FREE_EXTRACT.value
    if value < 0.0:
        return OutOfRange(f"{brix.value:.6g} °Bx is too thin for juice; its sugar is worked out from 2.2 °Bx upwards.")
    return Estimate(value, dissolved.terms + SUGAR_FREE_EXTRACT.terms)


def alcohol_from_sugar(fermentable: Estimate, *, sugar_per_alcohol: float = SUGAR_PER_ALCOHOL) -> Estimate:
    """
    Alcohol as a fraction of the volume when `fermentable` kg of sugar per m³ have fermented.

    The number of kg/m³ for one per cent is a convention, so it is exact and adds no uncertainty.
    """
    return fermentable.scaled(0.01 / sugar_per_alcohol)


def potential_alcohol(brix: Estimate) -> Estimate | OutOfRange:
    """
    Alcohol as a fraction of the volume if all the `sugar` ferments, at `SUGAR_PER_ALCOHOL`. About 2.2 to 70 °Bx.

    Only sugar counts, not all extract: at a gravity of 1.050 that gives 6.4 %, about where a dry cider ends; taking all
    extract for sugar would give 7.7 %.
    """
    fermentable = sugar(brix)
    return fermentable if isinstance(fermentable, OutOfRange) else alcohol_from_sugar(fermentable)


def _density(brix: float, celsius: float) -> float:
    w = brix / 100.0
    tau = (celsius - 20.0) / 100.0
    return _water(celsius) + _polynomial(tuple(w * _polynomial(row, w) for row in _SPS4), tau)


def _water(celsius: float) -> float:
    return _polynomial(_WATER, celsius) / (1.0 + _WATER_DIVISOR * celsius)


def _extract(brix: float) -> float:
    return _density(brix, _REFERENCE) * brix / 100.0


def _apparent_gravity(brix: float) -> float:
    return (_density(brix, _REFERENCE) - _AIR) / (_water(_REFERENCE) - _AIR)


def _polynomial(coefficients: tuple[float, ...], x: float) -> float:
    """c0 + c1 x + c2 x² + … by Horner's rule."""
    value = 0.0
    for c in reversed(coefficients):
        value = value * x + c
    return value


def _brix_outside(brix: float) -> OutOfRange | None:
    return None if 0.0 <= brix <= 70.0 else _outside("A sugar content", brix, " °Bx", 0.0, 70.0)


def _temperature_outside(celsius: float) -> OutOfRange | None:
    return None if 0.0 <= celsius <= 40.0 else _outside("A temperature", celsius, " °C", 0.0, 40.0)


def _outside(what: str, value: float, unit: str, low: float, high: float) -> OutOfRange:
    accepted = f"{low:.6g} to {high:.6g}{unit} is accepted"
    return OutOfRange(f"{what} of {value:.6g}{unit} is outside the formula's range; {accepted}.")
