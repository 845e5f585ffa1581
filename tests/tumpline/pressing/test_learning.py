"""The way from mill to juice meter, learned: against lines whose way is known."""

import math
from random import Random

import pytest

from press_stories import params
from tumpline.pressing.learning import Juice, Learned, guessed, juice_of, learn, worth_a_look
from tumpline.pressing.ledger import Flow, Ledger, PumpMark
from tumpline.pressing.params import ResidenceParams
from tumpline.pressing.residence import BIN, Transport, aligned

RATED = 1.1
GUESS = guessed(ResidenceParams(75.0, 35.0))


def fruit_of(rng: Random, *, gap: bool = True) -> list[float]:
    """An hour of fruit by bin, kg: nothing for four minutes, then about the rated feed, with a gap of 90 s."""
    kg, wander = [0.0] * 50, 0.0
    for j in range(50, 720):
        wander += 0.05 * (rng.gauss(0.0, 0.04) - wander)
        kg.append(0.0 if gap and 500 <= j < 518 else RATED * BIN * (1.0 + wander))
    return kg


def learned(way: Transport, fruit: list[float], rng: Random, *, start: Learned = GUESS) -> Learned:
    """What is learned of a way from fruit and its juice, metered with half a per cent of noise; the yield wanders."""
    juice, wander = [], 0.0
    for kg in aligned(fruit, way, RATED):
        wander += 0.01 * (rng.gauss(0.0, 0.06) - wander)
        juice.append(7e-4 * kg * (1.0 + wander + rng.gauss(0.0, 0.005)))
    return learn(fruit, Juice(juice), start, RATED, now=start)


@pytest.mark.parametrize(
    "way",
    [
        Transport(40.0, 25.0),
        Transport(20.0, 15.0, 25.0),
        Transport(55.0, 15.0, 30.0, follows=True),
        Transport(100.0, 20.0, 10.0),
        Transport(60.0, 20.0, 15.0, pace=0.8),
    ],
)
def test_an_hour_with_a_start_and_a_gap_is_enough(way: Transport) -> None:
    """From a guess that is far off, the mean is found within 2 s and the spread within a tenth."""
    rng = Random(1)
    found = learned(way, fruit_of(rng), rng)
    assert found.learned
    assert found.transport.mean == pytest.approx(way.mean, abs=2.0)
    assert found.transport.sd == pytest.approx(way.sd, rel=0.1)
    assert abs(found.transport.mean - way.mean) < 3.0 * found.u_mean
    assert "learned from 60 minutes" in found.record(1.0).why


def test_steady_fruit_teaches_nothing() -> None:
    """With neither start nor stop nor dip in the readings the settings' guess stays, wide, and says why."""
    fruit = [RATED * BIN] * 720
    found = learn(fruit, Juice([7e-4 * RATED * BIN] * 630, 90), GUESS, RATED, now=GUESS)
    assert found.transport.mean == pytest.approx(GUESS.transport.mean, rel=0.01)
    assert not found.learned
    assert "from the settings" in found.record(1.0).why
    assert not worth_a_look(Ledger(0.0, Flow(fruit)))


def test_a_quarter_of_an_hour_is_too_little() -> None:
    """Before five minutes of fruit the guess is not touched."""
    fruit = [0.0] * 30 + [RATED * BIN] * 40
    assert learn(fruit, Juice([0.0] * 70), GUESS, RATED, now=GUESS) == GUESS


def test_what_was_learned_lasts_but_is_trusted_less_in_the_next_shift() -> None:
    """A new shift begins with the last one's way and a wider interval."""
    rng = Random(2)
    found = learned(Transport(40.0, 25.0), fruit_of(rng), rng)
    old = found.older()
    assert old.transport == found.transport
    assert found.u_mean < old.u_mean < GUESS.u_mean
    again = learned(Transport(40.0, 25.0), fruit_of(rng, gap=False), rng, start=old)
    assert again.transport.mean == pytest.approx(found.transport.mean, abs=8.0)


def sump(fruit: list[float], way: Transport, level: float) -> Ledger:
    """A ledger of that fruit whose juice goes through a sump that is emptied from `level` m³ down to a fifth of it."""
    metered: list[float] = []
    marks: list[PumpMark] = []
    held, on = 0.0, False
    for j, kg in enumerate(aligned(fruit, way, RATED)):
        out = 0.0
        for second in range(5):
            held += 7e-4 * kg / 5.0
            was, on = on, held >= level or (on and held > 0.2 * level)
            if on is not was:
                marks.append(PumpMark(j + (second + 1) / 5.0, math.fsum(metered) + out, on))
            if on:
                step = min(held, 2.5 * 7e-4 * RATED)
                held, out = held - step, out + step
        metered.append(out)
    return Ledger(0.0, Flow(fruit), Flow(metered), marks=marks)


def test_a_sump_in_bursts_teaches_the_delay_too_though_less_sharply() -> None:
    """From pump starts and stops alone the mean comes nearer to the truth, and its interval says how near."""
    way, rng = Transport(30.0, 20.0, 20.0), Random(3)
    fruit, juice = juice_of(sump(fruit_of(rng), way, 0.06), params(), pumped=True)
    found = learn(fruit, juice, GUESS, RATED, now=GUESS)
    assert found.learned
    assert abs(found.transport.mean - way.mean) < 2.5 * found.u_mean
    assert found.u_mean < 0.3 * GUESS.u_mean


def test_two_ways_that_explain_alike_make_the_doubt_reach_from_one_to_the_other() -> None:
    """With a single dip to learn from, the interval still holds the way the fruit went."""
    rng, way = Random(5), Transport(70.0, 25.0, 10.0, pace=0.9)
    fruit = [RATED * BIN * (1.0 + rng.gauss(0.0, 0.02)) for _ in range(400)] + [0.5 * RATED * BIN] * 40
    fruit += [RATED * BIN] * 200
    found = learned(way, fruit, rng)
    assert abs(found.transport.mean - way.mean) < 3.0 * found.u_mean
