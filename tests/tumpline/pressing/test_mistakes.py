"""What cannot be so by what the book already has is refused in a sentence; everything else is taken."""

import pytest

from tumpline.pressing.entries import Dip, Draw, Entry, Load, LoadOff, LoadOn, Note, Sample, Transfer, Vat, VatKnown
from tumpline.pressing.mistakes import mistake
from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.stock import Stock

GROWERS = {"41": "Long Acre", "42": "Coppice Farm"}
CAPACITIES = {"V1": 6.0, "V2": 5.0}
STOCKS = {
    "V1": Stock(Estimate(4.0, (limits("dip of vat V1", 0.02),)), whole=True),
    "V2": Stock(Estimate(3.0), whole=True),
    "V3": Stock(Estimate(1.0)),
}


def said_of(entry: Entry) -> str | None:
    """What is wrong with an entry in the book above."""
    return mistake(entry, growers=GROWERS, capacities=CAPACITIES, stocks=STOCKS)


@pytest.mark.parametrize(
    ("entry", "words"),
    [
        (LoadOn("43"), "There is no load 43 in the book; the last ones are 41, 42. Weigh it in first"),
        (LoadOff("43"), "There is no load 43"),
        (Sample("fruit", brix=12.0, load="43"), "There is no load 43"),
        (Load("41", "Coppice Farm", 4000.0, ()), "Load 41 is in the book already, from Long Acre; another number"),
        (Vat("V1", contents_l=7000.0), "Vat V1 holds 6000 L: 7000 L does not go in"),
        (VatKnown("V1", contents_l=7000.0), "Vat V1 holds 6000 L: 7000 L does not go in"),
        (Dip("V1", 7000.0), "Vat V1 holds 6000 L: 7000 L does not go in; up to what it has room for is accepted."),
        (Draw("V1", 4100.0), "Vat V1 held 3981 to 4019 L, so 4100 L cannot have left it; up to that is accepted"),
        (Draw("V3", 10.0), "Nobody has said how much vat V3 held before; write a dip of it first"),
        (Draw("V9", 10.0), "Nobody has said how much vat V9 held"),
        (Transfer("V3", "V1", 10.0), "Nobody has said how much vat V3 held"),
        (Transfer("V1", "V2", 2500.0), "Vat V2 holds 5000 L and has about 3000 L in it: 2500 L does not go in"),
    ],
)
def test_a_mistake_is_named(entry: Entry, words: str) -> None:
    """Which load or vat, what is wrong, and what would be accepted."""
    assert words in str(said_of(entry))


@pytest.mark.parametrize(
    "entry",
    [
        Load("41", "Long Acre", 4100.0, ()),
        Load("43", "Withy Bottom", 4000.0, ()),
        LoadOn("42"),
        Sample("fruit", brix=12.0),
        Vat("V1", contents_l=6000.0),
        Vat("V1", capacity_l=8000.0, contents_l=7000.0),
        Vat("V9", contents_l=7000.0),
        Dip("V9", 7000.0),
        Draw("V1", 4015.0),
        Transfer("V1", "V2", 1900.0),
        Transfer("V1", "V9", 4000.0),
        Note("quiet"),
    ],
)
def test_what_can_be_so_is_taken(entry: Entry) -> None:
    """A ticket written again, a vat nobody mentioned before, all there is in a vat within what is known of it."""
    assert said_of(entry) is None


def test_an_empty_book_says_so() -> None:
    """Nothing was weighed in yet."""
    assert "there is none yet" in str(mistake(LoadOn("1"), growers={}, capacities={}, stocks={}))
