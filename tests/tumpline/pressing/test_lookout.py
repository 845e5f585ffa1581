"""What a line can see: fresh values only, and no flicker between milling and not milling."""

from press_stories import RATED, START, params
from tumpline.pressing import lookout
from tumpline.pressing import state as states
from tumpline.pressing.attribution import Portion
from tumpline.pressing.entries import Load, LoadOn, Variety
from tumpline.pressing.ledger import Ledger
from tumpline.pressing.params import Accuracy, Quantity, SignalParams

WASH = SignalParams("press/wash-pressure", Quantity.PRESSURE, 0.0, 10e5, Accuracy(fixed=2000.0))


def hearing(**readings: float) -> states.State:
    """A line that has just heard these; `mill_throughput=1.0` is `mill/throughput`."""
    state = states.fresh(params(WASH))
    for name, value in readings.items():
        station, quantity = name.split("_", 1)
        state.signals[f"{station}/{quantity.replace('_', '-')}"].take(START, value, 5.0)
    return state


def test_a_value_is_seen_while_it_is_fresh() -> None:
    """Ten seconds after its last reading a signal is not seen any more, and one never heard or not fitted never is."""
    state, line = hearing(juice_flow=0.0008), params(WASH)
    assert lookout.value(state, line, "juice/flow", START + 10.0) == 0.0008
    assert lookout.value(state, line, "juice/flow", START + 11.0) is None
    assert lookout.value(state, line, "flume/flow", START) is None
    assert lookout.value(state, line, "pulp/level", START) is None


def test_only_what_was_heard_once_can_be_lost() -> None:
    """A signal that never spoke is not one that fell silent."""
    assert lookout.look(hearing(juice_flow=0.0008), params(WASH), START + 60.0).unheard == ("juice/flow",)


def test_a_short_peak_of_the_current_is_not_missed() -> None:
    """A look sees the highest reading since the look before, once."""
    state, line = hearing(mill_current=18.0), params(WASH)
    state.signals["mill/current"].take(START + 0.3, 55.0, 5.0)
    state.signals["mill/current"].take(START + 0.6, 19.0, 5.0)
    seen = lookout.look(state, line, START + 1.0)
    assert (seen.current, seen.current_peak) == (19.0, 55.0)
    assert lookout.look(state, line, START + 2.0).current_peak is None


def test_every_reading_of_the_fruit_is_seen_once_however_many_come_together() -> None:
    """A transmitter that sends several at once shows all of them, each with its time."""
    state, line = hearing(mill_throughput=1.0), params(WASH)
    mill, feed = state.signals["mill/throughput"], state.watches.feed
    feed.step(lookout.look(state, line, START + 1.0), line)
    for second in (1.0, 2.0, 3.0):
        mill.take(START + second, 1.0 - 0.1 * second, 5.0)
    seen = lookout.look(state, line, START + 3.0)
    assert seen.fruit_taken == ((START + 1.0, 0.9), (START + 2.0, 0.8), (START + 3.0, 0.7))
    feed.step(seen, line)
    assert lookout.look(state, line, START + 4.0).fruit_taken == ()


def test_what_is_left_of_a_load_is_its_weight_less_what_was_milled() -> None:
    """With no load known nothing is left or gone."""
    state, line = hearing(mill_throughput=RATED), params(WASH)
    nothing = lookout.look(state, line, START)
    assert (nothing.left, nothing.net, nothing.load_on) == (None, None, None)
    state.book.write(START - 60.0, Load("41", "Long Acre", 4000.0, (Variety("sharp", 1.0),)))
    state.book.write(START - 60.0, LoadOn("41"))
    loaded = lookout.look(state, line, START)
    assert (loaded.left, loaded.net, loaded.load_on) == (4000.0, 4000.0, START - 60.0)


def test_what_no_bin_holds_yet_is_milled_too() -> None:
    """While bins wait for another meter, what is left goes on getting less at the rate of the last minute."""
    state, line = hearing(mill_throughput=RATED), params(WASH)
    state.book.write(START - 60.0, Load("41", "Long Acre", 4000.0, (Variety("sharp", 1.0),)))
    state.book.write(START - 60.0, LoadOn("41"))
    state.ledger, state.throughput, state.watches.feed.flowed_at = Ledger(START - 100.0), 2.0, START - 10.0
    assert lookout.look(state, line, START).left == 3820.0


def test_what_the_mills_meter_missed_of_a_load_may_hide_its_end() -> None:
    """What may have been milled while it was not heard is seen beside what is left."""
    state, line = hearing(mill_throughput=RATED), params(WASH)
    state.book.write(START - 60.0, Load("41", "Long Acre", 4000.0, (Variety("sharp", 1.0),)))
    state.book.write(START - 60.0, LoadOn("41"))
    state.attribution.portions["41"] = Portion(fruit=1000.0, fruit_hidden=50.0)
    seen = lookout.look(state, line, START)
    assert (seen.left, seen.hidden) == (3000.0, 50.0)


def test_milling_begins_higher_than_it_ends() -> None:
    """At eight hundredths of the rated throughput a mill that ran still runs, and one that stood still stands."""
    line = params(WASH)
    state = hearing(mill_throughput=0.08 * RATED)
    assert not lookout.observe(state, line, lookout.look(state, line, START), blocked=False, starved=False).milling
    state.milling = True
    assert lookout.observe(state, line, lookout.look(state, line, START), blocked=False, starved=False).milling


def test_the_belt_wash_is_on_when_there_is_pressure_in_it() -> None:
    """Two bar are a wash, a tenth of a bar is none, and without a meter nobody knows."""
    line = params(WASH)
    for state, washing in (
        (hearing(press_wash_pressure=2e5), True),
        (hearing(press_wash_pressure=1e4), False),
        (hearing(), None),
    ):
        assert (
            lookout.observe(state, line, lookout.look(state, line, START), blocked=False, starved=False).wash is washing
        )


def test_a_level_near_the_bottom_of_its_range_says_nothing() -> None:
    """A gauge whose zero may be 60 L off shows an empty vat and one with 60 L alike; from 120 L on it counts."""
    gauge = SignalParams("vat/A/volume", Quantity.VOLUME, 0.0, 20.0, Accuracy(fixed=0.06))
    line = params(gauge)
    for volume, told in ((0.0, None), (0.1, None), (0.2, 0.2)):
        state = states.fresh(line)
        state.signals["vat/A/volume"].take(START + 2.0, volume, 5.0)
        assert lookout.level(state, line, "A", START + 5.0) == told
    assert lookout.level(states.fresh(params()), params(), "A", START + 5.0) is None
