"""Figures and their 95 % intervals against the guides on uncertainty (JCGM 100:2008, the GUM, and JCGM 101:2008).

Printed results of the guides are from memory where it says so; each was confirmed by own computation.
"""

import math
from statistics import mean, stdev

import pytest
import uncertainties

from tumpline.pressing.quantities import Estimate, Term, combined, half_width_95, limits, normal, ratio, total


def rectangular(name: str, sd: float) -> Term:
    """A term that is equally likely anywhere inside ±sd√3."""
    return limits(name, sd * math.sqrt(3.0))


def summed(*terms: Term) -> Estimate:
    """Quantities of mean zero added up, as the examples of JCGM 101 clause 9.2 do."""
    return total(Estimate(0.0, (term,)) for term in terms)


def test_four_normal_quantities() -> None:
    """JCGM 101, 9.2.2: u = 2.0 and the interval ±3.92 (from memory), to half of the last digit."""
    found = summed(*(normal(f"X{i}", 1.0) for i in range(4)))
    assert found.u == pytest.approx(2.0, abs=1e-9)
    assert found.figure().high == pytest.approx(3.92, abs=0.005)


def test_four_rectangular_quantities() -> None:
    """JCGM 101, 9.2.3: u = 2.0 and ±3.88, exactly 2√3(2 - (3/5)^(1/4)) (from memory)."""
    found = summed(*(rectangular(f"X{i}", 1.0) for i in range(4)))
    assert found.u == pytest.approx(2.0, abs=1e-9)
    assert found.figure().high == pytest.approx(3.88, abs=0.005)
    assert found.figure().high == pytest.approx(2.0 * math.sqrt(3.0) * (2.0 - 0.6**0.25), rel=1e-8)


def test_one_rectangular_quantity_that_dominates() -> None:
    """JCGM 101, 9.2.4: u = 10.1 and ±17.0 (from memory; own simulation 10.146 and 17.01), where 2u would say 20."""
    found = summed(*(rectangular(f"X{i}", 1.0) for i in range(3)), rectangular("X4", 10.0))
    assert found.u == pytest.approx(math.sqrt(103.0), abs=1e-9)
    assert found.figure().high == pytest.approx(17.0, abs=0.05)


def test_calibration_of_a_mass_to_first_order() -> None:
    """
    JCGM 101, 9.3: 1.2340 mg, u = 0.0539, 1.1285 to 1.3395 (from memory) by first order, to half of the last digit.

    The guide's point is that first order sees nothing of the air's density there (by simulation u = 0.0754):
    the sensitivities below vanish at the best values, and so do their terms.
    """
    air, dense, reference = 1.2, 8000.0, 8000.0
    nominal = Estimate(100_000.0, (normal("reference mass", 0.050),))
    added = Estimate(1.234, (normal("added mass", 0.020),))
    buoyancy = (nominal.value + added.value) * (1.0 / dense - 1.0 / reference)
    found = combined(
        (
            (nominal, 1.0),
            (added, 1.0),
            (Estimate(air, (limits("density of air", 0.10),)), buoyancy),
            (Estimate(100_000.0), -1.0),
        )
    )
    assert found.value == pytest.approx(1.2340, abs=5e-5)
    assert found.u == pytest.approx(0.0539, abs=5e-5)
    assert found.figure().low == pytest.approx(1.1285, abs=1e-4)
    assert found.figure().high == pytest.approx(1.3395, abs=1e-4)


# GUM H.1, end-gauge calibration, in nm: u of each input and the sensitivity of the length to it. Inputs as a public
# uncertainty library has them.
END_GAUGE = {
    "length of the standard": (25.0, 1.0),
    "repeated observations": (5.8, 1.0),
    "comparator, random": (3.9, 1.0),
    "comparator, systematic": (6.7, 1.0),
    "difference of expansion coefficients": (0.57735e-6, 0.1 * 50e6),
    "difference of temperatures": (0.028868, 11.5e-6 * 50e6),
}


def test_calibration_of_an_end_gauge() -> None:
    """GUM H.1: 50 000 838 nm, u = 32 nm as printed (from memory), 31.66 by own computation, to 0.01."""
    length = combined(
        [(Estimate(50_000_623.0), 1.0), (Estimate(215.0), 1.0)]
        + [(Estimate(0.0, (normal(name, u),)), sensitivity) for name, (u, sensitivity) in END_GAUGE.items()]
    )
    assert length.value == 50_000_838.0
    assert length.u == pytest.approx(31.66, abs=0.01)
    assert round(length.u) == 32


# GUM table H.2: volts, milliamperes, radians, five simultaneous observations (from memory).
OBSERVATIONS = [
    (5.007, 19.663, 1.0456),
    (4.994, 19.639, 1.0438),
    (5.005, 19.640, 1.0468),
    (4.990, 19.685, 1.0428),
    (4.999, 19.678, 1.0433),
]


def observed(column: int) -> tuple[float, float]:
    """Mean and standard uncertainty of the mean of one quantity."""
    values = [row[column] for row in OBSERVATIONS]
    return mean(values), stdev(values) / math.sqrt(len(values))


def divided(row: tuple[float, float, float]) -> float:
    """Impedance in ohm of one set of simultaneous observations."""
    found = ratio(Estimate(row[0]), Estimate(row[1] / 1000.0))
    assert found is not None
    return found.value


def test_impedance_from_sets_of_observations() -> None:
    """GUM H.2, dividing set by set: Z = 254.260 ohm, u = 0.236 (from memory), to half of the last digit."""
    impedances = [divided(row) for row in OBSERVATIONS]
    assert mean(impedances) == pytest.approx(254.260, abs=5e-4)
    assert stdev(impedances) / math.sqrt(5) == pytest.approx(0.236, abs=5e-4)


def test_a_ratio_takes_its_two_sides_for_independent() -> None:
    """GUM H.2 without the printed correlation -0.355: 0.204 instead of 0.236, as another library says too."""
    volts, amperes = observed(0), observed(1)
    found = ratio(
        Estimate(volts[0], (normal("voltmeter", volts[1]),)),
        Estimate(amperes[0] / 1000.0, (normal("ammeter", amperes[1] / 1000.0),)),
    )
    independent = uncertainties.ufloat(*volts) / (uncertainties.ufloat(*amperes) / 1000.0)
    correlation = [[1.0, -0.355], [-0.355, 1.0]]
    v, i = uncertainties.correlated_values_norm([volts, amperes], correlation)
    assert found is not None
    assert found.u == pytest.approx(independent.std_dev, rel=1e-9)
    assert found.u == pytest.approx(0.2040, abs=5e-4)
    assert (v / (i / 1000.0)).std_dev == pytest.approx(0.236, abs=5e-4)


def test_yield_of_two_meters() -> None:
    """1 % of fruit and 0.5 % of juice make 1.11803 % of yield, √(0.01² + 0.005²) (GUM 5.1.6; own computation)."""
    juice = Estimate(7.2387, (normal("juice", 0.005 * 7.2387),))
    fruit = Estimate(10_000.0, (normal("fruit", 0.01 * 10_000.0),))
    found = ratio(juice, fruit)
    assert found is not None
    assert found.u / found.value == pytest.approx(0.0111803, abs=1e-7)


def test_makers_limits_are_rectangular() -> None:
    """GUM 4.3.7: limits ±a give u = a/√3, and 95 % of them lies within ±0.95 a."""
    term = limits("accuracy", 6.0)
    assert term.u == pytest.approx(6.0 / math.sqrt(3.0), rel=1e-12)
    assert half_width_95([term]) == pytest.approx(0.95 * 6.0, rel=1e-9)


def test_two_equal_limits_are_triangular() -> None:
    """GUM 4.3.9, figure 2: two equal rectangles make a triangle of half-width 2a; 95 % of it is ±2a(1 - √0.05)."""
    found = half_width_95([limits("one", 3.0), limits("other", 3.0)])
    assert found == pytest.approx(6.0 * (1.0 - math.sqrt(0.05)), rel=1e-9)
