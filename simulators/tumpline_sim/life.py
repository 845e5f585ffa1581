"""What happens on an ordinary day and is no fault: start-up, breaks, washing, hard fruit, a slow feed.

They only change causes, as faults do; the physics shows the effects. Sizes and times are common practice, no source.
"""

from __future__ import annotations

from collections.abc import Callable
from random import Random

from tumpline_sim.faults import Act, Effects, Fault

_RAMP_S = 30.0
_WATER_FIRST_S = 15.0


def _start_up(rng: Random) -> tuple[float, Act, str | None]:
    """The first minutes: the feed is brought up slowly; water and fruit are stopped once to look at the belts."""
    lasts, first, fall = rng.uniform(180.0, 480.0), rng.uniform(0.35, 0.6), rng.uniform(8.0, 20.0)
    pause_at, pause = rng.uniform(60.0, 150.0), rng.uniform(20.0, 60.0)

    def act(since: float, effects: Effects) -> None:
        paused = since - pause_at
        if 0.0 <= paused < pause:
            effects.feed = min(effects.feed, first * max(0.0, 1.0 - paused / fall))
            effects.flume_stopped = effects.flume_stopped or paused < pause - _WATER_FIRST_S
        else:
            effects.feed = min(effects.feed, first + (1.0 - first) * since / lasts)

    return lasts, act, None


def _stopping(lasts: float, *, rng: Random, stands: bool, also: Callable[[Effects], None] = lambda _: None) -> Act:
    """People stop the line: water first, fruit as the elevator runs out, then the mill; or all of it as it stands."""
    fall, mill_off, lead = rng.uniform(8.0, 20.0), rng.uniform(40.0, 120.0), rng.uniform(15.0, 25.0)

    def act(since: float, effects: Effects) -> None:
        effects.feed = min(effects.feed, 0.0 if stands else max(0.0, 1.0 - since / fall))
        # The mill and the water run again a little before the fruit is back.
        going = since > lasts - lead
        effects.flume_stopped = effects.flume_stopped or not going
        effects.mill_stopped = not going and (stands or since > mill_off)
        effects.stands = stands and not going
        also(effects)

    return act


def _break(rng: Random) -> tuple[float, Act, str | None]:
    lasts = rng.uniform(600.0, 1200.0)
    return lasts, _stopping(lasts, rng=rng, stands=False), "the line run empty first"


def _standstill(rng: Random) -> tuple[float, Act, str | None]:
    lasts = rng.uniform(600.0, 1200.0)
    return lasts, _stopping(lasts, rng=rng, stands=True), "the line stopped as it stood, fruit and all"


def _trailer_change(rng: Random) -> tuple[float, Act, str | None]:
    def change(effects: Effects) -> None:
        effects.trailer_change = True

    lasts = rng.uniform(60.0, 180.0)
    return lasts, _stopping(lasts, rng=rng, stands=rng.random() < 0.5, also=change), None


def _washing(rng: Random) -> tuple[float, Act, str | None]:
    def wash(effects: Effects) -> None:
        effects.wash = 1.7

    lasts = rng.uniform(480.0, 900.0)
    return lasts, _stopping(lasts, rng=rng, stands=False, also=wash), "between two loads"


def _hard_fruit(rng: Random) -> tuple[float, Act, str | None]:
    lasts, current, feed = rng.uniform(600.0, 2400.0), rng.uniform(1.15, 1.25), rng.uniform(0.75, 0.9)

    def act(since: float, effects: Effects) -> None:
        share = _in_and_out(since, lasts)
        effects.mill_load = 1.0 + (current - 1.0) * share
        effects.feed = min(effects.feed, 1.0 - (1.0 - feed) * share)

    return lasts, act, "cold, hard fruit"


def _slow_feed(rng: Random) -> tuple[float, Act, str | None]:
    lasts, feed = rng.uniform(240.0, 900.0), rng.uniform(0.4, 0.75)

    def act(since: float, effects: Effects) -> None:
        effects.feed = min(effects.feed, 1.0 - (1.0 - feed) * _in_and_out(since, lasts))

    return lasts, act, None


def _belt_speed(rng: Random) -> tuple[float, Act, str | None]:
    lasts, speed = rng.uniform(600.0, 2400.0), rng.choice((rng.uniform(0.85, 0.93), rng.uniform(1.07, 1.18)))

    def act(_since: float, effects: Effects) -> None:
        effects.belts = speed

    return lasts, act, "faster" if speed > 1.0 else "slower"


def _in_and_out(since: float, lasts: float) -> float:
    return max(0.0, min(1.0, since / _RAMP_S, (lasts - since) / _RAMP_S))


KINDS: dict[str, tuple[float, Callable[[Random], tuple[float, Act, str | None]]]] = {
    "break": (0.3, _break),
    "standstill": (0.2, _standstill),
    "trailer-change": (0.4, _trailer_change),
    "washing": (0.4, _washing),
    "hard-fruit": (0.4, _hard_fruit),
    "slow-feed": (0.6, _slow_feed),
    "belt-speed": (0.5, _belt_speed),
}
"""How often in two hours, and what it does. `start-up` comes once a shift, with the first fruit."""


def plan_life(rng: Random, *, first: float, last: float) -> list[Fault]:
    """The day's events between the first fruit and `last` (s since the shift began)."""
    events = [_event("start-up", first, _start_up(rng))] if rng.random() < 0.8 else []
    often = (last - first) / 7200.0
    for kind, (share, make) in KINDS.items():
        if rng.random() < share * often:
            events.append(_event(kind, rng.uniform(first + 600.0, max(last, first + 700.0)), make(rng)))
    return sorted(events, key=lambda event: event.planned)


def _event(kind: str, planned: float, made: tuple[float, Act, str | None]) -> Fault:
    lasts, act, how = made
    return Fault(kind, planned, lasts, act, how=how)
