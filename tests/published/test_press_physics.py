"""The simulated line's physics against printed tables and worked examples.

Every value carries its source and the tolerance it is held to. The values marked own were computed apart from the
program, with the same formula from the source named.
"""

from math import exp, pi, sqrt
from random import Random

import pytest
from iapws import IAPWS95

from tumpline_sim.consolidation import consolidated, time_factor
from tumpline_sim.flow import Parcel, Parcels, Tank, pour
from tumpline_sim.loads import plan_loads
from tumpline_sim.material import Fruit, juice_density

# Terzaghi's degree of consolidation, % -> time factor, as printed in lecture notes CEG 4012 (2011), p. 31; held to half
# the last digit printed.
TERZAGHI = [
    (10, 0.0078, 1e-4),  # printed cut, not rounded: the square-root law gives 0.00785
    (20, 0.0314, 5e-5),
    (30, 0.0707, 5e-5),
    (40, 0.126, 5e-4),
    (50, 0.197, 5e-4),
    (60, 0.286, 5e-4),
    (70, 0.403, 5e-4),
    (80, 0.567, 5e-4),
    (90, 0.848, 5e-4),
    (95, 1.129, 5e-4),
]

# Own, from the full series with a hundred terms.
SERIES = [(0.05, 0.25231), (0.1, 0.35682), (0.4, 0.69788), (1.0, 0.93126), (2.0, 0.99417)]

# Tanks in series, E(1) and F(1) for N tanks: own, from the textbook formula E = N(Nθ)^(N-1) exp(-Nθ)/(N-1)!.
TANKS = [
    (1, 0.367879, 0.632121),
    (2, 0.541341, 0.593994),
    (3, 0.672125, 0.576810),
    (5, 0.877337, 0.559507),
    (10, 1.251100, 0.542070),
]

# A worked mass balance, own: 10 000 kg of fruit pressed to 25 % dry matter. The balance is the textbook one (total,
# dry matter, one liquid phase); the density is ICUMSA SPS-4.
WORKED = Fruit(insoluble=0.036, soluble=0.124, water_carried=0.015, press_aid=0.005, suspended=0.005, celsius=20.0)


@pytest.mark.parametrize(("percent", "factor", "tolerance"), TERZAGHI)
def test_consolidation_table(percent: int, factor: float, tolerance: float) -> None:
    """The time to reach a degree of consolidation is the printed one."""
    low, high = 0.0, 3.0
    for _ in range(60):
        middle = (low + high) / 2.0
        low, high = (middle, high) if consolidated(middle) < percent / 100.0 else (low, middle)
    assert low == pytest.approx(factor, abs=tolerance * 1.001)


@pytest.mark.parametrize(("factor", "share"), SERIES)
def test_consolidation_series(factor: float, share: float) -> None:
    """The share expressed is the full series' to five digits."""
    assert consolidated(factor) == pytest.approx(share, abs=1e-5)


@pytest.mark.parametrize(("until", "tolerance"), [(1.13, 0.0025), (2.0, 0.0065)])
def test_short_form(until: float, tolerance: float) -> None:
    """It stays as near Shirato's short form as that form is to the series.

    Shirato et al. 1974/1979, ν = 2.85: from memory; its distance to the series is own.
    """
    for step in range(1, 201):
        x = 4.0 * until * step / 200.0 / pi
        short = sqrt(x) / (1.0 + x**2.85) ** (1.0 / 5.7)
        assert consolidated(until * step / 200.0) == pytest.approx(short, abs=tolerance)


def test_both_branches_meet() -> None:
    """More time never gives less juice, at the seam of the two formulas neither."""
    shares = [consolidated(0.1 + 0.0001 * step) for step in range(1001)]
    assert shares == sorted(shares)


def test_time_factor_of_a_belt_press() -> None:
    """An 18.5 mm layer, drained on both faces for 60 s with C_e 5e-7 m²/s, is at T = 0.351.

    Own; the coefficient is a placeholder, no value for apple pulp was found in print.
    """
    assert time_factor(coefficient=5e-7, seconds=60.0, layer=0.0185) == pytest.approx(0.3506, abs=1e-4)


@pytest.mark.parametrize(("count", "density", "passed"), TANKS)
def test_tanks_in_series(count: int, density: float, passed: float) -> None:
    """Fruit through N tanks comes out as the textbook says: E(1), F(1), mean and variance 1/N.

    A tank is emptied step by step, so the values are held to 0.5 %, what 5000 steps a residence time leave.
    """
    steps = 5000
    share = 1.0 - exp(-count / steps)
    tanks = [Tank() for _ in range(count)]
    pour({0: Parcel.milled(1000.0, 0.0)}, tanks[0].contents)
    out: list[float] = []
    for _ in range(16 * steps):
        for number in reversed(range(count)):
            moved: Parcels = tanks[number].take(share)
            if number + 1 < count:
                pour(moved, tanks[number + 1].contents)
            else:
                out.append(sum(p.fruit for p in moved.values()) / 1000.0)
    times = [(step + 0.5) / steps for step in range(len(out))]
    mean = sum(t * c for t, c in zip(times, out, strict=True))
    assert out[steps] * steps == pytest.approx(density, rel=5e-3)
    assert sum(out[:steps]) == pytest.approx(passed, rel=5e-3)
    assert mean == pytest.approx(1.0, rel=5e-3)
    assert sum((t - mean) ** 2 * c for t, c in zip(times, out, strict=True)) == pytest.approx(1.0 / count, rel=1e-2)


def test_worked_mass_balance() -> None:
    """The worked balance gives its juice, its pomace and its yields back, in both directions."""
    juice = 10_000.0 * WORKED.juice_for(0.25)
    litres = juice / WORKED.density
    assert WORKED.brix / 100.0 == pytest.approx(0.1266081274, rel=1e-6)
    assert WORKED.juice_dry_matter == pytest.approx(0.1309750868, rel=1e-6)
    assert juice == pytest.approx(7595.048596, rel=1e-6)
    assert 10_000.0 * WORKED.mass_in - juice == pytest.approx(2604.951404, rel=1e-6)
    assert WORKED.density == pytest.approx(1.0492219, rel=1e-6)
    assert litres / 10.0 == pytest.approx(723.8743868, rel=1e-6)
    assert WORKED.pomace_dry_matter(juice / 10_000.0) == pytest.approx(0.25, rel=1e-9)


@pytest.mark.parametrize(
    ("dryness", "insoluble", "share"),
    [(0.20, 0.026, 0.688), (0.25, 0.036, 0.742), (0.30, 0.036, 0.817), (0.25, 0.046, 0.667), (0.35, 0.046, 0.818)],
)
def test_yield_goes_with_dryness(dryness: float, insoluble: float, share: float) -> None:
    """Dryness and insoluble solids settle the yield: J/F = (d_P - d_F)/(d_P - b), own, from the same two balances."""
    fruit = Fruit(insoluble=insoluble, soluble=0.124, water_carried=0.0, suspended=0.0)
    assert fruit.juice_for(dryness) == pytest.approx(share, abs=6e-4)


@pytest.mark.parametrize(
    ("brix", "density"), [(5, 1017.805), (10, 1038.115), (15, 1059.162), (20, 1080.977), (25, 1103.591)]
)
def test_juice_density(brix: float, density: float) -> None:
    """Density at 20 °C is that of ICUMSA SPS-4 (1998), whose coefficients were seen in two unrelated public codes."""
    assert juice_density(brix, 20.0) == pytest.approx(density, abs=2e-3)


@pytest.mark.parametrize(("percent", "density"), [(5, 1017.8), (10, 1038.1), (12, 1046.5), (15, 1059.2), (20, 1081.0)])
def test_sucrose_table(percent: float, density: float) -> None:
    """Density is within 0.1 kg/m³ of the CRC Handbook's table of sucrose solutions at 20 °C."""
    assert juice_density(percent, 20.0) == pytest.approx(density, abs=0.1)


@pytest.mark.parametrize("celsius", [4.0, 10.0, 15.0, 20.0, 25.0])
def test_water_density(celsius: float) -> None:
    """Without sugar it is water, within 0.01 kg/m³ of IAPWS-95."""
    water = IAPWS95(T=celsius + 273.15, P=0.101325)
    assert juice_density(0.0, celsius) == pytest.approx(water.rho, abs=0.01)


def test_published_mass_yields_as_volumes() -> None:
    """71.1 % by mass at 12 °Brix and 20 °C is 679.444 L/t, 76.3 % is 729.136 L/t (own, from the density).

    The mass yields: Turk, Vorobiev, Baron (2012) LWT 49(2) 245, an industrial continuous line.
    """
    litre = juice_density(12.0, 20.0) / 1000.0
    assert 711.0 / litre == pytest.approx(679.444, abs=0.01)
    assert 763.0 / litre == pytest.approx(729.136, abs=0.01)


def test_loads_are_cider_apples() -> None:
    """Loads have 14 to 19 % dry matter, of it 2.5 to 5 % insoluble: common practice, no source."""
    for seed in range(20):
        for load in plan_loads(Random(seed), day="1014", pressing_s=20_000.0, rate=4.0):
            assert 0.14 <= load.fruit.dry_matter <= 0.19
            assert 0.025 <= load.fruit.insoluble <= 0.05
