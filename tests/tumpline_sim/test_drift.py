"""Slow wandering."""

from random import Random
from statistics import fmean, stdev

import pytest

from tumpline_sim.drift import Wander


def test_it_has_the_spread_and_the_memory_asked_for() -> None:
    """Over a long time the spread is the one asked for, and a memory later a third of a deviation is left (1/e)."""
    wander = Wander(Random(1), sd=2.0, seconds=30.0)
    values = [wander.step() for _ in range(100_000)]
    left = fmean(a * b for a, b in zip(values, values[30:], strict=False)) / fmean(v * v for v in values)
    assert stdev(values) == pytest.approx(2.0, rel=0.05)
    assert left == pytest.approx(0.368, abs=0.06)
