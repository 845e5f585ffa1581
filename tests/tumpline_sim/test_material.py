"""The mass balance of fruit, juice and pomace."""

import pytest

from tumpline_sim.material import Fruit


@pytest.mark.parametrize("dryness", [0.2, 0.25, 0.3, 0.35])
def test_yield_and_dryness_are_one_number(dryness: float) -> None:
    """The juice that leaves pomace of a dryness leaves exactly that dryness."""
    fruit = Fruit(insoluble=0.037, soluble=0.124)
    assert fruit.pomace_dry_matter(fruit.juice_for(dryness)) == pytest.approx(dryness, rel=1e-12)


def test_more_insoluble_fruit_gives_less_juice() -> None:
    """At the same dryness, coarser fruit gives less juice."""
    fine, coarse = (Fruit(insoluble=i, soluble=0.124) for i in (0.03, 0.045))
    assert fine.juice_for(0.25) > coarse.juice_for(0.25)


def test_carried_water_thins_the_juice() -> None:
    """Wash water carried into the press lowers the juice's Brix and its density."""
    dry, wet = (Fruit(insoluble=0.037, soluble=0.124, water_carried=w) for w in (0.0, 0.05))
    assert wet.brix < dry.brix
    assert wet.density < dry.density
