"""The air on the press belts."""

import math
from itertools import pairwise

import pytest

from looks import IDLE, LINE, NORMAL, Spell, seconds
from tumpline.pressing.watches.air import AirWatch
from tumpline.pressing.watches.feed import Feed
from tumpline.pressing.watches.verdict import Verdict

USUAL = 4.5e5  # Pa


def air(*spells: Spell) -> tuple[Verdict, Verdict, float | None]:
    """What is said of low and of high air at the end, and how many seconds after the usual something first was."""
    watch, feed, first = AirWatch(), Feed(), None
    low = high = Verdict(False)
    for look in seconds(*spells):
        feed.step(look, LINE)
        low, high = watch.step(look, feed, (LINE.watches["pressure-low"], LINE.watches["pressure-high"]))
        if first is None and (low.active or high.active):
            first = look.at - 400.0
    return low, high, first


def at(pressure: float, count: int) -> Spell:
    """So many seconds of pressing at this pressure, Pa."""
    return NORMAL._replace(pressure=pressure), count


def lost(*, rest: float, seconds_: float, count: int) -> list[Spell]:
    """Air that runs away until that share of it is left."""
    return [at(USUAL * (rest + (1.0 - rest) * math.exp(-n / seconds_)), 1) for n in range(count)]


def test_air_that_is_being_lost_is_told_before_it_is_under_the_limit() -> None:
    """A burst line is told within half a minute, long before a tenth of the pressure is gone."""
    low, _, first = air(*lost(rest=0.5, seconds_=90.0, count=60))
    assert low.active
    assert first is not None and first < 15.0
    assert "falling by" in low.cause
    assert (low.unit, low.limit) == ("bar", pytest.approx(0.9 * 4.5, rel=0.01))


def test_air_that_sags_slowly_is_a_leak() -> None:
    """Half an hour from full to four fifths: told when under the limit, as a leak, and not as a burst."""
    low, _, _ = air(*[at(USUAL * (1.0 - 0.2 * n / 1800.0), 1) for n in range(1800)])
    assert low.active
    assert "sagged over" in low.cause
    assert "leaking line" in low.cause


def test_air_that_is_back_ends_it() -> None:
    """Over 94 % of the usual again."""
    assert air(*lost(rest=0.5, seconds_=90.0, count=120), at(USUAL, 60))[0].active is False


def test_air_above_the_usual_is_told_after_a_quarter_of_a_minute() -> None:
    """A regulator that overshoots for some seconds is none."""
    assert air(at(1.15 * USUAL, 14))[1].active is False
    high = air(at(1.15 * USUAL, 25))[1]
    assert high.active
    assert "115 % of the usual" in high.cause


def test_a_regulator_that_hunts_is_no_leak() -> None:
    """Three per cent up and down every minute, for ever."""
    swing = [at(USUAL * (1.0 + 0.02 * math.sin(n / 10.0)), 1) for n in range(1200)]
    assert air(*swing)[2] is None


def times_told_low(*spells: Spell, every: float = 1.0) -> int:
    """How often low air is told anew, by a transmitter that reads every so many seconds."""
    watch, feed, said, read = AirWatch(), Feed(), [False], [USUAL, USUAL]
    for look in seconds(*spells):
        if look.at % every == 0.0 and look.pressure is not None:
            read = [read[1], look.pressure]
        feed.step(look, LINE)
        seen = look._replace(pressure=read[1], pressure_before=read[0])
        low, _ = watch.step(seen, feed, (LINE.watches["pressure-low"], LINE.watches["pressure-high"]))
        said.append(low.active)
    return sum(now and not before for before, now in pairwise(said))


def test_one_reading_that_stands_apart_is_no_leak() -> None:
    """A transmitter that reads every ten seconds has to say so twice."""
    assert times_told_low(at(USUAL, 9), at(0.85 * USUAL, 10), at(USUAL, 60), every=10.0) == 0
    assert times_told_low(at(USUAL, 9), at(0.85 * USUAL, 60), every=10.0) == 1


def test_a_slow_leak_is_one_alarm() -> None:
    """Air that goes on falling, now slower and now faster, is told once; one that stays where it fell to ends."""
    leak = [at(USUAL * (1.0 - 4e-4 * n + 0.008 * math.sin(n / 25.0)), 1) for n in range(150)]
    assert times_told_low(*leak) == 1
    assert air(*lost(rest=0.95, seconds_=20.0, count=200))[0].active
    assert not air(*lost(rest=0.95, seconds_=20.0, count=450))[0].active


def test_air_let_go_in_a_break_is_no_fault() -> None:
    """Nothing is pressed, so nothing is missed; and what was told before ends when people have gone."""
    no_air = IDLE._replace(pressure=0.0)
    assert air((IDLE, 5), (no_air, 900))[2] is None
    assert air(*lost(rest=0.5, seconds_=90.0, count=60), (no_air, 300))[0].active
    assert not air(*lost(rest=0.5, seconds_=90.0, count=60), (no_air, 700))[0].active


def test_a_pressure_set_anew_while_the_line_stood_is_the_usual() -> None:
    """After a night the first minute says what people have set; after a break it is low as ever."""
    off = IDLE._replace(pressure=0.0)
    assert air((off, 4 * 3600 + 10), at(0.8 * USUAL, 300))[2] is None
    assert air((off, 700), at(0.8 * USUAL, 300))[0].active


def test_what_a_doubtful_transmitter_read_does_not_count_afterwards() -> None:
    """At the end of its range, then doubted, then itself again: nothing was high."""
    assert air(at(2.0 * USUAL, 8), (NORMAL._replace(pressure=None), 300), at(USUAL, 60))[2] is None


def test_without_a_pressure_nothing_is_said() -> None:
    """A transmitter that is not heard says nothing about the air."""
    assert air((NORMAL._replace(pressure=None), 60))[2] is None
