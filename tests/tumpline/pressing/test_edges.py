"""Where one load ends at the mill and the next begins."""

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from press_stories import RATED, load, params
from tumpline.pressing import edges
from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.edges import Edges
from tumpline.pressing.entries import LoadOn
from tumpline.pressing.ledger import Flow, Ledger
from tumpline.pressing.residence import BIN

KG = RATED * BIN
"""kg in a bin at the rated throughput."""
ON, OFF = [KG], [0.0]


def found(fruit: list[float], entries: dict[str, float], weights: dict[str, float] | None = None) -> Edges:
    """The edges of a ledger from time zero, by when each load was put on and what it weighs."""
    book = Book()
    for name, net in (weights or {}).items():
        book.write(0.0, load(name, net))
    for name, at in entries.items():
        book.write(at, LoadOn(name))
    flow = Flow(fruit, of_reading=0.01 * sum(fruit))
    return edges.find(Ledger(0.0, flow), book, params(), len(fruit))


def test_loads_that_touch_change_a_flume_s_time_after_the_entry() -> None:
    """Nothing was seen of this flume: twenty seconds, and as many in doubt either way."""
    way = found(ON * 400, {"41": -60.0, "42": 1000.0})
    assert [way.owner(j) for j in (203, 204)] == ["41", "42"]
    assert way.edges[-1].u == pytest.approx(20.0 * RATED, rel=0.25)


@pytest.mark.parametrize("seconds", [10.0, 45.0, 70.0])
def test_the_flume_s_time_is_learned_from_starts_and_gaps(seconds: float) -> None:
    """Three times its first fruit was seen so long after the entry: so long it takes for the load that touches."""
    bins = round(seconds / BIN)
    fruit = OFF * 50 + ON * 200 + OFF * 30 + ON * 200 + OFF * 30 + ON * 400
    entries = {"41": (50 - bins) * BIN, "42": (280 - bins) * BIN, "43": (510 - bins) * BIN, "44": 700 * BIN}
    way = found(fruit, entries)
    last = way.edges[-1]
    assert last.bin * BIN - last.at == pytest.approx(seconds, abs=8.0)
    assert last.u < 20.0 * RATED


def test_entries_that_are_minutes_off_leave_the_edges_in_doubt() -> None:
    """A crew that writes now four minutes late, now two minutes early is not believed to the second."""
    fruit = OFF * 150 + ON * 200 + OFF * 30 + ON * 400
    hasty, late = (
        {"41": 145 * BIN, "42": 375 * BIN, "43": 600 * BIN},
        {"41": 200 * BIN, "42": 375 * BIN, "43": 600 * BIN},
    )
    assert found(fruit, late).lag_u > 1.5 * found(fruit, hasty).lag_u


def test_where_a_gap_lies_there_is_no_doubt() -> None:
    """The new load's first fruit is seen: all before the gap is the old load's, to the kilogram."""
    way = found(OFF * 10 + ON * 200 + OFF * 30 + ON * 200, {"41": 30.0, "42": 235 * BIN})
    assert [way.owner(j) for j in (0, 100, 209, 240)] == [UNNAMED, "41", "41", "42"]
    assert way.edges[-1].u == 0.0


def test_an_entry_made_in_a_gap_is_for_the_fruit_that_ends_it() -> None:
    """However unevenly the crew writes: half a minute, a minute and two minutes before their fruit."""
    fruit = OFF * 50 + ON * 200 + OFF * 14 + ON * 200 + OFF * 30 + ON * 200
    way = found(
        fruit, {"41": 220.0, "42": 264 * BIN - 64.0, "43": 494 * BIN - 120.0}, dict.fromkeys(("41", "42"), 200 * KG)
    )
    assert [edge.bin for edge in way.edges[1:]] == [264, 494]
    assert [(edge.moved, edge.u) for edge in way.edges[1:]] == [(0.0, 0.0)] * 2


def test_while_the_mill_stands_the_flume_s_time_does_not_run() -> None:
    """A load put on just before a block of five minutes does not get what of the old one waited in the flume."""
    way = found(ON * 200 + OFF * 60 + ON * 200, {"41": -60.0, "42": 198 * BIN})
    assert [way.owner(j) for j in (201, 261)] == ["41", "41"]
    assert way.owner(264) == "42"


def test_a_late_entry_is_moved_to_the_gap_that_the_weights_tell_of() -> None:
    """The first load would be 40 bins over its weight and the second as much under: the gap is the edge."""
    fruit = OFF * 10 + ON * 300 + OFF * 20 + ON * 300
    way = found(fruit, {"41": 30.0, "42": 370 * BIN}, {"41": 300 * KG, "42": 300 * KG})
    assert way.edges[-1].bin == 330
    assert way.edges[-1].moved == pytest.approx(-44 * KG, abs=3 * KG)


def test_without_a_gap_the_weights_themselves_are_the_edge() -> None:
    """An early entry of loads that touch: the second load ends over its weight, so the first gets what it lacks."""
    fruit = OFF * 10 + ON * 600 + OFF * 20 + ON * 50
    way = found(fruit, {"41": 30.0, "42": 260 * BIN, "43": 625 * BIN}, {"41": 300 * KG, "42": 300 * KG})
    assert way.edges[1].bin == pytest.approx(310, abs=1)
    assert way.edges[1].moved > 0.0


def test_fruit_before_a_first_entry_made_late_is_the_first_load_s_by_its_weight() -> None:
    """Four minutes of fruit that nobody named are what the first load lacks."""
    fruit = OFF * 30 + ON * 300 + OFF * 20 + ON * 300
    way = found(fruit, {"41": 78 * BIN, "42": 345 * BIN}, {"41": 300 * KG, "42": 300 * KG})
    assert way.owner(30) == "41"


def test_what_the_meters_may_be_off_moves_nothing() -> None:
    """A load a hundredth over its weight and the next as much under is what two meters make of it."""
    fruit = OFF * 10 + ON * 300 + OFF * 20 + ON * 300
    entries = {"41": 30.0, "42": 325 * BIN}
    assert found(fruit, entries, {"41": 297 * KG, "42": 303 * KG}).edges[-1].moved == 0.0


def test_a_forgotten_load_does_not_drag_the_next_one_s_edge() -> None:
    """A load milled to twice its weight is far from an entry made late: its end stays where it was written."""
    fruit = OFF * 10 + ON * 600 + OFF * 20 + ON * 300
    way = found(fruit, {"41": 30.0, "43": 625 * BIN}, {"41": 300 * KG, "43": 300 * KG})
    assert way.edges[-1].bin == 630


@settings(max_examples=20, derandomize=True, deadline=None)
@given(late=st.lists(st.floats(-300.0, 300.0), min_size=3, max_size=3), data=st.data())
def test_in_whatever_order_entries_come_the_edges_are_the_same(late: list[float], data: st.DataObject) -> None:
    """The book sorts them by their own time; weights may come last."""
    fruit = OFF * 30 + (ON * 100 + OFF * 8) * 3
    times = {name: (30 + 108 * k) * BIN + late[k] for k, name in enumerate(("41", "42", "43"))}
    entries = [(at, LoadOn(name)) for name, at in times.items()]
    tickets = [(0.0, load(name, 100 * KG)) for name in times]
    told = []
    for order in ([*tickets, *entries], data.draw(st.permutations([*tickets, *entries]))):
        book = Book()
        for at, entry in order:
            book.write(at, entry)
        told.append(edges.find(Ledger(0.0, Flow(fruit)), book, params(), len(fruit)))
    assert told[0] == told[1]
