"""Juice against tables: water, sucrose solutions, gravity and Brix, extract, alcohol.

Every value carries its source and the tolerance it is held to.
"""

import pytest
from iapws import IAPWS95

from tumpline.pressing import juice
from tumpline.pressing.quantities import Estimate

# CRC Handbook of Chemistry and Physics, "Concentrative properties of aqueous solutions", sucrose at 20 °C: % by mass,
# g/L, kg/m³, as a public scientific library prints them. The table is rounded to 0.1 kg/m³ (below 10 % on its own
# curve), so it is held to 0.1 kg/m³ and, for g/L, to 0.1.
CRC_SUCROSE_20 = [
    (0, 0, 998.2),
    (0.5, 5, 1000.2),
    (1, 10, 1002.1),
    (2, 20.1, 1006.0),
    (3, 30.3, 1009.9),
    (4, 40.6, 1013.9),
    (5, 50.9, 1017.8),
    (6, 61.3, 1021.8),
    (7, 71.8, 1025.9),
    (8, 82.4, 1029.9),
    (9, 93.1, 1034.0),
    (10, 103.8, 1038.1),
    (11, 114.7, 1042.3),
    (12, 125.6, 1046.5),
    (13, 136.6, 1050.7),
    (14, 147.7, 1054.9),
    (15, 158.9, 1059.2),
    (16, 170.2, 1063.5),
    (17, 181.5, 1067.8),
    (18, 193.0, 1072.2),
    (19, 204.5, 1076.6),
    (20, 216.2, 1081.0),
    (22, 239.8, 1089.9),
    (24, 263.8, 1099.0),
    (26, 288.1, 1108.2),
    (28, 312.9, 1117.5),
    (30, 338.1, 1127.0),
]


@pytest.mark.parametrize(("brix", "grams_per_litre", "kg_per_m3"), CRC_SUCROSE_20)
def test_density_and_extract_are_those_of_the_crc_table(brix: float, grams_per_litre: float, kg_per_m3: float) -> None:
    """A sucrose solution at 20 °C weighs, and holds, what the CRC Handbook says."""
    extract = juice.extract(Estimate(brix))
    assert juice.density(brix) == pytest.approx(kg_per_m3, abs=0.1)
    assert isinstance(extract, Estimate)
    assert extract.value == pytest.approx(grams_per_litre, abs=0.1)


# ICUMSA SPS-4 (1998), own computation from the published coefficients by another program, kg/m³, to 0.002.
SPS4_20 = [(0, 998.203), (5, 1017.805), (10, 1038.115), (15, 1059.162), (20, 1080.977), (25, 1103.591)]
# The same at 12 °Bx by temperature, to 0.01.
SPS4_12_BRIX = [(5, 1049.24), (10, 1048.58), (15, 1047.64), (20, 1046.44), (25, 1045.02), (30, 1043.39)]


@pytest.mark.parametrize(("brix", "kg_per_m3"), SPS4_20)
def test_density_at_20_degrees_follows_sps4(brix: float, kg_per_m3: float) -> None:
    """At the reference temperature the polynomial gives its published values."""
    assert juice.density(brix, 20.0) == pytest.approx(kg_per_m3, abs=0.002)


@pytest.mark.parametrize(("celsius", "kg_per_m3"), SPS4_12_BRIX)
def test_density_at_other_temperatures_follows_sps4(celsius: float, kg_per_m3: float) -> None:
    """Cold juice is denser, by as much as the polynomial says."""
    assert juice.density(12.0, celsius) == pytest.approx(kg_per_m3, abs=0.01)


# Water at 101.325 kPa by IAPWS-95, kg/m³ (own run of a public implementation). Kell's older formula, which SPS-4
# uses, lies within 0.006 of it over 0 to 40 °C.
IAPWS95_WATER = [(4, 999.9749), (10, 999.7025), (15, 999.1026), (20, 998.2072), (25, 997.0476), (40, 992.2164)]


@pytest.mark.parametrize(("celsius", "kg_per_m3"), IAPWS95_WATER)
def test_water_weighs_what_iapws_says(celsius: float, kg_per_m3: float) -> None:
    """Water is within 0.006 kg/m³ of the international formulation of 1995."""
    assert juice.water_density(celsius) == pytest.approx(kg_per_m3, abs=0.006)
    assert IAPWS95(T=celsius + 273.15, P=0.101325).rho == pytest.approx(kg_per_m3, abs=0.0001)


# SG 20/20 in vacuum and in air of 1.2 kg/m³, own computation from SPS-4, to 2e-6.
GRAVITY = [(0, 1.0, 1.0), (12, 1.048327, 1.048386), (13, 1.052544, 1.052608), (25, 1.105577, 1.105704)]


@pytest.mark.parametrize(("brix", "vacuum", "air"), GRAVITY)
def test_gravity_from_brix(brix: float, vacuum: float, air: float) -> None:
    """True and apparent gravity differ by what the buoyancy of air makes of them."""
    assert juice.specific_gravity(brix) == pytest.approx(vacuum, abs=2e-6)
    assert juice.apparent_gravity(brix) == pytest.approx(air, abs=2e-6)


# °Bx from apparent SG: SPS-4 turned round, and the cubic fit to NBS Circular 440; both own computation, to 0.0005.
BRIX = [
    (1.040, 9.9923, 9.9934),
    (1.045, 11.1929, 11.1953),
    (1.050, 12.3832, 12.3870),
    (1.055, 13.5635, 13.5687),
    (1.060, 14.7339, 14.7405),
    (1.070, 17.0457, 17.0548),
]


@pytest.mark.parametrize(("gravity", "sps4", "nbs"), BRIX)
def test_brix_from_gravity(gravity: float, sps4: float, nbs: float) -> None:
    """A hydrometer reading becomes °Bx, by the polynomial turned round and by the widely printed cubic."""
    assert juice.brix_from_gravity(gravity) == pytest.approx(sps4, abs=0.0005)
    assert juice.brix_by_nbs_cubic(gravity) == pytest.approx(nbs, abs=0.0005)


@pytest.mark.parametrize("gravity", [1.010, 1.030, 1.050, 1.070, 1.090])
def test_brix_agrees_with_the_brewers_cubic(gravity: float) -> None:
    """The cubic fit to the brewers' table of °Plato (coefficients from memory) says the same within 0.02."""
    plato = -616.868 + 1111.14 * gravity - 630.272 * gravity**2 + 135.997 * gravity**3
    assert juice.brix_from_gravity(gravity) == pytest.approx(plato, abs=0.02)


@pytest.mark.parametrize("brix", [0, 5, 12, 20, 25])
def test_gravity_agrees_with_the_crc_cubic(brix: float) -> None:
    """The cubic fit to table 88 of the CRC handbook, 69th edition, says the same within 0.0001."""
    assert juice.gravity_by_crc_cubic(brix) == pytest.approx(juice.apparent_gravity(brix), abs=1e-4)


def test_the_legal_minimum_of_apple_juice() -> None:
    """11.2 °Bx (Directive 2009/106/EC, annex V) is 1.045 in the guideline of the trade (from memory), to 0.0002."""
    assert juice.apparent_gravity(11.2) == pytest.approx(1.045, abs=0.0002)


def test_extract_at_a_gravity_of_1050() -> None:
    """129.78 g/L: own computation from SPS-4, to 0.01."""
    brix = juice.brix_from_gravity(1.050)
    assert isinstance(brix, float)
    extract = juice.extract(Estimate(brix))
    assert isinstance(extract, Estimate)
    assert extract.value == pytest.approx(129.78, abs=0.01)


def test_alcohol_from_sugar_by_the_convention_and_at_best() -> None:
    """120 g/L: 7.1301 % by volume at 16.83 g/L (EU and OIV, from memory), 7.7760 % at best (own), to 1e-4."""
    sugar = Estimate(120.0)
    at_best = juice.alcohol_from_sugar(sugar, sugar_per_alcohol=juice.SUGAR_PER_ALCOHOL_AT_BEST)
    assert 100.0 * juice.alcohol_from_sugar(sugar).value == pytest.approx(7.1301, abs=1e-4)
    assert 100.0 * at_best.value == pytest.approx(7.7760, abs=1e-4)


def test_stoichiometry_of_fermentation() -> None:
    """C6H12O6 -> 2 C2H5OH + 2 CO2 by IUPAC's atomic weights, ethanol 789.24 kg/m³: 15.432 g/L, to 0.001."""
    carbon, hydrogen, oxygen = 12.011, 1.008, 15.999
    hexose = 6 * carbon + 12 * hydrogen + 6 * oxygen
    ethanol = 2 * carbon + 6 * hydrogen + oxygen
    assert 789.24 * 0.01 / (2 * ethanol / hexose) == pytest.approx(juice.SUGAR_PER_ALCOHOL_AT_BEST, abs=0.001)


@pytest.mark.parametrize("gravity", [1.040, 1.050, 1.060])
def test_potential_alcohol_is_what_the_gravity_rule_expects(gravity: float) -> None:
    """131.25 times the drop of gravity down to 1.000 (rule of thumb, from memory), to 0.4 % by volume."""
    brix = juice.brix_from_gravity(gravity)
    assert isinstance(brix, float)
    alcohol = juice.potential_alcohol(Estimate(brix))
    assert isinstance(alcohol, Estimate)
    assert 100.0 * alcohol.value == pytest.approx(131.25 * (gravity - 1.0), abs=0.4)


# Yields by mass and by volume of the same press, own computation at 12 °Bx and 20 °C, to 0.01 L/t. The yields by mass
# are published: 71.1 and 76.3 % for an industrial line (Turk, Vorobiev and Baron 2012, LWT 49(2), 245-250), 52 and
# 60.7 % for a basket press (J. Res. Appl. Agric. Eng. 2017, 62(2), 125-129).
YIELDS = [(0.711, 679.444), (0.763, 729.136), (0.52, 496.921), (0.607, 580.058)]


@pytest.mark.parametrize(("kg_per_kg", "litres_per_tonne"), YIELDS)
def test_published_yields_by_mass_in_litres_per_tonne(kg_per_kg: float, litres_per_tonne: float) -> None:
    """Dividing by the juice's density turns a yield by mass into litres per tonne."""
    density = juice.density(12.0, 20.0)
    assert isinstance(density, float)
    assert 1e6 * kg_per_kg / density == pytest.approx(litres_per_tonne, abs=0.01)
