"""The loads of a shift."""

import itertools
from random import Random

import pytest

from tumpline_sim.loads import GROWERS, plan_loads


def test_loads_fill_the_time() -> None:
    """All loads and the gaps between them take as long at the rated feed as there is time."""
    loads = plan_loads(Random(1), day="1014", pressing_s=10_000.0, rate=4.0)
    assert sum(load.kg / (4.0 / 3.6) + load.gap_before for load in loads) == pytest.approx(10_000.0)


def test_various_loads() -> None:
    """Asked for various loads, they differ more in size, warmth and gaps, and still fill the time."""
    alike, various = (
        [load for n in range(20) for load in plan_loads(Random(n), day="1", pressing_s=9e3, rate=4.0, various=various)]
        for various in (False, True)
    )
    for of in (lambda load: load.kg, lambda load: load.gap_before, lambda load: load.fruit.celsius):
        assert max(map(of, various)) - min(map(of, various)) > 1.5 * (max(map(of, alike)) - min(map(of, alike)))
    assert sum(load.kg / (4.0 / 3.6) + load.gap_before for load in various) == pytest.approx(20 * 9e3)


def test_various_fruit() -> None:
    """Any cider apples: dry matter from 14 to 19 %, juice from 10 to 16 °Bx; on some days nobody measures any."""
    days = [plan_loads(Random(n), day="1", pressing_s=2e4, rate=4.0, various=True) for n in range(40)]
    fruits = [load.fruit for day in days for load in day]
    assert all(0.14 <= fruit.dry_matter <= 0.19 and 10.0 <= fruit.brix <= 16.0 for fruit in fruits)
    assert min(fruit.insoluble for fruit in fruits) < 0.028 and max(fruit.insoluble for fruit in fruits) > 0.047
    unmeasured = [day for day in days if all(load.brix is load.dry_matter_pct is None for load in day)]
    assert 4 <= len(unmeasured) <= 16
    assert all(load.brix is not None for day in days if day not in unmeasured for load in day)


def test_neighbouring_loads_are_different_growers() -> None:
    """Growers take turns, every load has its own name and its varieties are its grower's."""
    loads = plan_loads(Random(1), day="1014", pressing_s=25_000.0, rate=4.0)
    assert len({load.name for load in loads}) == len(loads) > 5
    assert all(a.grower != b.grower for a, b in itertools.pairwise(loads))
    for load in loads:
        assert {name for name, _ in load.varieties} <= set(GROWERS[load.grower])


def test_the_crews_figures_are_near_the_truth() -> None:
    """Brix and dry matter as written down are near what the fruit has, and not exactly it."""
    loads = [load for seed in range(20) for load in plan_loads(Random(seed), day="1", pressing_s=9_000.0, rate=4.0)]
    assert all(abs(load.brix - load.fruit.brix) < 0.8 for load in loads)
    errors = [load.dry_matter_pct - 100.0 * load.fruit.dry_matter for load in loads if load.dry_matter_pct is not None]
    assert 0 < len(errors) < len(loads)
    assert all(abs(error) < 0.8 for error in errors)
