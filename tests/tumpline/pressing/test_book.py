"""The shift book: who owned the fruit, where juice and pomace went, and what stays known."""

import math

from tumpline.pressing.book import FLUME_TIME, UNNAMED, Book, Switches
from tumpline.pressing.entries import (
    Acknowledge,
    Correct,
    Entry,
    Load,
    LoadOff,
    LoadOn,
    Note,
    Sample,
    ShiftStart,
    Trailer,
    Variety,
    Vat,
)


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
    assert book.is_new("entry-1", 5.0, Note("quiet"))
    assert not book.is_new("entry-1", 5.0, Note("quiet"))
    assert book.is_new("entry-2", 5.0, Note("quiet"))


def test_a_new_shift_keeps_what_goes_on_and_forgets_what_was_said() -> None:
    """Load, vat and known ids stay; crew and notes are the new shift's."""
    book = Book()
    book.is_new("entry-1", 5.0, Note("quiet"))
    book.write(0.0, ShiftStart("early", ("Ned",), "wet fruit"))
    book.write(0.0, Vat("A"))
    book.write(0.0, LoadOn("41"))
    book.write(100.0, Note("belts rinsed"))
    book.write(100.0, Sample("fruit", dry_matter_pct=16.4))
    assert (book.crew, book.notes) == (("Ned",), ["wet fruit", "belts rinsed"])
    book.begin_shift(1000.0)
    assert (book.crew, book.notes) == ((), [])
    assert (book.to_vat.at(1000.0), book.at_mill.at(1000.0)) == ("A", "41")
    assert not book.is_new("entry-1", 5.0, Note("quiet"))


def corrected(old: Entry, fields: dict[str, object], *, at: float = 100.0) -> Book:
    """A book in which an entry written for `at` was corrected."""
    book = Book()
    book.is_new("entry-1", at, old)
    book.write(at, old)
    assert not isinstance(book.correct(Correct("entry-1", fields)), str)
    return book


def test_a_corrected_load_keeps_its_page() -> None:
    """Another mass or grower, also another name: when it was on stays."""
    book = Book()
    book.is_new("entry-1", 0.0, load("41"))
    book.write(0.0, load("41"))
    book.write(10.0, LoadOn("41"))
    assert not isinstance(book.correct(Correct("entry-1", {"net_kg": 4250.0})), str)
    assert (book.loads["41"].entry.net_kg, book.loads["41"].entry.grower, book.loads["41"].on) == (
        4250.0,
        "Long Acre",
        10.0,
    )
    assert not isinstance(book.correct(Correct("entry-1", {"load": "14"})), str)
    assert (list(book.loads), book.loads["14"].entry.net_kg) == (["14"], 4250.0)


def test_a_corrected_switch_takes_the_place_of_the_wrong_one() -> None:
    """The wrong vat never got the juice; another time moves the switch."""
    book = corrected(Vat("A"), {"vat": "B"})
    assert book.to_vat.names == ["B"]
    book = corrected(Vat("A"), {"at": 300.0})
    assert (book.to_vat.at(200.0), book.to_vat.at(300.0)) == (UNNAMED, "A")
    assert corrected(LoadOn("41"), {"load": "42"}).at_mill.names == ["42"]
    assert corrected(Trailer("green"), {"trailer": "red"}).to_trailer.names == ["red"]


def test_a_corrected_sample_or_note_stands_alone() -> None:
    """The figures and the remarks of the shift are those after the correction."""
    book = corrected(Sample("fruit", dry_matter_pct=61.4), {"dry_matter_pct": 16.4})
    assert book.samples == [Sample("fruit", dry_matter_pct=16.4)]
    assert corrected(Note("belts rinzed"), {"text": "belts rinsed"}).notes == ["belts rinsed"]


def test_a_correction_may_be_corrected() -> None:
    """The last one stands."""
    book = corrected(Vat("A"), {"vat": "B"})
    assert not isinstance(book.correct(Correct("entry-1", {"vat": "C"})), str)
    assert book.to_vat.names == ["C"]


def test_what_cannot_be_corrected_is_refused_in_a_sentence() -> None:
    """An id nobody wrote, and an acknowledgement, which was made and stays made."""
    book = Book()
    assert "no entry load-7" in str(book.correct(Correct("load-7", {"net_kg": 1.0})))
    book.is_new("entry-1", 0.0, Acknowledge("mill-blocked"))
    assert "acknowledge is not corrected" in str(book.correct(Correct("entry-1", {"alarm": "juice-low"})))
