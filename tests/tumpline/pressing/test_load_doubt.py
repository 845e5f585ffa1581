"""What is said of loads whose entries and weights do not fit together."""

import pytest

from press_stories import RATED, YIELD, load, params
from tumpline.pressing import load_doubt
from tumpline.pressing.attribution import Attribution, Way
from tumpline.pressing.book import Book
from tumpline.pressing.entries import LoadOn
from tumpline.pressing.ledger import UNHEARD, Flow, Ledger
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.residence import BIN, Transport

KG = RATED * BIN


def given_away(second_on: float, net: float) -> tuple[Ledger, Attribution, Book]:
    """Two loads of 300 bins with a gap between them, weighed in as `net`; the second put on at `second_on` (bins)."""
    fruit = [0.0] * 10 + [KG] * 300 + [0.0] * 20 + [KG] * 300
    none = [0.0] * len(fruit)
    ledger = Ledger(0.0, Flow(fruit, of_reading=6.0 * KG), Flow(fruit), Flow(none), Flow(none))
    ledger.brix, ledger.celsius = [-1.0] * len(fruit), [UNHEARD] * len(fruit)
    book, attribution = Book(), Attribution()
    for name, at in (("41", 6.0), ("42", second_on)):
        book.write(0.0, load(name, net))
        book.write(at * BIN, LoadOn(name))
    attribution.extend(ledger, book, Way(Transport(40.0, 15.0, 10.0), pumped=False, params=params()))
    attribution.finish(ledger, book, Way(Transport(40.0, 15.0, 10.0), pumped=False, params=params()))
    return ledger, attribution, book


def drained(bins: int) -> tuple[Ledger, Attribution, Book]:
    """One load of 300 bins at 700 L/t, and as much juice for so many bins without fruit; its way takes 78 s +- 18 s."""
    fruit = [KG] * 300 + [0.0] * bins
    none = [0.0] * len(fruit)
    ledger = Ledger(0.0, Flow(fruit), Flow([YIELD * KG] * len(fruit)), Flow(none), Flow(none), [-1.0] * len(fruit))
    ledger.celsius = [UNHEARD] * len(fruit)
    book, attribution = Book(), Attribution()
    book.write(0.0, load("41", 300 * KG))
    book.write(-60.0, LoadOn("41"))
    way = Way(Transport(40.0, 15.0, 10.0), pumped=False, params=params())
    attribution.extend(ledger, book, way)
    attribution.finish(ledger, book, way)
    return ledger, attribution, book


def doubt(story: tuple[Ledger, Attribution, Book]) -> float:
    """Half of the first load's interval, kg, as far as it is about its neighbour."""
    figure = Estimate(0.0, load_doubt.terms("41", *story)).figure()
    return figure.high


def test_loads_that_fit_their_weights_are_told_without_a_word() -> None:
    """Entries in time, a gap between the loads: nothing of one is the other's."""
    story = given_away(326, 300 * KG)
    assert load_doubt.remarks(*story) == []
    assert doubt(story) == pytest.approx(0.0, abs=0.1)


def test_an_entry_minutes_late_is_said_and_its_fruit_is_in_doubt() -> None:
    """The weights put the edge into the gap four minutes before; the interval still reaches the entry."""
    story = given_away(378, 300 * KG)
    (remark,) = load_doubt.remarks(*story)
    assert remark == "By the weights, load 42 came to the mill 4 min before its entry: it counts from there."
    assert story[1].portions["41"].fruit == pytest.approx(300 * KG)
    assert doubt(story) == pytest.approx(52 * KG, rel=0.1)


def test_a_load_milled_far_beyond_its_weight_is_said_and_reaches_down_to_it() -> None:
    """Somebody forgot to put the next one on: twice the weight is not known to two in a hundred."""
    story = given_away(10_000, 300 * KG)
    (remark,) = load_doubt.remarks(*story)
    assert remark == (
        "Load 41 is milled to 200 % of its weight: fruit of a load that nobody put on in the book may be in it."
    )
    assert doubt(story) >= 300 * KG


def test_what_drips_from_the_press_is_the_last_fruit_s_juice() -> None:
    """Two minutes after the last fruit its juice still comes: nothing is said, nothing is in doubt."""
    story = drained(24)
    assert load_doubt.remarks(*story) == []
    assert load_doubt.unfounded(*story[1].portions.values()).u == 0.0


def test_what_comes_when_no_fruit_is_left_may_be_water() -> None:
    """Ten minutes more of it: the litres are said, and the juice's interval reaches down to what it is without them."""
    story = drained(144)
    (remark,) = load_doubt.remarks(*story)
    litres = float(remark.removeprefix("The juice meter counted ").split(" L ")[0])
    assert remark.endswith("when no fruit was left to give any: it may be water, as when belts are washed.")
    assert litres == pytest.approx(1000.0 * YIELD * KG * 120, rel=0.05)
    term = load_doubt.unfounded(*story[1].portions.values())
    assert Estimate(0.0, (term,)).figure().high == pytest.approx(litres / 1000.0, rel=0.01)
