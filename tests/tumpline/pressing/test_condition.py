"""What the line is doing, row by row, and which stretches of not pressing are stops."""

import pytest

from tumpline.pressing.condition import Seen, Stops, judge, lasting, time_spent
from tumpline.pressing.records import Condition, StopRecord

STILL = Seen(
    fruit=0.0,
    juice=0.0,
    wash=None,
    milling=False,
    juicing=False,
    slow=False,
    blocked=False,
    starved=False,
)
"""Every meter is heard, and nothing moves."""

ROWS = [
    ("no throughput heard", STILL._replace(fruit=None, milling=True, juicing=True), Condition.UNKNOWN),
    ("blocked while no throughput is heard", STILL._replace(fruit=None, blocked=True), Condition.BLOCKED),
    ("blocked", STILL._replace(blocked=True, juicing=True), Condition.BLOCKED),
    ("starved", STILL._replace(starved=True, juicing=True), Condition.STARVED),
    ("blocked counts before starved", STILL._replace(blocked=True, starved=True), Condition.BLOCKED),
    ("blocked while the juice meter is silent", STILL._replace(blocked=True, juice=None), Condition.BLOCKED),
    ("no juice flow heard", STILL._replace(juice=None, milling=True), Condition.UNKNOWN),
    ("fruit and juice", STILL._replace(milling=True, juicing=True), Condition.PRESSING),
    ("little fruit, and juice", STILL._replace(milling=True, juicing=True, slow=True), Condition.SLOW),
    ("fruit, no juice yet", STILL._replace(milling=True), Condition.FILLING),
    ("little fruit, no juice yet", STILL._replace(milling=True, slow=True), Condition.FILLING),
    ("juice without fruit", STILL._replace(juicing=True), Condition.DRAINING),
    ("neither, belts being washed", STILL._replace(wash=True), Condition.WASHING),
    ("neither, wash off", STILL._replace(wash=False), Condition.STOPPED),
    ("neither, no wash meter", STILL, Condition.STOPPED),
]


@pytest.mark.parametrize(("now", "condition"), [row[1:] for row in ROWS], ids=[row[0] for row in ROWS])
def test_every_observation_is_one_condition(now: Seen, condition: Condition) -> None:
    """The condition is the table's, and it comes with a clause that says from what it was read."""
    found, why = judge(now)
    assert found is condition
    assert why
    assert not why.endswith(".")


def live_through(*spells: tuple[Condition, int]) -> tuple[Stops, float, list[StopRecord]]:
    """So many seconds of each condition after the other, at 1 kg/s; the stops, the time, and all that was told."""
    stops, now, told = Stops(), 0.0, []
    for condition, seconds in spells:
        since = now
        for _ in range(seconds):
            now += 1.0
            told += stops.step(now, condition, since, rate=1.0, stop_after=60.0)
    return stops, now, told


def test_a_stop_is_more_than_a_minute_of_not_pressing() -> None:
    """A minute is not a stop yet; two minutes are one, told when it is long enough and when it ends."""
    _, _, told = live_through((Condition.PRESSING, 100), (Condition.STARVED, 60), (Condition.PRESSING, 10))
    assert told == []
    stops, _, told = live_through((Condition.PRESSING, 100), (Condition.STARVED, 120), (Condition.PRESSING, 10))
    began, ended = told
    assert (began.start, began.end) == (100.0, None)
    assert (ended.id, ended.start, ended.end, ended.condition) == (began.id, 100.0, 220.0, Condition.STARVED)
    assert stops.closed == [ended]


def test_a_stop_says_how_much_fruit_was_not_pressed() -> None:
    """Two minutes at the rate before it."""
    _, _, told = live_through((Condition.PRESSING, 100), (Condition.BLOCKED, 120), (Condition.PRESSING, 10))
    assert told[-1].fruit_not_pressed == pytest.approx(120.0)


def test_getting_ready_is_no_stop() -> None:
    """Before the line has pressed for the first time in a shift there is nothing to stop."""
    assert live_through((Condition.STOPPED, 600), (Condition.FILLING, 60))[2] == []


def test_a_stop_is_named_after_what_the_line_did_most_of_it() -> None:
    """A stop that begins as starved and stays blocked is a blocked one."""
    _, _, told = live_through(
        (Condition.PRESSING, 100), (Condition.STARVED, 70), (Condition.BLOCKED, 200), (Condition.PRESSING, 5)
    )
    assert told[-1].condition is Condition.BLOCKED


def test_not_hearing_a_meter_is_no_stop() -> None:
    """Absence of data is not a line that stands still."""
    assert live_through((Condition.PRESSING, 100), (Condition.UNKNOWN, 600), (Condition.PRESSING, 5))[2] == []


def test_going_home_is_no_stop_and_a_blockage_left_behind_is() -> None:
    """A shift that ends standing or washing simply ended; one that ends blocked ended in a stop."""
    for last in (Condition.STOPPED, Condition.WASHING):
        stops, now, _ = live_through((Condition.PRESSING, 100), (last, 600))
        assert stops.sum_up(now) == ()
    stops, now, _ = live_through((Condition.PRESSING, 100), (Condition.BLOCKED, 600))
    (stop,) = stops.sum_up(now)
    assert (stop.condition, stop.end) == (Condition.BLOCKED, now)


def test_a_reason_may_be_given_while_a_stop_lasts_and_afterwards() -> None:
    """It stays with the stop, and a later one replaces it; a stop nobody knows takes none."""
    stops, _, told = live_through((Condition.PRESSING, 100), (Condition.BLOCKED, 120))
    name = told[0].id
    assert stops.waiting() is not None
    assert stops.give_reason(name, "mill", None, "Ned") is not None
    stops.step(221.0, Condition.PRESSING, 220.0, rate=1.0, stop_after=60.0)
    assert (stops.closed[0].reason, stops.closed[0].by) == ("mill", "Ned")
    assert stops.waiting() is None
    assert stops.give_reason(name, "elevator", "chain off", "Isla") is not None
    assert (stops.closed[0].reason, stops.closed[0].note, stops.closed[0].by) == ("elevator", "chain off", "Isla")
    assert stops.give_reason("stop-7", "mill", None, "Ned") is None


def test_the_last_stop_without_a_reason_waits_for_one() -> None:
    """Once a stop is over somebody is still asked why."""
    stops, _, told = live_through((Condition.PRESSING, 100), (Condition.STARVED, 120), (Condition.PRESSING, 5))
    waiting = stops.waiting()
    assert waiting is not None
    assert waiting.id == told[0].id


SPELLS = [(100.0, Condition.FILLING), (150.0, Condition.PRESSING), (400.0, Condition.DRAINING)]


def test_the_time_spent_sums_to_the_whole() -> None:
    """Each condition until the next; what lies before the first is not known, and any stretch is whole."""
    assert time_spent(SPELLS, 90.0, 500.0) == {
        Condition.UNKNOWN: 10.0,
        Condition.FILLING: 50.0,
        Condition.PRESSING: 250.0,
        Condition.DRAINING: 100.0,
    }
    assert time_spent(SPELLS, 200.0, 300.0) == {Condition.PRESSING: 100.0}
    assert time_spent([], 0.0, 60.0) == {Condition.UNKNOWN: 60.0}


def test_a_new_shift_remembers_the_spell_it_begins_in() -> None:
    """Earlier ones are forgotten."""
    assert lasting(SPELLS, 200.0) == SPELLS[1:]
    assert lasting(SPELLS, 50.0) == SPELLS
    assert lasting([], 50.0) == []


def test_a_stop_belongs_to_the_shift_it_began_in() -> None:
    """A shift that turns out to have ended earlier hands the later stops on."""
    stops = Stops(
        [StopRecord("stop-1", 100.0, 200.0, Condition.BLOCKED), StopRecord("s", 300.0, 400.0, Condition.SLOW)]
    )
    later = stops.split(250.0)
    assert [s.start for s in stops.closed] == [100.0]
    assert [s.start for s in later.closed] == [300.0]
