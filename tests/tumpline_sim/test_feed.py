"""How fruit comes to the mill."""

import itertools
from statistics import fmean, stdev

from simulated import run


def test_the_feed_wanders_slowly_around_the_rate() -> None:
    """Throughput stays near the rated one, varies by some per cent, and changes little from one second to the next."""
    means = []
    for seed in range(1, 7):
        made = run(seed=seed, hours=1.0, tidy=True)
        first, second = made.truth["edges"][0], (made.truth["gaps"] or [[3000.0, 0.0]])[0][0]
        values = made.values("mill/throughput", first + 60.0, second - 60.0)
        means.append(fmean(values))
        minutes = [fmean(values[n : n + 60]) for n in range(0, len(values) - 60, 60)]
        assert 0.01 < stdev(minutes) / fmean(minutes) < 0.12
        assert max(abs(b - a) for a, b in itertools.pairwise(minutes)) < 0.15 * fmean(minutes)
    assert 3.8 < fmean(means) < 4.2


def test_loads_follow_one_another_with_gaps() -> None:
    """Between two loads no fruit comes for the planned while, and the mill idles."""
    made = run(seed=3, hours=3.0, signals="mill/throughput,mill/current", tidy=True)
    assert len(made.truth["gaps"]) == len(made.truth["loads"]) - 1 >= 2
    for start, end in made.truth["gaps"]:
        assert 35.0 <= end - start <= 160.0
        assert max(made.values("mill/throughput", start + 1.0, end - 1.0)) == 0.0
        assert 8.0 < made.mean("mill/current", start + 1.0, end - 1.0) < 12.0


def test_a_stop_only_delays_the_fruit() -> None:
    """A blocked mill holds the load back; all of it is milled in the end."""
    held, free = run(seed=2, hours=1.0, faults="blocked@15").truth, run(seed=2, hours=1.0).truth
    for a, b in zip(held["loads"], free["loads"], strict=True):
        assert abs(a["fruit_kg"] - b["fruit_kg"]) < 1e-6
    assert held["end"] > free["end"] + 120.0
