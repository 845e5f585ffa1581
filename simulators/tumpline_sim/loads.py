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


@dataclass(frozen=True, kw_only=True)
class _Manner:
    """How alike the loads of a shift are."""

    sizes: tuple[float, float] = (0.8, 1.2)
    long_gaps: float = 0.0
    """Share of the gaps in which the next trailer is late."""
    insoluble: tuple[float, float] = (0.033, 0.041)
    soluble: tuple[float, float] = (0.112, 0.136)
    celsius: tuple[float, float] = (9.0, 14.0)
    sampled: float = 0.6
    """Share of the loads whose dry matter is known from an oven."""


_ALIKE = _Manner()
_VARIOUS = _Manner(
    sizes=(0.5, 1.5),
    long_gaps=0.25,
    insoluble=(0.030, 0.045),
    soluble=(0.105, 0.142),
    celsius=(3.0, 18.0),
    sampled=0.5,
)


def plan_loads(rng: Random, *, day: str, pressing_s: float, rate: float, various: bool = False) -> tuple[Load, ...]:
    """Loads that keep a line of `rate` t/h busy for `pressing_s` seconds, planned gaps included."""
    manner = _VARIOUS if various else _ALIKE
    hours = rng.uniform(0.35, 1.3) if various else _HOURS_A_LOAD
    count = max(1, round(pressing_s / 3600.0 / hours))
    gaps = [0.0] + [_gap(rng, manner) for _ in range(count - 1)]
    sizes = [rng.uniform(*manner.sizes) for _ in range(count)]
    kg = rate / 3.6 * max(pressing_s - sum(gaps), 60.0)
    growers = _turns(rng, count)
    return tuple(
        _load(rng, f"{day}-{n + 1:02d}", growers[n], kg * size / sum(sizes), gap, manner)
        for n, (size, gap) in enumerate(zip(sizes, gaps, strict=True))
    )


def _turns(rng: Random, count: int) -> Sequence[str]:
    """Growers in turn, from a random first, so that neighbours differ."""
    names = list(GROWERS)
    first = rng.randrange(len(names))
    return [names[(first + n) % len(names)] for n in range(count)]


def _gap(rng: Random, manner: _Manner) -> float:
    if manner.long_gaps and rng.random() < manner.long_gaps:
        return rng.uniform(200.0, 600.0)
    return rng.uniform(40.0, 150.0)


def _load(rng: Random, name: str, grower: str, kg: float, gap: float, manner: _Manner) -> Load:
    fruit = Fruit(
        insoluble=rng.uniform(*manner.insoluble),
        soluble=rng.uniform(*manner.soluble),
        water_carried=rng.uniform(0.010, 0.020),
        celsius=rng.uniform(*manner.celsius),
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
        dry_matter_pct=dry_matter if rng.random() < manner.sampled else None,
        gap_before=gap,
    )
