"""The shift book: who owned the fruit, where juice and pomace went, and what stays known."""

import math

from tumpline.pressing.book import FLUME_TIME, UNNAMED, Book, Switches
from tumpline.pressing.entries import Load, LoadOff, LoadOn, Note, Sample, ShiftStart, Trailer, Variety, Vat


def load(name: str, *, net: float = 4000.0, grower: str = "Long Acre") -> Load:
    """A weighed load."""
    return Load(name, grower, net, (Variety("bittersweet", 1.0),))


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


def test_fruit_that_follows_another_load_takes_its_time_through_the_flume() -> None:
    """The first load owns its fruit at once, the next one when its fruit has reached the mill."""
    book = Book()
    for name in ("41", "42"):
        book.write(0.0, load(name))
    assert book.write(10.0, LoadOn("41"))
    assert book.write(1000.0, LoadOn("42"))
    assert book.at_mill.at(10.0) == "41"
    assert book.at_mill.at(1000.0 + FLUME_TIME - 1.0) == "41"
    assert book.at_mill.at(1000.0 + FLUME_TIME) == "42"


def test_a_load_s_page_says_when_it_was_on_and_off() -> None:
    """Also when the weighbridge ticket is written again with another mass."""
    book = Book()
    book.write(0.0, load("41"))
    book.write(10.0, LoadOn("41"))
    book.write(900.0, LoadOff("41"))
    book.write(950.0, load("41", net=4100.0))
    page = book.loads["41"]
    assert (page.on, page.off, page.entry.net_kg) == (10.0, 900.0, 4100.0)
    assert [p.entry.load for p in book.known_loads(["41", "nobody's", ""])] == ["41"]


def test_a_load_put_on_before_it_was_weighed_in_counts() -> None:
    """The ticket may come later; the fruit has its name from the moment it was put on."""
    book = Book()
    book.write(10.0, LoadOn("43"))
    assert book.at_mill.at(60.0) == "43"


def test_a_vat_s_capacity_stays_known() -> None:
    """An entry that only says where the juice goes forgets nothing."""
    book = Book()
    book.write(0.0, Vat("A", capacity_l=6000.0, contents_l=1200.0))
    assert book.write(500.0, Vat("A"))
    assert book.vats["A"].capacity_l == 6000.0


def test_a_trailer_that_leaves_weighed_takes_no_more_pomace_with_it() -> None:
    """Its net mass is its own entry, and not a switch to it."""
    book = Book()
    assert book.write(0.0, Trailer("green", capacity_kg=3000.0))
    assert book.write(500.0, Trailer("red"))
    assert not book.write(600.0, Trailer("green", net_kg=2750.0))
    assert book.to_trailer.at(700.0) == "red"
    assert book.trailers["green"].net_kg == 2750.0


def test_the_same_entry_twice_is_known() -> None:
    """An id counts once, however often it is delivered."""
    book = Book()
    assert book.is_new("entry-1", 5.0)
    assert not book.is_new("entry-1", 5.0)
    assert book.is_new("entry-2", 5.0)


def test_a_new_shift_keeps_what_goes_on_and_forgets_what_was_said() -> None:
    """Load, vat and known ids stay; crew and notes are the new shift's."""
    book = Book()
    book.is_new("entry-1", 5.0)
    book.write(0.0, ShiftStart("early", ("Ned",), "wet fruit"))
    book.write(0.0, Vat("A"))
    book.write(0.0, LoadOn("41"))
    book.write(100.0, Note("belts rinsed"))
    book.write(100.0, Sample("fruit", dry_matter_pct=16.4))
    assert (book.crew, book.notes) == (("Ned",), ["wet fruit", "belts rinsed"])
    book.begin_shift(1000.0)
    assert (book.crew, book.notes) == ((), [])
    assert (book.to_vat.at(1000.0), book.at_mill.at(1000.0)) == ("A", "41")
    assert not book.is_new("entry-1", 5.0)
