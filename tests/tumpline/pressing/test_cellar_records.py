"""The vats as documents show them."""

import math

import pytest
from msgspec.structs import replace

from press_stories import params
from tumpline.pressing.blend import Bounds
from tumpline.pressing.book import Book
from tumpline.pressing.cellar_records import moves, vat_record, vat_records, vats_of
from tumpline.pressing.entries import Draw, Entry, Load, Sample, Transfer, Variety, Vat
from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.records import Known, Unknown, VatRecord
from tumpline.pressing.residence import BIN
from tumpline.pressing.vats import Pours


def load(name: str, *, acidity: float, tannin: float, brix: float) -> Load:
    """A load whose juice is known."""
    return Load(name, "Coppice Farm", 4000.0, (Variety("Coppice Red", 1.0),), brix, acidity, tannin)


def metered(volume: float) -> Known:
    """m³ by a meter good to 1 %."""
    return Estimate(volume, (limits("accuracy of juice/flow", 0.01 * volume),))


def record(*said: tuple[float, Entry], vat: str = "V1", bounds: tuple[Bounds, ...] = ()) -> VatRecord:
    """A vat after 100 L each of loads A and B went into V1, 10 L in 5 s."""
    book, pours = book_of(*said)
    return vat_record(
        vats_of(book, pours, metered, delay_u=10.0 / math.sqrt(3.0), params=replace(params(), vat_bounds=bounds)), vat
    )


def book_of(*said: tuple[float, Entry]) -> tuple[Book, Pours]:
    """The book of that shift, and where its juice went."""
    book = Book()
    book.write(0.0, load("A", acidity=3.0, tannin=2.4, brix=10.0))
    book.write(0.0, load("B", acidity=7.0, tannin=1.0, brix=14.0))
    book.to_vat.add(0.0, "V1")
    for at, entry in said:
        book.write(at, entry)
    pours = Pours()
    pours.extend([0.01] * 20, ["A"] * 10 + ["B"] * 10, [0.01] * 20, start=0.0, to_vat=book.to_vat, cellar=book.cellar)
    return book, pours


def test_a_vat_is_what_its_loads_make_it() -> None:
    """
    Equal volumes: acid (3 + 7)/2 = 5.0, tannin 1.7 g/L; 10 and 14 °Bx by mass 12.016 (1038.115 and 1054.899 kg/m³ by
    SPS-4): a sharp vat (own arithmetic).
    """
    vat = record()
    assert (vat.acidity, vat.tannin, vat.fruit_class) == (pytest.approx(5.0), pytest.approx(1.7), "sharp")
    assert vat.brix == pytest.approx((1038.115 * 10.0 + 1054.899 * 14.0) / (1038.115 + 1054.899), abs=1e-3)
    assert vat.ph is None


def test_what_nobody_told_is_not_known() -> None:
    """
    Juice went in, and nobody said what was there: the contents are unknown, the loads' litres are not. B's 100 L are
    good to 1 % and to the 10 s either way in which its fruit may have come through the flume, at 2 L/s.
    """
    vat = record()
    assert vat.contents is None
    assert isinstance(vat.held, Unknown)
    (first, second) = vat.holds
    assert (first.load, second.load) == ("A", "B")
    assert isinstance(second.amount, Estimate)
    assert second.amount.u == pytest.approx(math.hypot(0.001, 0.02) / math.sqrt(3.0))
    assert isinstance(vat.juice, Estimate)
    assert (vat.juice.value, vat.capacity) == (pytest.approx(0.2), None)


def test_contents_grow_from_what_was_told() -> None:
    """2000 L, then 200 L metered within 1 % and dipped within 0.5 % of the vat's 6000 L."""
    vat = record((0.0, Vat("V1", capacity_l=6000.0, contents_l=2000.0)))
    assert (vat.contents, vat.capacity) == (pytest.approx(2.2), 6.0)
    assert isinstance(vat.held, Estimate)
    assert vat.held.u == pytest.approx(((0.03**2 + 0.002**2) / 3.0) ** 0.5)
    assert sum(share.amount.value for share in vat.holds if isinstance(share.amount, Estimate)) == pytest.approx(2.2)
    assert vat.acidity is None


def test_a_vat_s_own_sample_counts_before_its_loads() -> None:
    """Sampled at the end, it is what it was measured at; its class follows."""
    vat = record(
        (100.0 * BIN, Sample("juice", acidity_g_per_l=4.0, vat="V1")), (101.0 * BIN, Sample("juice", ph=3.6, vat="V1"))
    )
    assert (vat.acidity, vat.ph, vat.fruit_class) == (pytest.approx(4.0), 3.6, "sweet")


def test_a_figure_outside_the_site_s_bounds_is_said_and_nothing_is_advised() -> None:
    """What it is, and what the site wants."""
    bounds = (Bounds("acidity", 5.5, 7.5), Bounds("tannin", low=1.0), Bounds("ph", high=3.8))
    assert record(bounds=bounds).outside == (
        "Its acidity of 5 g/L lies below the 5.5 g/L that the site wants at the least.",
    )


def test_a_vat_that_only_got_juice_from_another_is_there_too() -> None:
    """No juice from the press, half of A's and B's by transfer; what moved is listed, and who took the rest."""
    book, pours = book_of(
        (0.0, Vat("V1", contents_l=0.0)),
        (20 * BIN, Transfer("V1", "V2", 100.0)),
        (21 * BIN, Draw("V1", 50.0, to="The Plough")),
    )
    vats = vats_of(book, pours, metered, delay_u=0.0, params=params())
    first, second = vat_records(vats)
    assert (first.vat, second.vat, second.juice) == ("V1", "V2", metered(0.0))
    assert {share.load: share.amount.value for share in second.holds if isinstance(share.amount, Estimate)} == (
        pytest.approx({"A": 0.05, "B": 0.05})
    )
    assert second.acidity == pytest.approx(5.0)
    assert [(m.vat, m.to_vat, m.taken_by) for m in moves(vats)] == [("V1", "V2", None), ("V1", None, "The Plough")]
    assert {s.load: s.amount.value for s in moves(vats)[1].shares if isinstance(s.amount, Estimate)} == (
        pytest.approx({"A": 0.025, "B": 0.025})
    )
