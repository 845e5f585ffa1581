"""Levels, dips and weighbridge held against the meters."""

import math

import pytest

from tumpline.pressing.book import Book
from tumpline.pressing.entries import Dip, Trailer, Transfer, Vat
from tumpline.pressing.growth import (
    Gauge,
    Grown,
    grown_by_dips,
    grown_by_level,
    trailer_weights,
    vat_growth,
    weighed_pomace,
)
from tumpline.pressing.params import Accuracy
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.residence import BIN
from tumpline.pressing.switches import Switches
from tumpline.pressing.vats import Cellar, Pours

_V1 = Switches([0.0], ["V1"])


def test_a_level_tells_what_the_meter_makes_too_much_of() -> None:
    """The meter says 3 % more than goes in; an hour's growth of the level, ripples and all, is what went in."""
    gauge, level = Gauge(), 2.0
    for j in range(720):
        level += 0.010
        gauge.step(BIN * (j + 1), "V1", level - 0.005 + 0.02 * math.sin(j), 0.0103)
    (grown,) = grown_by_level(gauge, Cellar(), {"V1": Accuracy(fixed=0.01)})
    assert grown.metered == pytest.approx(7.416)
    assert grown.volume.value == pytest.approx(7.2, abs=0.01)
    assert grown.volume.figure().low < 7.2 < grown.volume.figure().high


def test_a_level_unheard_or_of_unknown_accuracy_tells_nothing() -> None:
    """Rather no check than one nobody can judge."""
    gauge = Gauge()
    for j in range(720):
        gauge.step(BIN * (j + 1), "V1", None, 0.01)
    assert grown_by_level(gauge, Cellar(), {"V1": Accuracy(fixed=0.01)}) == []
    for j in range(720):
        gauge.step(BIN * (j + 721), "V2", 1.0 + 0.01 * j, 0.01)
    assert grown_by_level(gauge, Cellar(), {}) == []


def test_dips_before_and_after_tell_the_same() -> None:
    """2000 to 5000 L, 500 L of them from another vat, 2600 L by the meter; what is said in passing is no dip."""
    cellar = Cellar()
    cellar.write(0.0, Vat("V1", capacity_l=10000.0, contents_l=2000.0))
    cellar.write(300.0, Transfer("V2", "V1", 500.0))
    cellar.write(520.0, Dip("V1", 5000.0))
    pours = Pours()
    pours.extend([0.025] * 104, ["A"] * 104, [0.025] * 104, start=0.0, to_vat=_V1, cellar=cellar)
    (grown,) = grown_by_dips(cellar, pours)
    assert (grown.volume.value, grown.metered) == (pytest.approx(2.5), pytest.approx(2.6))
    assert grown.volume.u == pytest.approx(0.05 * math.sqrt(2.0 / 3.0))
    cellar.unwrite(520.0, Dip("V1", 5000.0))
    cellar.write(520.0, Vat("V1", contents_l=5000.0))
    assert grown_by_dips(cellar, pours) == []


def test_a_shift_s_juice_by_its_vats_counts_what_was_not_watched_as_no_different() -> None:
    """2.5 m³ where the meter has 2.6, of 5.2 metered in all: 5.0; under half watched tells nothing."""
    watched = [Grown("V1", Estimate(2.5), 2.6)]
    by_vats = vat_growth(watched, 5.2)
    assert by_vats is not None
    assert by_vats.value == pytest.approx(5.0)
    assert vat_growth(watched, 5.3) is None
    assert vat_growth([], 0.0) is None


def test_a_trailer_that_came_and_left_in_the_shift_is_weighed() -> None:
    """Not the one that stood there before, with the pomace of yesterday on it, nor the one that has not left."""
    book = Book()
    book.write(100.0, Trailer("old"))
    book.begin_shift(1000.0)
    book.write(2000.0, Trailer("old", net_kg=3100.0))
    book.write(2001.0, Trailer("green"))
    book.write(3000.0, Trailer("green", net_kg=2800.0))
    book.write(3001.0, Trailer("red"))
    weights = trailer_weights(book, ["old", "green", "red"])
    assert {name: weight.value for name, weight in weights.items()} == {"green": 2800.0}
    by_bridge = weighed_pomace(weights, {"old": 500.0, "green": 2750.0, "red": 1000.0})
    assert by_bridge is not None
    assert by_bridge.value == pytest.approx(2800.0 * 4250.0 / 2750.0)
    assert weighed_pomace(weights, {"green": 100.0, "red": 2750.0}) is None
