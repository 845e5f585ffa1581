"""The fruit into the mill: running, collapsed, how fast, and what the motor says of it."""

import pytest
from msgspec import structs

from looks import BLOCKED, IDLE, LINE, NORMAL, RATED, RUN_OUT, TRIPPED, UNMETERED, Spell, feed_after, seconds, thinning
from tumpline.pressing.params import Accuracy, Quantity, SignalParams
from tumpline.pressing.watches.feed import Feed


def test_fruit_that_stops_is_a_collapse_and_fruit_that_comes_back_ends_it() -> None:
    """A flicker does not end it, five seconds do."""
    assert feed_after((IDLE, 2))[1].collapsed_at is not None
    assert feed_after((IDLE, 10), (NORMAL, 3), (IDLE, 1))[1].collapsed_at is not None
    assert feed_after((IDLE, 10), (NORMAL, 6))[1].collapsed_at is None


def test_fruit_that_comes_back_slowly_has_come_back_after_a_minute() -> None:
    """A line brought up at four tenths of its feed is not without fruit for ever."""
    slow = NORMAL._replace(fruit=0.4)
    assert feed_after((IDLE, 10), (slow, 40))[1].collapsed_at is not None
    assert feed_after((IDLE, 10), (slow, 65))[1].runs


@pytest.mark.parametrize(("fall", "fast"), [(1, True), (3, True), (4, True), (6, False), (12, False)])
def test_a_fall_is_timed_between_the_readings(fall: int, fast: bool) -> None:
    """A mill that blocks takes four seconds at the most, fruit that runs out takes longer."""
    _, feed = feed_after(*thinning(UNMETERED, fall), (UNMETERED._replace(fruit=0.0), 3))
    assert feed.fell == pytest.approx(fall, abs=0.3)
    assert feed.fell_fast is fast


def test_the_last_handful_of_a_load_does_not_make_its_end_a_fast_one() -> None:
    """A single reading of fruit after it has thinned out is not a mill that ran as usual."""
    _, feed = feed_after(*thinning(UNMETERED, 20)[:14], (UNMETERED, 1), (UNMETERED._replace(fruit=0.0), 3))
    assert not feed.fell_fast


def test_a_fall_that_nobody_heard_may_have_been_as_fast_as_any() -> None:
    """Half a minute without readings, and then none of the fruit; over minutes it is no news any more."""
    for silent, fast in ((30, True), (90, False)):
        _, feed = feed_after((UNMETERED._replace(fruit=None), silent), (UNMETERED._replace(fruit=0.0), 2))
        assert feed.fell_fast is fast


@pytest.mark.parametrize("fall", [3, 15])
def test_readings_that_come_five_at_a_time_time_a_fall_as_single_ones_do(fall: int) -> None:
    """Each has its own time, whenever it arrives."""
    feed, last, held = Feed(), UNMETERED, [(0.0, 1.0)]
    for look in seconds(*thinning(UNMETERED, fall), (UNMETERED._replace(fruit=0.0), 12)):
        held += look.fruit_taken
        if look.at % 5.0 == 0.0:
            last, held = look._replace(fruit=held[-1][1], fruit_taken=tuple(held)), []
        feed.step(last._replace(at=look.at), LINE)
        last = last._replace(fruit_taken=())
    assert feed.fell == pytest.approx(fall, abs=0.3)


@pytest.mark.parametrize(
    ("spells", "motor"),
    [
        ([(BLOCKED, 3)], "high"),
        ([(BLOCKED, 3), (TRIPPED, 20)], "high"),
        ([(NORMAL._replace(current_peak=60.0), 1), (IDLE, 5)], "high"),
        ([(IDLE._replace(current=None, current_peak=float("inf")), 3)], "high"),
        ([(IDLE, 10)], "idle"),
        ([(TRIPPED, 10)], "off"),
        ([(UNMETERED._replace(fruit=0.0), 10)], "unknown"),
    ],
    ids=["high", "high, then tripped", "a peak just before", "beyond the meter", "idle", "off", "no meter"],
)
def test_the_motor_says_why_no_fruit_goes_in(spells: list[Spell], motor: str) -> None:
    """High, idle, off, or nothing at all; a current that its meter could not read is high."""
    look, feed = feed_after(*spells)
    assert feed.motor(look) == motor


@pytest.mark.parametrize(("look", "run_out"), [(IDLE, False), (RUN_OUT, True), (IDLE._replace(left=None), None)])
def test_a_load_milled_to_its_weight_has_run_out(look: object, run_out: bool | None) -> None:
    """With tonnes to come it has not, and where no load is known nobody knows."""
    assert feed_after((look, 3))[1].run_out is run_out  # type: ignore[arg-type]  # the table's looks


def test_a_meter_with_limits_in_share_of_its_span_is_off_for_as_long_as_it_mills() -> None:
    """A hundredth of its span all through ten tonnes is 200 kg, which may have been milled besides."""
    meter = SignalParams("mill/throughput", Quantity.MASS_FLOW, 0.0, 2.0 * RATED, Accuracy(fixed=0.02 * RATED))
    line = structs.replace(LINE, signals=(meter,))
    for left, run_out in ((220.0, True), (300.0, False)):
        assert feed_after((IDLE._replace(left=left), 3), line=line)[1].run_out is run_out


def test_what_nobody_heard_of_a_load_may_have_been_its_end() -> None:
    """The mill's meter was not heard for 300 kg of it, give or take 100, and 250 kg seem to be left."""
    left = IDLE._replace(left=250.0, hidden=100.0)
    assert feed_after((left, 3))[1].run_out
    assert not feed_after((left._replace(hidden=0.0), 3))[1].run_out


def test_what_was_milled_is_known_some_seconds_later() -> None:
    """A load whose last fruit is only booked after the collapse has run out all the same; the next load has not."""
    assert feed_after((IDLE._replace(left=400.0), 5), (RUN_OUT, 3))[1].run_out
    assert not feed_after((IDLE, 5), (IDLE._replace(left=20.0, net=1500.0), 3))[1].run_out


def test_a_load_ends_as_loads_end_here() -> None:
    """Where the loads before straggled in, one that is gone within seconds near its end has not run out."""
    last, gone = UNMETERED._replace(left=20.0), UNMETERED._replace(fruit=0.0, left=20.0)
    assert feed_after((last, 60), (gone, 3))[1].finished
    straggled = (*thinning(last, 15), (gone, 60), (UNMETERED, 60))
    assert not feed_after(*straggled, (last, 60), (gone, 3))[1].finished
    assert feed_after(*straggled, *thinning(last, 15), (gone, 3))[1].finished


def test_a_fall_is_fast_against_the_ends_of_loads_where_those_take_minutes() -> None:
    """A meter that is damped draws a blocked mill out over some seconds; the fruit of a load does not end in those."""
    last, gone = UNMETERED._replace(left=20.0), (UNMETERED._replace(fruit=0.0), 3)
    assert not feed_after(*thinning(UNMETERED, 8), gone)[1].fell_fast
    minutes = (*thinning(last, 90), (last._replace(fruit=0.0), 60), (UNMETERED, 60))
    assert feed_after(*minutes, *thinning(UNMETERED, 8), gone)[1].fell_fast
    assert not feed_after(*minutes, *thinning(UNMETERED, 13), gone)[1].fell_fast
    seconds_ = (*thinning(last, 15), (last._replace(fruit=0.0), 60), (UNMETERED, 60))
    assert not feed_after(*seconds_, *thinning(UNMETERED, 8), gone)[1].fell_fast


def test_water_is_judged_by_what_the_pump_was_set_to() -> None:
    """It brings fruit above six tenths of that; under a twentieth the pump stands."""
    for water, runs, stands in ((0.02, True, False), (0.008, False, False), (0.0, False, True)):
        look, feed = feed_after((IDLE._replace(water=water), 5))
        assert (feed.water_runs(look), feed.water_stands(look)) == (runs, stands)
    look, feed = feed_after((IDLE._replace(water=None), 5))
    assert feed.water_runs(look) is None


def test_a_line_is_brought_up_after_it_stood_for_long() -> None:
    """The first five minutes after an hour without fruit are a start-up, and those after a break are none."""
    look, feed = feed_after((IDLE, 3700), (NORMAL, 60))
    assert feed.starting(look.at)
    look, feed = feed_after((IDLE, 1200), (NORMAL, 60))
    assert not feed.starting(look.at)


def test_a_current_that_becomes_usual_is_usual() -> None:
    """Harder fruit draws more, and after some minutes that is no sign of anything."""
    hard = NORMAL._replace(current=24.5, current_peak=24.5)
    look, feed = feed_after((hard, 600), (IDLE, 5))
    assert feed.motor(look) == "idle"
