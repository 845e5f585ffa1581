"""What happens on an ordinary day and is no fault."""

from functools import cache
from random import Random
from statistics import fmean, median
from typing import Any

import pytest

from simulated import Run, run
from tumpline_sim.life import KINDS, plan_life

LOOKED_AT = (
    "flume/flow,mill/throughput,juice/flow,mill/current,press/belt-speed,press/wash-pressure,pomace/flow,pulp/level"
)
DAY: dict[str, Any] = {"hours": 2.0, "signals": LOOKED_AT, "life": "full", "tidy": True}


@cache
def with_event(kind: str) -> tuple[Run, dict[str, Any]]:
    """The first shift in which an event of that kind leaves five minutes of fruit before it; its plan tells where."""
    for seed in range(1, 60):
        planned = plan_life(Random(f"{seed}/life"), first=270.0, last=6780.0)
        if alone(kind, [{"kind": e.kind, "at": e.planned, "until": e.planned + e.lasts} for e in planned]):
            made = run(seed=seed, **DAY)
            found = alone(kind, made.truth["events"])
            if found:
                return made, found[0]
    raise LookupError(kind)


def alone(kind: str, events: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """The events of that kind with nothing else in the five minutes around them."""
    return [event for event in events if event["kind"] == kind and not _overlapping(event, events)]


def _overlapping(event: dict[str, Any], events: list[dict[str, Any]]) -> bool:
    others = [e for e in events if e is not event and e["kind"] not in ("variety", "start-up")]
    return any(e["at"] < event["until"] + 300.0 and e["until"] > event["at"] - 300.0 for e in others)


def before(made: Run, event: dict[str, Any], name: str) -> float:
    """A signal's usual reading in the four minutes before."""
    return median(made.values(name, event["at"] - 240.0, event["at"] - 1.0))


def during(made: Run, event: dict[str, Any], name: str) -> float:
    """And its mean while it lasts, without its ends."""
    return made.mean(name, event["at"] + 40.0, event["until"] - 40.0)


def test_a_plain_shift_has_none_of_it() -> None:
    """Unless asked for, nothing happens but planned gaps and changes of load."""
    assert {event["kind"] for event in run().truth["events"]} <= {"variety"}


def test_every_kind_happens_on_some_day() -> None:
    """A few days show them all, the start-up on most of them."""
    days = [plan_life(Random(n), first=300.0, last=7500.0) for n in range(30)]
    assert {event.kind for day in days for event in day} == {*KINDS, "start-up"}
    assert sum(day[0].kind == "start-up" for day in days if day) > 15


def test_starting_up() -> None:
    """The first fruit comes slowly and is stopped once, the water with it."""
    made, event = with_event("start-up")
    fruit = made.values("mill/throughput", event["at"] + 5.0, event["until"])
    assert fmean(fruit) < 0.9 * fmean(made.values("mill/throughput", event["until"] + 60.0, event["until"] + 360.0))
    assert min(fruit) == 0.0
    assert min(made.values("flume/flow", event["at"], event["until"])) == 0.0


@pytest.mark.parametrize("kind", ["break", "standstill"])
def test_people_stop_the_line(kind: str) -> None:
    """Water and mill stand for ten to twenty minutes; the juice runs out, or stays in the line until it goes on."""
    made, event = with_event(kind)
    assert 600.0 <= event["until"] - event["at"] <= 1200.0
    quiet = event["at"] + 130.0, event["until"] - 40.0
    for name in ("flume/flow", "mill/throughput", "mill/current"):
        assert max(made.values(name, *quiet)) == 0.0
    run_out = made.mean("juice/flow", event["at"] + 30.0, event["at"] + 120.0) / before(made, event, "juice/flow")
    assert run_out > 0.3 if kind == "break" else run_out < 0.2
    assert (max(made.values("press/belt-speed", *quiet)) > 0.0) is (kind == "break")
    assert made.mean("mill/throughput", event["until"] + 20.0, event["until"] + 60.0) > 0.0


def test_washing_is_done_between_loads() -> None:
    """It begins when a load has run out, with more pressure on the belts' spray, and holds the next load up."""
    made, event = with_event("washing")
    (gap,) = [gap for gap in made.truth["gaps"] if gap[0] <= event["at"] <= gap[1]]
    assert gap[1] >= event["until"]
    assert during(made, event, "press/wash-pressure") > 1.4 * before(made, event, "press/wash-pressure")


def test_hard_fruit() -> None:
    """More current for less fruit."""
    made, event = with_event("hard-fruit")
    ends = event["at"] + 40.0, event["until"] - 40.0
    both = zip(made.values("mill/current", *ends), made.values("mill/throughput", *ends), strict=True)
    harder = fmean(current / fruit for current, fruit in both if fruit > 1.0)
    assert harder > 1.15 * before(made, event, "mill/current") / before(made, event, "mill/throughput")
    assert during(made, event, "mill/throughput") < 0.97 * before(made, event, "mill/throughput")


def test_a_slow_feed() -> None:
    """Less fruit for some minutes, water as ever."""
    made, event = with_event("slow-feed")
    assert during(made, event, "mill/throughput") < 0.85 * before(made, event, "mill/throughput")
    assert during(made, event, "flume/flow") > 0.9 * before(made, event, "flume/flow")


def test_another_belt_speed() -> None:
    """The belts run at another speed for a while."""
    made, event = with_event("belt-speed")
    ratio = during(made, event, "press/belt-speed") / before(made, event, "press/belt-speed")
    assert ratio > 1.05 if event["how"] == "faster" else ratio < 0.95


def test_a_trailer_is_changed() -> None:
    """The line pauses for a minute or three, and the book has the trailer that left and the one that came."""
    made, event = with_event("trailer-change")
    entries = [e for e in made.entries("trailer") if event["at"] <= made.seconds(e) <= event["until"]]
    assert [("net_kg" in entry) for entry in entries] == [True, False]
    assert 60.0 <= event["until"] - event["at"] <= 180.0


def test_fruit_of_another_kind() -> None:
    """A change of load that changes the yield is told, with how much."""
    truth = run(seed=1, **DAY).truth
    loads = truth["loads"]
    told = [event for event in truth["events"] if event["kind"] == "variety"]
    change = 100.0 * (loads[1]["yield_l_per_t"] / loads[0]["yield_l_per_t"] - 1.0)
    assert len(told) == len(loads) - 1
    assert told[0]["how"] == f"yield {change:+.1f} %"


@pytest.mark.parametrize(("seed", "sump"), [(1, False), (2, False), (3, True), (4, True)])
def test_nothing_is_lost_on_such_a_day(seed: int, sump: bool) -> None:
    """Fruit and the water on it leave as juice and pomace, to 1e-9, however often the line stops."""
    truth = run(seed=seed, sump=sump, **DAY).truth
    left = truth["juice_kg"] + truth["juice_lost_kg"] + truth["pomace_kg"]
    assert left == pytest.approx(truth["fruit_kg"] + truth["water_carried_kg"], rel=1e-9)
