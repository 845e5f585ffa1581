"""Juice on its way to the vat, with and without a sump."""

import itertools

import pytest

from simulated import run


def test_a_sump_makes_the_meter_read_in_bursts() -> None:
    """The pump runs at well over the mean flow or not at all, in bursts of a fraction of a minute."""
    made = run(hours=1.0, sump=True, tidy=True)
    values = made.values("juice/flow", 1200.0, 2400.0)
    mean = sum(values) / len(values)
    running = [value for value in values if value > 0.0]
    starts = sum(a == 0.0 < b for a, b in itertools.pairwise(values))
    assert min(running) > 1.5 * mean
    assert 0.25 < len(running) / len(values) < 0.6
    assert 8 <= starts <= 30


def test_no_juice_stays_in_the_sump() -> None:
    """At the end of the shift the crew empties it, so the totals are those of the line without one."""
    with_sump, without = run(hours=1.0, sump=True, tidy=True).truth, run(hours=1.0, tidy=True).truth
    assert with_sump["juice_l"] == pytest.approx(without["juice_l"], rel=1e-9)


def test_without_a_sump_the_meter_reads_steadily() -> None:
    """The juice of a steady feed is steady."""
    values = run(hours=1.0, tidy=True).values("juice/flow", 1200.0, 2400.0)
    assert min(values) > 0.7 * max(values)
