"""Which fruit became which juice: everything is given away once, to those whose it is."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from press_stories import params
from tumpline.pressing.attribution import Attribution, Way
from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.entries import LoadOn, Trailer, Vat
from tumpline.pressing.ledger import Flow, Ledger, PumpMark
from tumpline.pressing.residence import BIN, Transport, aligned

_TRANSPORT = Transport(40.0, 15.0, 10.0)
WAY = Way(_TRANSPORT, pumped=False, params=params())
PUMPED = WAY._replace(pumped=True)
amounts = st.lists(st.floats(0.0, 10.0), min_size=60, max_size=60)


def ledger_of(fruit: list[float], juice: list[float], pomace: list[float] | None = None) -> Ledger:
    """A closed ledger from time zero with these amounts per bin."""
    none = [0.0] * len(fruit)
    return Ledger(0.0, Flow(fruit), Flow(juice), Flow(pomace or none), Flow(none), [-1.0] * len(fruit), none)


def two_loads(change: float) -> Book:
    """Load 41 from the start, 42 put on at `change`."""
    book = Book()
    book.write(-60.0, LoadOn("41"))
    book.write(change, LoadOn("42"))
    return book


@settings(max_examples=25, derandomize=True, deadline=None)
@given(fruit=amounts, juice=amounts, change=st.floats(0.0, 60 * BIN), vat=st.floats(0.0, 60 * BIN))
def test_everything_is_given_away_once(fruit: list[float], juice: list[float], change: float, vat: float) -> None:
    """Whatever the flows and switches: the loads' fruit and juice, and the vats' juice, sum to the ledger's."""
    book = two_loads(change)
    book.to_vat.add(-60.0, "A")
    book.to_vat.add(vat, "B")
    given_away = Attribution()
    given_away.extend(ledger_of(fruit, juice, fruit), book, WAY)
    loads = given_away.portions.values()
    assert math.fsum(p.fruit for p in loads) == pytest.approx(math.fsum(fruit))
    assert math.fsum(p.juice for p in loads) == pytest.approx(math.fsum(juice))
    assert math.fsum(p.pomace for p in loads) == pytest.approx(math.fsum(fruit))
    assert math.fsum(p.aligned for p in loads) == pytest.approx(math.fsum(given_away.aligned), abs=1e-4)
    assert math.fsum(v for pour in given_away.pours.stretches for v in pour.parts.values()) == pytest.approx(
        math.fsum(juice)
    )


@settings(max_examples=10, derandomize=True, deadline=None)
@given(fruit=amounts, cuts=st.lists(st.integers(1, 59), max_size=4))
def test_giving_away_bit_by_bit_is_giving_away_at_once(fruit: list[float], cuts: list[int]) -> None:
    """A ledger that grows gives the same shares as one read anew."""
    book, whole = two_loads(140.0), Attribution()
    whole.extend(ledger_of(fruit, fruit), book, WAY)
    growing = Attribution()
    for upto in [*sorted(cuts), 60]:
        growing.extend(ledger_of(fruit[:upto], fruit[:upto]), book, WAY)
    assert growing == whole


def test_after_a_change_of_load_the_juice_is_still_the_old_load_s() -> None:
    """Right after the change all juice is the first load's, minutes later all of it the second's, between them both."""
    fruit = [5.0] * 120
    before = {}
    for bins in (60, 64, 75, 110):
        given_away = Attribution()
        given_away.extend(ledger_of(fruit[:bins], fruit[:bins]), two_loads(60 * BIN), WAY)
        last = given_away.owners[-1]
        before[bins] = last.get("41", 0.0) if isinstance(last, dict) else float(last == "41")
    assert before[60] == pytest.approx(1.0)
    assert before[64] == pytest.approx(1.0)
    assert 0.05 < before[75] < 0.95
    assert before[110] < 0.001


def test_what_drips_from_an_empty_press_belongs_to_the_last_fruit() -> None:
    """Long after the fruit has gone through, juice and pomace are still somebody's."""
    fruit = [5.0] * 30 + [0.0] * 90
    given_away = Attribution()
    given_away.extend(ledger_of(fruit, [1.0] * 120), two_loads(500.0), WAY)
    assert given_away.portions["41"].juice == pytest.approx(120.0)


def test_a_vat_and_a_trailer_know_which_loads_they_hold() -> None:
    """The vat switched to late holds only the second load's juice, and so does the trailer its pomace."""
    book = two_loads(60 * BIN)
    book.write(-60.0, Vat("A"))
    book.write(-60.0, Trailer("green"))
    book.write(110 * BIN, Vat("B"))
    book.write(110 * BIN, Trailer("red"))
    given_away, fruit = Attribution(), [5.0] * 150
    given_away.extend(ledger_of(fruit, fruit, fruit), book, WAY)
    assert set(given_away.pours.into("A")) == {"41", "42"}
    assert {k: p.amount for k, p in given_away.pours.into("B").items()} == {"42": pytest.approx(200.0)}
    assert given_away.trailers["red"] == {"42": pytest.approx(200.0)}


def test_fruit_that_nobody_named_is_listed_only_when_there_was_any() -> None:
    """A few seconds before the first load are not a load."""
    book = Book()
    book.at_mill.add(50 * BIN, "41")
    given_away = Attribution()
    given_away.extend(ledger_of([0.0] * 50 + [5.0] * 50, [0.0] * 100), book, WAY)
    assert given_away.named() == ["41"]
    given_away = Attribution()
    given_away.extend(ledger_of([5.0] * 100, [0.0] * 100), book, WAY)
    assert given_away.named() == [UNNAMED, "41"]


def pumped(inflow: list[float], level: float) -> Ledger:
    """A ledger whose juice is pumped away whenever `level` m³ have gathered, twice as fast as it comes at most."""
    fruit, metered, marks, held, on = [5.0] * len(inflow), [], [], 0.0, False
    for j, volume in enumerate(inflow):
        held += volume
        was, on = on, held >= level or (on and held > 0.2 * level)
        if on is not was:
            marks.append(PumpMark(float(j), math.fsum(metered), on))
        out = min(held, 2.0 * max(inflow)) if on else 0.0
        held -= out
        metered.append(out)
    ledger = ledger_of(fruit, metered)
    ledger.marks = marks
    return ledger


def test_juice_from_a_sump_is_counted_from_pump_start_to_pump_start() -> None:
    """Between two starts the loads get what came in between, whatever the meter showed meanwhile."""
    ledger = pumped([1.0] * 400, 17.0)
    given_away = Attribution()
    given_away.extend(ledger, two_loads(1e9), PUMPED)
    first, last = (round(ledger.starts[k].bin) for k in (0, -1))
    assert given_away.given == last
    for j in range(first + 30, last):
        assert given_away.juice[j] == pytest.approx(1.0, rel=0.15)
    assert math.fsum(given_away.juice[first:last]) == pytest.approx(float(last - first), rel=0.02)


def test_what_the_pump_left_is_given_away_at_the_end() -> None:
    """Once the shift is over all metered juice is somebody's, whether four cycles were seen or none."""
    for bins in (15, 60, 400):
        ledger = pumped([1.0] * bins, 17.0)
        given_away = Attribution()
        given_away.extend(ledger, two_loads(100 * BIN), PUMPED)
        given_away.finish(ledger, two_loads(100 * BIN), PUMPED)
        assert math.fsum(given_away.juice) == pytest.approx(math.fsum(ledger.juice.amounts))
        assert math.fsum(p.juice for p in given_away.portions.values()) == pytest.approx(
            math.fsum(ledger.juice.amounts)
        )


def test_while_the_line_stands_with_its_fruit_nothing_moves_on() -> None:
    """Ten minutes of standing in the middle of a load put off its juice by ten minutes, and give nobody anything."""
    still = [0.0] * 120
    through = Attribution()
    through.extend(ledger_of([5.0] * 100, [1.0] * 100), two_loads(1e9), WAY)
    stopped = Attribution()
    stopped.extend(ledger_of([5.0] * 60 + still + [5.0] * 40, [1.0] * 60 + still + [1.0] * 40), two_loads(1e9), WAY)
    assert stopped.aligned[60:180] == still
    assert stopped.aligned[:60] + stopped.aligned[180:] == through.aligned
    assert stopped.portions["41"].juice == pytest.approx(100.0)


def test_juice_left_in_the_sump_is_made_but_not_metered() -> None:
    """A shift that ends before the pump starts again yields what its fruit gave; the litres are those metered."""
    inflow = [0.2 * kg for kg in aligned([5.0] * 412, _TRANSPORT, params().rated_throughput)]
    ledger = pumped(inflow, 17.0)
    given_away = Attribution()
    given_away.extend(ledger, two_loads(1e9), PUMPED)
    given_away.finish(ledger, two_loads(1e9), PUMPED)
    load, metered = given_away.portions["41"], math.fsum(ledger.juice.amounts)
    assert load.juice == pytest.approx(metered)
    assert load.made == pytest.approx(math.fsum(inflow), abs=4.0)
    assert load.made > metered + 5.0
    assert load.rest_u > 0.0


def test_a_sump_that_people_empty_is_counted_to_its_end() -> None:
    """A pump switched on by hand starts at no known level: that is no cycle, and nothing is left in the sump."""
    inflow = [0.2 * kg for kg in aligned([5.0] * 412, _TRANSPORT, params().rated_throughput)]
    ledger = pumped(inflow, 17.0)
    held = math.fsum(inflow) - math.fsum(ledger.juice.amounts)
    ledger.marks.append(PumpMark(411.0, math.fsum(ledger.juice.amounts[:411]), True))
    ledger.juice.amounts[411] += held
    given_away = Attribution()
    given_away.extend(ledger, two_loads(1e9), PUMPED)
    given_away.finish(ledger, two_loads(1e9), PUMPED)
    assert given_away.portions["41"].made == pytest.approx(math.fsum(inflow), rel=0.005)
