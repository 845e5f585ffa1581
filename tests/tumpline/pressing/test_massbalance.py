"""Pomace by difference, against a balance worked out forwards from what the fruit and the pomace are made of.

The worked example is own computation; its results are held to 1e-6 of their value.
"""

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing import juice
from tumpline.pressing.massbalance import Flows, dry_matter_of_juice, dry_matter_of_pomace, mass_of
from tumpline.pressing.quantities import Estimate, limits, normal, ratio
from tumpline.pressing.records import Known, Unknown

FRUIT, WATER, AID = 10_000.0, 150.0, 50.0  # kg: 1.5 % of wash water and 0.5 % of press aid on the fruit
INSOLUBLE, SOLUBLE, SUSPENDED, AID_DRY, POMACE_DRY = 0.036, 0.124, 0.005, 0.92, 0.25  # kg/kg
JUICE, POMACE = 7595.048596, 2604.951404  # kg


def known(value: Known) -> Estimate:
    """The estimate, where there should be one."""
    assert isinstance(value, Estimate)
    return value


def flows(*, fruit: float = FRUIT, water: float = WATER, aid: float = AID, juice_mass: float = JUICE) -> Flows:
    """The example's masses, exactly known."""
    return Flows(fruit=Estimate(fruit), wash_water=Estimate(water), press_aid=Estimate(aid), juice=Estimate(juice_mass))


def dryness(masses: Flows, *, fruit: float = INSOLUBLE + SOLUBLE, juice_dry: float = 0.1309750868) -> Known:
    """Pomace dry matter by difference from exactly known dry matters."""
    return dry_matter_of_pomace(
        masses,
        fruit_dry_matter=Estimate(fruit),
        press_aid_dry_matter=Estimate(AID_DRY),
        juice_dry_matter=Estimate(juice_dry),
    )


def pressed(soluble: float, insoluble: float, pomace_dry: float) -> tuple[float, float, float]:
    """Forwards: °Bx of the liquid, dry matter of the juice, and the juice (kg) that leaves pomace of that dryness."""
    liquid = FRUIT * (1 - insoluble) + WATER + AID * (1 - AID_DRY)
    dissolved = FRUIT * soluble / liquid
    juice_dry = dissolved * (1 - SUSPENDED) + SUSPENDED
    fruit_dry = insoluble + soluble
    juice_mass = ((FRUIT + WATER + AID) * pomace_dry - FRUIT * fruit_dry - AID * AID_DRY) / (pomace_dry - juice_dry)
    return 100.0 * dissolved, juice_dry, juice_mass


def test_the_worked_example_forwards() -> None:
    """The forward balance itself: liquid 9794 kg, soluble share, juice, recovery and insolubles as worked out."""
    brix, juice_dry, juice_mass = pressed(SOLUBLE, INSOLUBLE, POMACE_DRY)
    assert brix == pytest.approx(12.66081274, rel=1e-6)
    assert FRUIT * SOLUBLE / (brix / 100) == pytest.approx(9794.0, rel=1e-6)
    assert juice_mass == pytest.approx(JUICE, rel=1e-6)
    assert juice_mass * brix / 100 * (1 - SUSPENDED) / (FRUIT * SOLUBLE) == pytest.approx(0.7716023436, rel=1e-6)
    assert FRUIT * INSOLUBLE + AID * AID_DRY - juice_mass * SUSPENDED == pytest.approx(368.024757, rel=1e-6)
    assert juice_dry == pytest.approx(0.1309750868, rel=1e-6)


def test_the_worked_example_by_difference() -> None:
    """From masses and dry matters alone: pomace 2604.95 kg at 25.0 %, and dry matter closes to a gram."""
    masses = flows()
    found = known(dryness(masses)).value
    assert masses.pomace.value == pytest.approx(POMACE, rel=1e-6)
    assert found == pytest.approx(POMACE_DRY, rel=1e-6)
    dry_in = FRUIT * (INSOLUBLE + SOLUBLE) + AID * AID_DRY
    assert dry_in - JUICE * 0.1309750868 - masses.pomace.value * found == pytest.approx(0.0, abs=1e-3)


def test_the_worked_example_as_yield() -> None:
    """7.238744 m³ at 1049.222 kg/m³: 723.874 L/t, 75.9505 % by mass."""
    brix = 12.66081274
    density = juice.density(brix, 20.0)
    assert isinstance(density, float)
    assert density == pytest.approx(1049.221900, rel=1e-6)
    volume = JUICE / density
    assert volume == pytest.approx(7.238743868, rel=1e-6)
    by_volume, by_mass = ratio(Estimate(volume), Estimate(FRUIT)), ratio(Estimate(JUICE), Estimate(FRUIT))
    assert by_volume is not None
    assert by_mass is not None
    assert by_volume.value * 1e6 == pytest.approx(723.8743868, rel=1e-6)
    assert by_mass.value * 100 == pytest.approx(75.95048596, rel=1e-6)
    assert mass_of(Estimate(volume), Estimate(density)).value == pytest.approx(JUICE, rel=1e-6)
    assert dry_matter_of_juice(Estimate(brix), Estimate(SUSPENDED)).value == pytest.approx(0.1309750868, rel=1e-6)


def test_forgetting_wash_water_and_press_aid_shows() -> None:
    """Without them the same juice gives 25.166 % instead of 25.000 %."""
    assert known(dryness(flows(water=0.0, aid=0.0))).value == pytest.approx(0.2516632353, rel=1e-6)


def uncertain_example() -> Known:
    """The example with the doubts a site has: fruit's dry matter to 0.3 points, fruit 1 %, juice 0.5 %, water 30 %."""
    return dry_matter_of_pomace(
        Flows(
            fruit=Estimate(FRUIT, (normal("fruit", 0.01 * FRUIT),)),
            wash_water=Estimate(WATER, (normal("wash water", 0.3 * WATER),)),
            press_aid=Estimate(AID, (normal("press aid", 0.05 * AID),)),
            juice=Estimate(JUICE, (normal("juice", 0.005 * JUICE),)),
        ),
        fruit_dry_matter=Estimate(INSOLUBLE + SOLUBLE, (normal("dry matter of the fruit", 0.003),)),
        press_aid_dry_matter=Estimate(AID_DRY, (normal("dry matter of the press aid", 0.01),)),
        juice_dry_matter=Estimate(0.1309750868, (normal("dry matter of the juice", 0.001),)),
    )


# Points of dry matter each input contributes: own computation, to half of the last digit.
CONTRIBUTIONS = {
    "dry matter of the fruit": 1.152,
    "wash water": 0.432,
    "fruit": 0.345,
    "dry matter of the juice": 0.292,
    "juice": 0.174,
    "press aid": 0.064,
    "dry matter of the press aid": 0.019,
}


def test_every_contribution_to_the_doubt_about_dryness() -> None:
    """The dry matter of the fruit dominates, and all together make 1.324 points."""
    found = known(uncertain_example())
    assert {t.source: 100 * t.u for t in found.terms} == pytest.approx(CONTRIBUTIONS, abs=6e-4)
    assert found.u == pytest.approx(0.0132356, rel=1e-5)


def test_a_simulation_gives_the_same_doubt() -> None:
    """Drawing all seven inputs (JCGM 101) gives the interval that first order states, to a tenth of its width."""
    rng = np.random.default_rng(7)

    def drawn(value: float, u: float) -> np.ndarray:
        return rng.normal(value, u, 200_000)

    fruit, water, aid = drawn(FRUIT, 0.01 * FRUIT), drawn(WATER, 0.3 * WATER), drawn(AID, 0.05 * AID)
    pressed_juice = drawn(JUICE, 0.005 * JUICE)
    dry = fruit * drawn(0.160, 0.003) + aid * drawn(AID_DRY, 0.01) - pressed_juice * drawn(0.1309750868, 0.001)
    low, high = np.quantile(dry / (fruit + water + aid - pressed_juice), [0.025, 0.975])
    figure = known(uncertain_example()).figure()
    assert (low, high) == pytest.approx((figure.low, figure.high), abs=0.0026)


@given(st.floats(0.10, 0.16), st.floats(0.025, 0.05), st.floats(0.22, 0.35))
def test_whatever_is_pressed_forwards_comes_back_by_difference(
    soluble: float, insoluble: float, pomace_dry: float
) -> None:
    """The difference recovers the dryness the juice was worked out from."""
    _, juice_dry, juice_mass = pressed(soluble, insoluble, pomace_dry)
    found = known(dryness(flows(juice_mass=juice_mass), fruit=insoluble + soluble, juice_dry=juice_dry))
    assert found.value == pytest.approx(pomace_dry, rel=1e-6)


# Yield by mass at 12.4 % soluble solids, for insolubles and pomace dryness; no water, aid or cloud. Own computation.
YIELD_TABLE = {
    (0.026, 0.20): 0.688,
    (0.026, 0.25): 0.815,
    (0.026, 0.30): 0.869,
    (0.026, 0.35): 0.898,
    (0.036, 0.20): 0.561,
    (0.036, 0.25): 0.742,
    (0.036, 0.30): 0.817,
    (0.036, 0.35): 0.858,
    (0.046, 0.20): 0.428,
    (0.046, 0.25): 0.667,
    (0.046, 0.30): 0.765,
    (0.046, 0.35): 0.818,
}


@pytest.mark.parametrize(("fruit", "yielded"), YIELD_TABLE.items())
def test_yield_and_dryness_belong_together(fruit: tuple[float, float], yielded: float) -> None:
    """Each yield of the table leaves pomace of its dryness, within what rounding the yield allows (0.2 points)."""
    insoluble, pomace_dry = fruit
    masses = flows(water=0.0, aid=0.0, juice_mass=yielded * FRUIT)
    found = known(dryness(masses, fruit=insoluble + SOLUBLE, juice_dry=SOLUBLE / (1 - insoluble)))
    assert found.value == pytest.approx(pomace_dry, abs=0.002)


@pytest.mark.parametrize("juice_mass", [10_200.0, 11_000.0])
def test_juice_that_leaves_no_pomace_leaves_no_dryness(juice_mass: float) -> None:
    """More juice than there was fruit is a fault of a meter, not pomace of any dryness."""
    found = dryness(flows(juice_mass=juice_mass))
    assert isinstance(found, Unknown)
    assert "pomace" in found.why


def test_too_little_pomace_to_be_sure_of_leaves_no_dryness() -> None:
    """In a short stretch the difference drowns in the meters' doubts."""
    doubtful = Flows(
        fruit=Estimate(100.0, (limits("mill", 20.0),)),
        wash_water=Estimate(1.5),
        press_aid=Estimate(0.0),
        juice=Estimate(74.0, (limits("juice meter", 5.0),)),
    )
    assert isinstance(dryness(doubtful), Unknown)


def test_figures_that_contradict_each_other_leave_no_dryness() -> None:
    """Juice that carries more dry matter than the fruit had is said to be impossible, not negative pomace."""
    found = dryness(flows(), juice_dry=0.30)
    assert isinstance(found, Unknown)
    assert "cannot be" in found.why


def test_mass_of_juice_carries_both_doubts() -> None:
    """A meter of ±0.5 % and a density of ±1 kg/m³ both show in the mass."""
    found = mass_of(
        Estimate(2.0, (limits("accuracy of juice/total", 0.01),)), Estimate(1050.0, (normal("density", 1.0),))
    )
    assert found.value == 2100.0
    assert {t.source: t.u for t in found.terms} == pytest.approx(
        {"accuracy of juice/total": 0.01 * 1050.0 / 3**0.5, "density": 2.0}
    )


def test_dry_matter_of_juice_carries_both_doubts() -> None:
    """The refractometer's and the cloud's."""
    found = dry_matter_of_juice(
        Estimate(12.0, (normal("refractometer", 0.1),)), Estimate(0.005, (normal("cloud", 0.002),))
    )
    assert found.value == pytest.approx(0.12 * 0.995 + 0.005)
    assert {t.source: t.u for t in found.terms} == pytest.approx({"refractometer": 0.000995, "cloud": 0.00176})
