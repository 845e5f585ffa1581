"""Which fruit became which juice: everything is given away once, to those whose it is."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tumpline.pressing.attribution import Attribution
from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.entries import LoadOn, Trailer, Vat
from tumpline.pressing.ledger import Flow, Ledger
from tumpline.pressing.params import ResidenceParams
from tumpline.pressing.residence import BIN, Kernel

KERNEL = Kernel(ResidenceParams(45.0, 20.0))
amounts = st.lists(st.floats(0.0, 10.0), min_size=60, max_size=60)


def ledger_of(fruit: list[float], juice: list[float], pomace: list[float] | None = None) -> Ledger:
    """A closed ledger from time zero with these amounts per bin."""
    none = [0.0] * len(fruit)
    return Ledger(0.0, Flow(fruit), Flow(juice), Flow(pomace or none), Flow(none), [-1.0] * len(fruit))


def two_loads(change: float) -> Book:
    """Load 41 from the start, 42 at the mill from `change`."""
    book = Book()
    book.write(-60.0, LoadOn("41"))
    book.at_mill.add(change, "42")
    return book


@settings(max_examples=25, derandomize=True, deadline=None)
@given(fruit=amounts, juice=amounts, change=st.floats(0.0, 60 * BIN), vat=st.floats(0.0, 60 * BIN))
def test_everything_is_given_away_once(fruit: list[float], juice: list[float], change: float, vat: float) -> None:
    """Whatever the flows and switches: the loads' fruit and juice, and the vats' juice, sum to the ledger's."""
    book = two_loads(change)
    book.to_vat.add(-60.0, "A")
    book.to_vat.add(vat, "B")
    given_away = Attribution()
    given_away.extend(ledger_of(fruit, juice, fruit), book, KERNEL)
    loads = given_away.portions.values()
    assert math.fsum(p.fruit for p in loads) == pytest.approx(math.fsum(fruit))
    assert math.fsum(p.juice for p in loads) == pytest.approx(math.fsum(juice))
    assert math.fsum(p.pomace for p in loads) == pytest.approx(math.fsum(fruit))
    assert math.fsum(p.aligned for p in loads) == pytest.approx(math.fsum(given_away.aligned), abs=1e-4)
    assert math.fsum(v for vat in given_away.vats.values() for v in vat.values()) == pytest.approx(math.fsum(juice))


@settings(max_examples=10, derandomize=True, deadline=None)
@given(fruit=amounts, cuts=st.lists(st.integers(1, 59), max_size=4))
def test_giving_away_bit_by_bit_is_giving_away_at_once(fruit: list[float], cuts: list[int]) -> None:
    """A ledger that grows gives the same shares as one read anew."""
    book, whole = two_loads(140.0), Attribution()
    whole.extend(ledger_of(fruit, fruit), book, KERNEL)
    growing = Attribution()
    for upto in [*sorted(cuts), 60]:
        growing.extend(ledger_of(fruit[:upto], fruit[:upto]), book, KERNEL)
    assert growing == whole


def test_after_a_change_of_load_the_juice_is_still_the_old_load_s() -> None:
    """Right after the change all juice is the first load's, minutes later all of it the second's, between them both."""
    fruit = [5.0] * 120
    before = {}
    for bins in (60, 64, 75, 110):
        given_away = Attribution()
        given_away.extend(ledger_of(fruit[:bins], fruit[:bins]), two_loads(60 * BIN), KERNEL)
        before[bins] = given_away.shares.get("41", 0.0)
    assert before[60] == pytest.approx(1.0)
    assert before[64] == pytest.approx(1.0)
    assert 0.05 < before[75] < 0.95
    assert before[110] == 0.0


def test_what_drips_from_an_empty_press_belongs_to_the_last_fruit() -> None:
    """Long after the fruit has gone through, juice and pomace are still somebody's."""
    fruit = [5.0] * 30 + [0.0] * 90
    given_away = Attribution()
    given_away.extend(ledger_of(fruit, [1.0] * 120), two_loads(500.0), KERNEL)
    assert given_away.portions["41"].juice == pytest.approx(120.0)


def test_a_vat_and_a_trailer_know_which_loads_they_hold() -> None:
    """The vat switched to late holds only the second load's juice, and so does the trailer its pomace."""
    book = two_loads(60 * BIN)
    book.write(-60.0, Vat("A"))
    book.write(-60.0, Trailer("green"))
    book.write(110 * BIN, Vat("B"))
    book.write(110 * BIN, Trailer("red"))
    given_away, fruit = Attribution(), [5.0] * 150
    given_away.extend(ledger_of(fruit, fruit, fruit), book, KERNEL)
    assert set(given_away.vats["A"]) == {"41", "42"}
    assert given_away.vats["B"] == {"42": pytest.approx(200.0)}
    assert given_away.trailers["red"] == {"42": pytest.approx(200.0)}


def test_fruit_that_nobody_named_is_listed_only_when_there_was_any() -> None:
    """A few seconds before the first load are not a load."""
    book = Book()
    book.at_mill.add(50 * BIN, "41")
    given_away = Attribution()
    given_away.extend(ledger_of([0.0] * 50 + [5.0] * 50, [0.0] * 100), book, KERNEL)
    assert given_away.named() == ["41"]
    given_away = Attribution()
    given_away.extend(ledger_of([5.0] * 100, [0.0] * 100), book, KERNEL)
    assert given_away.named() == [UNNAMED, "41"]
