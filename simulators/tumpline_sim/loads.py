"""The loads of a shift: whose fruit, which varieties, how much, and what is in it. All names are invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from random import Random

from tumpline_sim.material import Fruit

GROWERS = {
    "Coppice Farm": ("Coppice Red", "Pedlar's Bitter"),
    "Long Acre": ("Long Acre Sharp", "Acre Russet"),
    "Withy Bottom": ("Withy Jersey", "Bottom Pippin"),
    "Top Orchard": ("Top Late", "Hollow Norman"),
}

_HOURS_A_LOAD = 0.8


@dataclass(frozen=True, kw_only=True)
class Load:
    """A trailer load of fruit: what it truly is, and what the crew wrote down about it."""

    name: str
    grower: str
    varieties: tuple[tuple[str, float], ...]
    kg: float
    fruit: Fruit
    net_kg: int
    """As weighed, in the weighbridge's divisions."""
    brix: float
    """As read off a hand refractometer."""
    acidity_g_per_l: float
    tannin_g_per_l: float
    dry_matter_pct: float | None
    """By oven; not every load is sampled."""
    gap_before: float
    """s without fruit before this load, as planned."""


def plan_loads(rng: Random, *, day: str, pressing_s: float, rate: float) -> tuple[Load, ...]:
    """Loads that keep a line of `rate` t/h busy for `pressing_s` seconds, planned gaps included."""
    count = max(1, round(pressing_s / 3600.0 / _HOURS_A_LOAD))
    gaps = [0.0] + [rng.uniform(40.0, 150.0) for _ in range(count - 1)]
    sizes = [rng.uniform(0.8, 1.2) for _ in range(count)]
    kg = rate / 3.6 * max(pressing_s - sum(gaps), 60.0)
    growers = _turns(rng, count)
    return tuple(
        _load(rng, f"{day}-{n + 1:02d}", growers[n], kg * size / sum(sizes), gap)
        for n, (size, gap) in enumerate(zip(sizes, gaps, strict=True))
    )


def _turns(rng: Random, count: int) -> Sequence[str]:
    """Growers in turn, from a random first, so that neighbours differ."""
    names = list(GROWERS)
    first = rng.randrange(len(names))
    return [names[(first + n) % len(names)] for n in range(count)]


def _load(rng: Random, name: str, grower: str, kg: float, gap: float) -> Load:
    fruit = Fruit(
        insoluble=rng.uniform(0.033, 0.041),
        soluble=rng.uniform(0.112, 0.136),
        water_carried=rng.uniform(0.010, 0.020),
        celsius=rng.uniform(9.0, 14.0),
    )
    first, second = GROWERS[grower]
    share = rng.choice((1.0, 0.8, 0.7, 0.6))
    varieties = ((first, 1.0),) if share == 1.0 else ((first, share), (second, round(1.0 - share, 1)))
    dry_matter = round(100.0 * fruit.dry_matter + rng.gauss(0.0, 0.15), 1)
    return Load(
        name=name,
        grower=grower,
        varieties=varieties,
        kg=kg,
        fruit=fruit,
        net_kg=round(kg * (1.0 + rng.uniform(-0.002, 0.002)) / 10.0) * 10,
        brix=round(fruit.brix + rng.gauss(0.0, 0.15), 1),
        acidity_g_per_l=round(rng.uniform(2.5, 7.5), 1),
        tannin_g_per_l=round(rng.uniform(0.8, 3.2), 1),
        dry_matter_pct=dry_matter if rng.random() < 0.6 else None,
        gap_before=gap,
    )
