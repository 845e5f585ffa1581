"""Which load, vat or trailer it is at any time."""

import math

from tumpline.pressing.stock import UNNAMED
from tumpline.pressing.switches import Switches


def test_a_switch_holds_from_its_time_until_the_next() -> None:
    """Before the first there is nobody, at its very time it already holds."""
    switches = Switches()
    switches.add(100.0, "A")
    switches.add(200.0, "B")
    assert [switches.at(t) for t in (99.0, 100.0, 199.9, 200.0)] == [UNNAMED, "A", "A", "B"]


def test_a_switch_typed_late_takes_its_place_by_its_own_time() -> None:
    """Written last, it holds between the two others."""
    switches = Switches()
    for at, name in ((100.0, "A"), (300.0, "C"), (200.0, "B")):
        switches.add(at, name)
    assert [switches.at(t) for t in (150.0, 250.0, 350.0)] == ["A", "B", "C"]


def test_of_two_switches_at_one_time_the_later_written_holds() -> None:
    """Somebody corrected the vat at once."""
    switches = Switches()
    switches.add(100.0, "A")
    switches.add(100.0, "B")
    assert switches.at(100.0) == "B"


def test_the_latest_time_something_held_ends_with_the_next_switch() -> None:
    """Twice to A: the second time counts, until C; what holds now has no end, and what never held no beginning."""
    switches = Switches()
    for at, name in ((100.0, "A"), (200.0, "B"), (300.0, "A"), (400.0, "C")):
        switches.add(at, name)
    assert switches.latest("A") == (300.0, 400.0)
    assert switches.latest("C") == (400.0, math.inf)
    assert switches.latest("D") == (math.inf, math.inf)


def test_forgetting_keeps_what_holds_now() -> None:
    """A vat that was switched to yesterday still takes the juice today."""
    switches = Switches()
    for at, name in ((100.0, "A"), (200.0, "B"), (300.0, "C")):
        switches.add(at, name)
    switches.forget_before(250.0)
    assert [switches.at(t) for t in (250.0, 350.0)] == ["B", "C"]


def test_what_follows_another_is_there_later_and_what_comes_first_at_once() -> None:
    """Fruit takes its time through the flume, in whatever order the switches were written down."""
    switches = Switches(lag=20.0)
    switches.add(1000.0, "B")
    assert switches.at(1000.0) == "B"
    switches.add(500.0, "A")
    assert [switches.at(t) for t in (499.0, 500.0, 1019.0, 1020.0)] == [UNNAMED, "A", "A", "B"]
    switches.forget_before(1010.0)
    assert [switches.at(t) for t in (1010.0, 1020.0)] == ["A", "B"]
