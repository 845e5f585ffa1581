"""How fruit comes to the mill."""

import itertools
from random import Random
from statistics import fmean, stdev

from simulated import DAY, run
from tumpline_sim.feed import Feed
from tumpline_sim.loads import plan_loads


def test_the_feed_wanders_slowly_around_the_rate() -> None:
    """Throughput stays near the rated one, varies by some per cent, and changes little from one minute to the next."""
    means = []
    for seed in range(1, 7):
        values = first_load(seed)[60:-60]
        means.append(fmean(values))
        minutes = [fmean(values[n : n + 60]) for n in range(0, len(values) - 60, 60)]
        assert 0.01 < stdev(minutes) / fmean(minutes) < 0.12
        assert max(abs(b - a) for a, b in itertools.pairwise(minutes)) < 0.15 * fmean(minutes)
    assert 3.8 < fmean(means) < 4.2


def first_load(seed: int) -> list[float]:
    """Second by second how fast the first load of an hour comes, t/h."""
    rng = Random(seed)
    feed = Feed(
        rng, plan_loads(rng, day="1014", pressing_s=2900.0, rate=4.0, various=False), rated=4.0 / 3.6, first=0.0
    )
    values = []
    while feed.load == 0 and not feed.finished:
        values.append(3.6 * feed.step(1.0)[0])
    return values


def test_loads_follow_one_another_with_gaps() -> None:
    """Between two loads no fruit comes for the planned while, and the mill idles."""
    made = run(**DAY)
    assert len(made.truth["gaps"]) == len(made.truth["loads"]) - 1 >= 2
    for start, end in made.truth["gaps"]:
        assert 35.0 <= end - start <= 160.0
        assert max(made.values("mill/throughput", start + 1.0, end - 1.0)) == 0.0
        assert 8.0 < made.mean("mill/current", start + 1.0, end - 1.0) < 12.0


def test_a_stop_only_delays_the_fruit() -> None:
    """A blocked mill holds the load back; all of it is milled in the end."""
    held, free = (run(seed=2, hours=0.75, faults=faults).truth for faults in ("blocked@15", "none"))
    for a, b in zip(held["loads"], free["loads"], strict=True):
        assert abs(a["fruit_kg"] - b["fruit_kg"]) < 1e-6
    assert held["end"] > free["end"] + 120.0
