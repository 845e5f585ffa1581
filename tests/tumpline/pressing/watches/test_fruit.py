"""Fruit that does not reach the mill, and the water that should carry it."""

import math

import pytest

from looks import IDLE, LINE, NORMAL, RUN_OUT, TRIPPED, UNMETERED, Spell, feed_after, thinning
from tumpline.pressing.watches.feed import Feed
from tumpline.pressing.watches.fruit import FlumeWatch, FruitWatch
from tumpline.pressing.watches.look import Look
from tumpline.pressing.watches.verdict import Verdict

EMPTY = UNMETERED._replace(fruit=0.0)
DRY = IDLE._replace(water=0.0)
STOOD = TRIPPED._replace(water=0.0)
UNNAMED = IDLE._replace(left=None, net=None)


def running_out(look: Look, seconds_: float) -> list[Spell]:
    """Water of a pump that was switched off, by its meter's time constant, until the pump is seen to stand."""
    return [(look._replace(water=0.02 * math.exp(-n / seconds_)), 1) for n in range(round(3.0 * seconds_))]


def fruit(*spells: Spell, blocked: bool = False) -> Verdict:
    """What the fruit's watch says at the end of the spells."""
    watch, said = FruitWatch(), [Verdict(False)]
    limits = LINE.watches["fruit-starved"], LINE.watches["mill-blocked"]

    def see(look: Look, feed: Feed) -> None:
        said[0] = watch.step(look, feed, limits, blocked=blocked)

    feed_after(*spells, see=see)
    return said[0]


CASES = [
    ("running", [(NORMAL, 60)], ""),
    ("idle with fruit to come", [(IDLE, 25)], "runs idle, and the load is not finished"),
    ("idle, too soon to say", [(IDLE, 10)], ""),
    ("idle and the water low", [(IDLE._replace(water=0.004), 25)], "water is low"),
    ("idle over a flume that people may have stopped", [(DRY, 120)], ""),
    ("idle over a flume that stands for minutes", [(DRY, 190)], "no water moves"),
    ("idle without a load known", [(IDLE._replace(left=None, net=None), 60)], ""),
    ("load run out", [(RUN_OUT, 600)], ""),
    ("load run out, the next one overdue", [(RUN_OUT, 60), (RUN_OUT._replace(load_on=440.0), 320)], "another load"),
    ("stopped by people", [(IDLE, 10), (STOOD, 600)], ""),
    ("brought up again after that", [(IDLE, 10), (STOOD, 100), (IDLE, 40)], ""),
    ("brought up again, and no fruit comes", [(IDLE, 10), (STOOD, 100), (IDLE, 62)], "runs idle"),
    ("stopped to look while the line is brought up", [(IDLE, 3700), (NORMAL, 90), (IDLE, 50)], ""),
    ("no current meter, fruit thinned out", [*thinning(UNMETERED, 10), (EMPTY, 20)], "thinned out"),
    ("no current meter, fruit gone at once", [(EMPTY, 120)], ""),
    ("no current meter, gone while nobody heard it", [(EMPTY._replace(fruit=None), 90), (EMPTY, 25)], "less sure"),
    ("no current meter, water low", [(EMPTY._replace(water=0.004), 25)], "water is low"),
    (
        "water that runs out after the pump is stopped",
        [(RUN_OUT, 30), (RUN_OUT._replace(water=0.008), 3), (DRY, 5)],
        "",
    ),
    (
        "no load known, water that takes a quarter of a minute to run out",
        [(UNNAMED, 30), *running_out(UNNAMED, 5.0), (UNNAMED._replace(water=0.0), 60)],
        "",
    ),
    ("no load known, water low", [(UNNAMED._replace(water=0.004), 25)], "water is low"),
    ("load run out, water low", [(RUN_OUT, 30), (RUN_OUT._replace(water=0.004), 60)], ""),
    ("no current meter, no water", [*thinning(UNMETERED, 10), (EMPTY._replace(water=0.0), 300)], ""),
    ("current gone", [(TRIPPED, 60)], ""),
    ("emergency stop", [(IDLE._replace(emergency_stop=True), 60)], ""),
    (
        "brought up again while the water is not heard",
        [(EMPTY._replace(water=0.0), 60), (EMPTY._replace(water=None), 90)],
        "",
    ),
    ("fruit back", [(IDLE, 60), (NORMAL, 10)], ""),
]


@pytest.mark.parametrize(("spells", "cause"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_a_starved_mill_is_told_from_gaps_and_from_people(spells: list[Spell], cause: str) -> None:
    """Somebody is called where fruit should come and does not; the sentence says from what that is known."""
    verdict = fruit(*spells)
    assert verdict.active is bool(cause)
    assert cause in verdict.cause


def test_a_blocked_mill_is_not_called_starved_as_well() -> None:
    """It is short of fruit because it takes none."""
    assert not fruit((IDLE, 60), blocked=True).active


def flume(*spells: Spell) -> Verdict:
    """What the flume's watch says at the end of the spells."""
    watch, said = FlumeWatch(), [Verdict(False)]

    def see(look: Look, feed: Feed) -> None:
        said[0] = watch.step(look, feed, LINE.watches["flume-low"])

    feed_after(*spells, see=see)
    return said[0]


def test_water_that_falls_at_once_is_told_with_what_it_may_be() -> None:
    """After ten seconds under seven tenths of the usual, and not before; over eight tenths it ends."""
    half = NORMAL._replace(water=0.01)
    assert not flume((half, 9)).active
    verdict = flume((half, 12))
    assert verdict.active
    assert (verdict.value, verdict.unit) == (10.0, "L/s")
    assert verdict.limit == pytest.approx(14.0)
    assert "50 % of its usual water, and it fell within two minutes" in verdict.cause
    assert flume((half, 12), (NORMAL._replace(water=0.015), 20)).active
    assert not flume((half, 12), (NORMAL._replace(water=0.017), 2)).active


def test_water_that_falls_slowly_is_told_as_a_strainer() -> None:
    """What falls over a quarter of an hour is not the pump, does not become the usual, and is told half way already."""
    slowly = [(NORMAL._replace(water=0.02 * (1.0 - 0.4 * n / 900.0)), 1) for n in range(360)]
    verdict = flume(*slowly)
    assert verdict.active
    assert verdict.limit == pytest.approx(17.0, rel=0.01)
    assert "strainer may be clogging" in verdict.cause
    assert not flume(*slowly, (NORMAL, 2)).active


def test_a_pump_that_people_throttle_is_no_strainer() -> None:
    """Four fifths of the water from one second to the next is somebody's hand, however long it stays so."""
    assert not flume((NORMAL._replace(water=0.016), 900)).active


def test_water_that_runs_out_is_no_fault() -> None:
    """A pump that people switch off is on its way to nothing for a while; one that stays half way is low."""
    assert not any(flume(*running_out(NORMAL, 8.0)[:n]).active for n in range(1, 24))
    assert flume(*running_out(NORMAL, 8.0)[:8], (NORMAL._replace(water=0.0075), 12)).active


def test_a_flume_that_stands_is_no_fault() -> None:
    """People stop it for a break, and nobody is called for that."""
    assert not flume((DRY, 600)).active
    assert not flume((NORMAL._replace(water=None), 60)).active
