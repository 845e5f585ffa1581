"""What is left of a season, worked out by hand and held against a plain oracle."""

from dataclasses import dataclass
from random import Random

import pytest
from hypothesis import given
from hypothesis import strategies as st
from scipy.stats import linregress

from tumpline.pressing.plan import Ahead, Plan, Pressed, outcome, plan, rate_effect
from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.records import Unknown

TONNES_AN_HOUR = 1000.0 / 3600.0
HOUR = 3600.0


@dataclass(frozen=True)
class Fruit:
    """Loads of 4 t at rates around 4 t/h that yield 0.7 m³/t, and less the faster they are pressed."""

    tilt: float = -0.02e-3
    """m³/kg for one t/h."""
    scatter: float = 0.0

    def loads(self, *rates: float, seed: int = 1) -> list[Pressed]:
        """One load at each rate, t/h."""
        rng = Random(seed)
        return [
            Pressed(4000.0, rate * TONNES_AN_HOUR, 0.7e-3 + self.tilt * (rate - 4.0) + rng.gauss(0.0, self.scatter))
            for rate in rates
        ]


RATES = (3.0, 3.2, 3.5, 3.8, 4.0, 4.2, 4.5, 4.8, 5.0)


def ahead(**changes: float) -> Ahead:
    """320 t over 10 days, 8 h of pressing a day, 200 m³ of room, no spoilage unless told otherwise."""
    known: dict[str, float] = {
        "to_come": 320e3,
        "days": 10,
        "shift_time": 8.0 * HOUR,
        "spoilt_a_day": 0.0,
        "room": 200.0,
    }
    known |= changes
    room = Estimate(known.pop("room"), (limits("dips of the vats", 2.0),))
    return Ahead(room=room, days=int(known.pop("days")), **known)


def made(found: Plan | Unknown) -> Plan:
    """A plan that could be made."""
    assert isinstance(found, Plan)
    return found


def test_a_season_without_spoilage_presses_all_its_fruit() -> None:
    """
    320 t at 4 t/h for 8 h a day are 32 t a day: 10 shifts in 10 days, 320 x 0.7 = 224 m³; the vats are full after
    200/22.4 = 8.93 shifts (own arithmetic).
    """
    found = made(plan(ahead(), Fruit().loads(*RATES)))
    assert found.now.juice == pytest.approx(224.0)
    assert (found.now.shifts, found.now.days, found.now.spoilt) == (pytest.approx(10.0), 10, 0.0)
    assert isinstance(found.full_after, Estimate)
    assert found.full_after.value == pytest.approx(8.929, abs=1e-3)
    assert found.now.full_after == pytest.approx(found.full_after.value)


def test_without_spoilage_the_slowest_rate_gives_most() -> None:
    """Nothing is lost by waiting: at 3 t/h the yield is 720 L/t, 320 x 0.02 = 6.4 m³ more, in 14 days."""
    found = made(plan(ahead(), Fruit().loads(*RATES)))
    assert found.best.rate == pytest.approx(3.0 * TONNES_AN_HOUR)
    assert (found.best.juice, found.best.days) == (pytest.approx(320.0 * 0.72), 14)
    assert isinstance(found.gain, Estimate)
    assert found.gain.value == pytest.approx(6.4)


def test_spoilage_makes_hurry_worth_its_litres() -> None:
    """At 5 % a day waiting costs more than pressing slowly gains: the best rate lies where little waits."""
    quick, slow = (made(plan(ahead(spoilt_a_day=rate), Fruit().loads(*RATES))).best.rate for rate in (0.05, 0.0))
    assert quick > slow
    assert quick == pytest.approx(4.0 * TONNES_AN_HOUR, rel=0.03)


def test_fruit_that_waits_spoils_by_the_day() -> None:
    """
    60 t wait and none come; 32 t a day at 4 t/h: 28 t wait the night and lose 10 %, 25.2 are pressed: 57.2 of 60 t
    (own arithmetic).
    """
    effect = rate_effect(Fruit().loads(*RATES))
    assert not isinstance(effect, Unknown)
    found = outcome(ahead(to_come=0.0, waiting=60e3, spoilt_a_day=0.1, days=0), effect, 4.0 * TONNES_AN_HOUR)
    assert (found.pressed, found.spoilt, found.days) == (pytest.approx(57.2e3), pytest.approx(2.8e3), 2)
    assert found.full_after is None


def test_the_effect_of_the_rate_is_a_least_squares_line() -> None:
    """Slope and its standard error as scipy has them, for loads of one size."""
    loads = Fruit(scatter=0.01e-3).loads(*RATES)
    effect = rate_effect(loads)
    assert not isinstance(effect, Unknown)
    oracle = linregress([p.rate for p in loads], [p.extraction for p in loads])
    assert isinstance(effect.slope, Estimate)
    assert effect.slope.value == pytest.approx(oracle.slope)
    assert effect.slope.u == pytest.approx(oracle.stderr)


def test_what_the_loads_do_not_show_is_not_said() -> None:
    """Rates that hardly differ, or too few loads: no best rate, and why; vats and shifts are told all the same."""
    for loads in (Fruit().loads(*[4.0] * 9, 4.01), Fruit().loads(3.0, 4.0, 5.0)):
        found = made(plan(ahead(), loads))
        assert isinstance(found.gain, Unknown)
        assert "at rates that differ" in found.gain.why
        assert found.outcomes == (found.now,)
        assert isinstance(found.full_after, Estimate)
    assert isinstance(plan(ahead(), Fruit().loads(4.0)), Unknown)


def test_a_gain_that_rests_on_scatter_is_not_sure() -> None:
    """Loads that scatter by 5 % with no effect of the rate: the interval of the gain holds zero."""
    found = made(plan(ahead(), Fruit(tilt=0.0, scatter=0.035e-3).loads(*RATES, *RATES)))
    assert isinstance(found.gain, Estimate)
    assert found.gain.figure().low <= 0.0


def test_vats_of_unknown_room_are_not_said_to_have_any() -> None:
    """Then nobody knows when they are full."""
    unknown = Ahead(to_come=1e5, days=5, room=Unknown("no vat's capacity is known"), shift_time=8.0 * HOUR)
    found = made(plan(unknown, Fruit().loads(*RATES)))
    assert (found.full_after, found.now.full_after) == (unknown.room, None)


def test_its_assumptions_are_part_of_it() -> None:
    """Whoever reads the figure reads what it rests on."""
    words = " ".join(made(plan(ahead(waiting=5e3, spoilt_a_day=0.015), Fruit().loads(*RATES))).assumptions)
    for said in ("320 t still come, evenly over 10 days; 5.0 t wait", "8.0 h", "1.5 % is lost", "3.00 to 5.00 t/h"):
        assert said in words


@given(st.floats(0.0, 5e5), st.integers(1, 60), st.floats(0.0, 1e5), st.floats(0.0, 0.2), st.floats(2.0, 6.0))
def test_fruit_is_pressed_or_spoilt_and_nothing_else(
    to_come: float, days: int, waiting: float, spoilt: float, rate: float
) -> None:
    """What came and what waited is what was pressed and what was lost, to the last kilogram."""
    effect = rate_effect(Fruit().loads(*RATES))
    assert not isinstance(effect, Unknown)
    season = ahead(to_come=to_come, days=days, waiting=waiting, spoilt_a_day=spoilt)
    found = outcome(season, effect, rate * TONNES_AN_HOUR)
    assert found.pressed + found.spoilt == pytest.approx(to_come + waiting, abs=1.001, rel=1e-9)
