"""What a load that waits would make of a vat."""

import pytest

from tumpline.pressing.adding import adding_records, outside
from tumpline.pressing.blend import Bounds
from tumpline.pressing.book import Book
from tumpline.pressing.entries import Load, LoadOn, Variety
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import AddingRecord, Unknown, VatRecord

VAT = VatRecord("V1", Estimate(0.0), (), 6.0, 9.0, brix=12.0, acidity=3.0, tannin=2.4, held=Estimate(6.0))


def load(name: str, net: float, acidity: float | None = None, tannin: float | None = None) -> Load:
    """A load weighed in."""
    return Load(name, "Long Acre", net, (Variety("Long Acre Sharp", 1.0),), None, acidity, tannin)


def waiting(vat: VatRecord, *bounds: Bounds) -> tuple[AddingRecord, ...]:
    """What two loads that wait would make of a vat; a third is being pressed."""
    book = Book()
    for entry in (load("41", 2000.0), load("42", 2500.0, 8.2, 0.6), load("43", 6000.0)):
        book.write(0.0, entry)
    book.write(10.0, LoadOn("41"))
    return adding_records(book, vat, expected_yield=0.8e-3, bounds=bounds)


def test_a_load_that_waits_is_blended_with_what_the_vat_holds() -> None:
    """
    2500 kg at 800 L/t are 2 m³: acid (6 x 3.0 + 2 x 8.2)/8 = 4.3, tannin (6 x 2.4 + 2 x 0.6)/8 = 1.95 g/L, a sweet vat;
    its sugar is not known as the load's is not (own arithmetic).
    """
    with_42, _ = waiting(VAT)
    assert (with_42.load, with_42.juice, with_42.fits) == ("42", pytest.approx(2.0), True)
    assert (with_42.acidity, with_42.tannin, with_42.brix) == (pytest.approx(4.3), pytest.approx(1.95), None)
    assert with_42.fruit_class == "sweet"


def test_a_load_too_large_for_the_vat_does_not_fit() -> None:
    """6 m³ held and 4.8 m³ to come, in a vat of 9; and of a vat of unknown capacity nobody knows."""
    assert [record.fits for record in waiting(VAT)] == [True, False]
    unknown = VatRecord("V2", Estimate(0.0), (), 6.0, None, held=Estimate(6.0))
    assert [record.fits for record in waiting(unknown)] == [None, None]


def test_of_a_vat_of_unknown_contents_nothing_is_said() -> None:
    """Nobody knows what it would be with more in it."""
    unknown = VatRecord("V2", Estimate(0.0), (), None, 9.0, held=Unknown("nobody has said what was in it before"))
    assert waiting(unknown) == ()


def test_it_is_said_where_the_vat_would_lie_outside_the_site_s_bounds() -> None:
    """Above or below, with the bound; no word of what to do about it."""
    with_42, with_43 = waiting(VAT, Bounds("acidity", 4.5, 7.5), Bounds("tannin", high=1.9))
    assert with_42.outside == (
        "Its acidity of 4.3 g/L lies below the 4.5 g/L that the site wants at the least.",
        "Its tannin of 1.95 g/L lies above the 1.9 g/L that the site wants at the most.",
    )
    assert with_43.outside == ()
    ph = [Bounds("ph", 3.2, 3.8)]
    assert list(outside(ph, {"ph": 3.9})) == ["Its pH of 3.9 lies above the 3.8 that the site wants at the most."]
    assert [*outside(ph, {"ph": 3.2}), *outside(ph, {"ph": 3.8}), *outside(ph, {"ph": None})] == []
