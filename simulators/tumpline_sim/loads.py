"""The loads of a shift: whose fruit, which varieties, how much, and what is in it. All names are invented."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from random import Random

from tumpline_sim.material import Fruit

GROWERS = {
    "Coppice Farm": ("Coppice Red", "Pedlar's Bitter"),
    "Long Acre": ("Long Acre Sharp", "Acre Russet"),
    "Withy Bottom": ("Withy Jersey", "Bottom Pippin"),
    "Top Orchard": ("Top Late", "Hollow Norman"),
}

_HOURS_A_LOAD = 0.8
_SAMPLED = 0.6  # of the loads have their dry matter from an oven


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
    brix: float | None
    """As read off a hand refractometer; on some days nobody does."""
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
    various_fruit: bool = False
    oven_sd: float = 0.15
    """Of a dry matter by oven, % of the fruit."""
    measured: bool = True
    """Whether anybody measures fruit that day."""


_ALIKE = _Manner()
_VARIOUS = _Manner(sizes=(0.5, 1.5), long_gaps=0.25, various_fruit=True, oven_sd=0.3)
_UNMEASURED = 0.25
"""Share of the various days on which nobody measures fruit."""


def plan_loads(rng: Random, *, day: str, pressing_s: float, rate: float, various: bool = False) -> tuple[Load, ...]:
    """Loads that keep a line of `rate` t/h busy for `pressing_s` seconds, planned gaps included."""
    manner = replace(_VARIOUS, measured=rng.random() >= _UNMEASURED) if various else _ALIKE
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


def _fruit(rng: Random) -> Fruit:
    """Cider apples much like each other."""
    return Fruit(
        insoluble=rng.uniform(0.033, 0.041),
        soluble=rng.uniform(0.112, 0.136),
        water_carried=rng.uniform(0.010, 0.020),
        celsius=rng.uniform(9.0, 14.0),
    )


def _various_fruit(rng: Random) -> Fruit:
    """Any cider apples: each property even over its usual range (common practice, no source), as far as dry matter of
    14 to 19 % and juice of 10 to 16 °Bx allow it.
    """
    while True:
        fruit = Fruit(
            insoluble=rng.uniform(0.025, 0.05),
            soluble=rng.uniform(0.09, 0.16),
            water_carried=rng.uniform(0.010, 0.020),
            suspended=rng.uniform(0.002, 0.008),
            celsius=rng.uniform(3.0, 18.0),
        )
        if 0.14 <= fruit.dry_matter <= 0.19 and 10.0 <= fruit.brix <= 16.0:
            return fruit


def _load(rng: Random, name: str, grower: str, kg: float, gap: float, manner: _Manner) -> Load:
    fruit = _various_fruit(rng) if manner.various_fruit else _fruit(rng)
    first, second = GROWERS[grower]
    share = rng.choice((1.0, 0.8, 0.7, 0.6))
    varieties = ((first, 1.0),) if share == 1.0 else ((first, share), (second, round(1.0 - share, 1)))
    dry_matter = round(100.0 * fruit.dry_matter + rng.gauss(0.0, manner.oven_sd), 1)
    net_kg = round(kg * (1.0 + rng.uniform(-0.002, 0.002)) / 10.0) * 10
    brix = round(fruit.brix + rng.gauss(0.0, 0.15), 1)
    return Load(
        name=name,
        grower=grower,
        varieties=varieties,
        kg=kg,
        fruit=fruit,
        net_kg=net_kg,
        brix=brix if manner.measured else None,
        acidity_g_per_l=round(rng.uniform(2.5, 7.5), 1),
        tannin_g_per_l=round(rng.uniform(0.8, 3.2), 1),
        dry_matter_pct=dry_matter if rng.random() < _SAMPLED and manner.measured else None,
        gap_before=gap,
    )
