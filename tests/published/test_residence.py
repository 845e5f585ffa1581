"""The way from mill to juice meter against residence time distributions of chemical engineering textbooks."""

from itertools import accumulate
from random import Random

import pytest

from tumpline.pressing.learning import Juice, guessed, learn
from tumpline.pressing.params import ResidenceParams
from tumpline.pressing.residence import BIN, Passage, Transport, aligned

# Tanks in series, θ = t/τ: E = N(Nθ)^(N-1) exp(-Nθ)/(N-1)!, F its integral; textbook formula, own computation.
TWO_TANKS = [
    (0.25, 0.60653066, 0.09020401),
    (0.5, 0.73575888, 0.26424112),
    (1.0, 0.54134113, 0.59399415),
    (1.5, 0.29872241, 0.80085173),
    (2.0, 0.14652511, 0.90842181),
]
ONE_TANK = [
    (0.25, 0.77880078, 0.22119922),
    (0.5, 0.60653066, 0.39346934),
    (1.0, 0.36787944, 0.63212056),
    (1.5, 0.22313016, 0.77686984),
    (2.0, 0.13533528, 0.86466472),
]
LONG = 2000.0
"""Seconds of mean residence, many bins of five: then a bin is as good as a moment, to 0.5 %."""

# Levenspiel, Chemical Reaction Engineering (3rd ed. 1999), example 11.1 (from memory): a pulse of tracer shows with
# C = 0, 3, 5, 5, 4, 2, 1, 0 g/L at t = 0, 5, ..., 35 min; its mean is 15 min and its variance 47.5 min².
PULSE = [0, 3, 5, 5, 4, 2, 1, 0]
MEAN, VARIANCE = 15.0, 47.5
SCALE = 5.0
"""Seconds here for each minute there: a press line is faster than that vessel."""


@pytest.mark.parametrize(("theta", "density", "share"), TWO_TANKS)
def test_the_spread_is_two_tanks_in_series(theta: float, density: float, share: float) -> None:
    """Density and share at five times are those of two equal tanks."""
    shown = list(accumulate(aligned([1.0] + [0.0] * 1000, Transport(0.0, LONG / 2.0**0.5), 1.0)))
    place = round(theta * LONG / BIN)
    assert shown[place] == pytest.approx(share, abs=2e-3)
    assert (shown[place + 2] - shown[place - 2]) * LONG / (4 * BIN) == pytest.approx(density, rel=5e-3)


@pytest.mark.parametrize(("theta", "density", "share"), ONE_TANK)
def test_the_pulp_buffer_is_one_tank(theta: float, density: float, share: float) -> None:
    """A stirred buffer empties as one tank does."""
    line = Passage()
    line.step("41", 1.0, Transport(0.0, 1.0, hold=LONG), 1.0)
    shown = [1.0 - line.buffer["41"]]
    for _ in range(1000):
        line.step("41", 0.0, Transport(0.0, 1.0, hold=LONG), 1.0)
        shown.append(1.0 - line.buffer["41"])
    place = round(theta * LONG / BIN)
    assert shown[place] == pytest.approx(share, abs=2e-3)
    assert (shown[place + 2] - shown[place - 2]) * LONG / (4 * BIN) == pytest.approx(density, rel=5e-3)


def test_the_pulse_of_tracer_has_its_printed_moments() -> None:
    """Area 100, mean 15 min, variance 47.5 min², as printed: the points are the ones of the book."""
    times = [5.0 * place for place in range(len(PULSE))]
    mean = sum(t * c for t, c in zip(times, PULSE, strict=True)) / sum(PULSE)
    assert 5.0 * sum(PULSE) == 100.0
    assert mean == MEAN
    assert sum((t - mean) ** 2 * c for t, c in zip(times, PULSE, strict=True)) / sum(PULSE) == VARIANCE


def test_the_way_is_learned_from_that_vessel() -> None:
    """A line whose juice comes as that tracer did, not as our tanks do, is learned to 5 s and 25 % of its spread."""
    rng = Random(4)
    fruit = [0.0 if place < 40 or 300 <= place < 320 or 500 <= place < 512 else 5.5 for place in range(720)]
    lags = [(round(5.0 * place * SCALE / BIN), c / sum(PULSE)) for place, c in enumerate(PULSE)]
    juice = [
        7e-4 * rng.gauss(1.0, 0.005) * sum(share * fruit[place - lag] for lag, share in lags if lag <= place)
        for place in range(len(fruit))
    ]
    guess = guessed(ResidenceParams(40.0, 20.0))
    found = learn(fruit, Juice(juice), guess, 5.5 / BIN, now=guess)
    assert found.learned
    assert found.transport.mean == pytest.approx(SCALE * MEAN, abs=5.0)
    assert found.transport.sd == pytest.approx(SCALE * VARIANCE**0.5, rel=0.25)
