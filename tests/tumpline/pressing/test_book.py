"""The shift book: who owned the fruit, where juice and pomace went, and what stays known."""

import math
from typing import Any

from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.entries import (
    Acknowledge,
    Correct,
    Dip,
    Draw,
    Entry,
    Load,
    LoadOff,
    LoadOn,
    Note,
    Sample,
    ShiftStart,
    Trailer,
    Transfer,
    Variety,
    Vat,
    VatKnown,
)
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import CorrectionRecord
from tumpline.pressing.switches import FLUME_TIME, Switches
from tumpline.pressing.vats import Pours


def load(name: str, *, net: float = 4000.0, grower: str = "Long Acre") -> Load:
    """A weighed load."""
    return Load(name, grower, net, (Variety("bittersweet", 1.0),))


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
    assert book.cellar.capacities["A"] == 6.0


def test_a_vat_that_is_only_made_known_gets_no_juice() -> None:
    """Its size and contents are known from then on, and juice goes where it went before."""
    book = Book()
    book.write(0.0, Vat("A"))
    assert book.write(10.0, VatKnown("B", 8000.0, 500.0))
    assert (book.to_vat.at(20.0), book.cellar.holds("B", Pours())) == ("A", 0.5)
    assert "holds 8000 L" in str(book.mistake(20.0, Dip("B", 9000.0), Pours()))


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


def test_a_sample_speaks_only_of_the_shift_whose_fruit_it_was() -> None:
    """Yesterday's fruit is not today's; that of a load still on is, and so is one taken before the shift was typed."""
    book = Book()
    for name in ("41", "42", "43"):
        book.write(0.0, load(name))
    book.write(10.0, LoadOn("41"))
    book.write(500.0, LoadOn("42"))
    samples = {
        name: Sample("fruit", dry_matter_pct=dry, load=name or None)
        for name, dry in (("41", 16.1), ("42", 16.2), ("43", 16.3), ("", 16.4))
    }
    for sample in samples.values():
        book.write(600.0, sample)
    today = Sample("pomace", dry_matter_pct=24.0)
    book.write(1100.0, today)
    book.begin_shift(1000.0)
    assert book.samples == [samples["42"], today]
    book.write(2000.0, LoadOn("43"))
    assert book.samples == [samples["42"], samples["43"], today]


def test_the_book_does_not_grow_for_ever() -> None:
    """Thirty days of ten loads: a fortnight of them stays, what waits in the yard, and what a vat still holds."""
    book = Book()
    book.write(0.0, load("waiting"))
    for day in range(30):
        at = 86400.0 * day
        book.begin_shift(at)
        for n in range(10):
            name = f"{day}-{n}"
            book.write(at + n, load(name))
            book.write(at + n, LoadOn(name))
            book.write(at + n, Sample("fruit", brix=12.0, load=name))
        poured = Pours()
        poured.extend([0.01], [f"{day}-0"], [0.01], start=at, to_vat=Switches([0.0], ["V1"]), cellar=book.cellar)
        book.cellar.close(poured, at + 3600.0)
    kept = [f"{day}-{n}" for day in range(30) for n in range(10) if n == 0 or day > 13]
    assert set(book.loads) == {"waiting", *kept}
    assert {t.sample.load for t in book.taken} == set(kept)
    assert len(book.at_mill.names) < 20


def test_what_one_shift_milled_of_a_load_is_not_milled_again_in_the_next() -> None:
    """A load that goes on over a change of shift has less left of it."""
    book = Book()
    book.write(0.0, load("41"))
    book.write(10.0, LoadOn("41"))
    book.write(20.0, Note("fog"))
    for at in (100.0, 200.0):
        book.end_shift(at, Pours(), {"41": 1200.0, UNNAMED: 30.0})
    assert book.loads["41"].milled == 2400.0
    assert (book.at_mill.at(300.0), book.notes) == ("41", [])


def test_a_load_s_figure_is_its_newest_sample_else_its_ticket() -> None:
    """What the juice of a load was measured at counts before what it was weighed in with."""
    book = Book()
    ticket = Load("41", "Long Acre", 4000.0, (), 12.0, 5.0)
    book.write(0.0, ticket)
    book.write(0.0, load("42"))
    assert (book.of_juice("brix"), book.of_juice("tannin_g_per_l")) == ({"41": 12.0}, {})
    book.write(20.0, Sample("juice", brix=12.8, load="41"))
    book.write(10.0, Sample("fruit", brix=11.0, load="41"))
    assert book.of_juice("brix") == {"41": 12.8}


def corrected(old: Entry, fields: dict[str, object], *, at: float = 100.0) -> Book:
    """A book with two loads, in which an entry written for `at` was corrected."""
    book = Book()
    for name in ("41", "42"):
        book.write(0.0, load(name))
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


def test_a_correction_keeps_both_versions_and_who_wrote_it() -> None:
    """What stood there, what stands there now, who changed it and when."""
    book = Book()
    book.is_new("load-1", 5.0, load("41"))
    book.write(5.0, load("41"))
    book.correct(Correct("load-1", {"net_kg": 4120.0, "at": 9.0}), at=300.0, by="Isla")
    assert book.corrections == [
        CorrectionRecord(
            "load-1", "load", "41", 300.0, "Isla", {"net_kg": 4000.0, "at": 5.0}, {"net_kg": 4120.0, "at": 9.0}
        )
    ]


def test_a_load_renamed_is_renamed_wherever_it_was_named() -> None:
    """Its juice was there before anybody noticed the wrong number; so were its load-on and its sample."""
    book = Book()
    book.is_new("load-1", 0.0, load("14"))
    book.write(0.0, load("14"))
    book.write(1.0, LoadOn("14"))
    book.write(2.0, Sample("juice", brix=12.0, load="14"))
    poured = Pours()
    poured.extend([0.01], ["14"], [0.01], start=0.0, to_vat=Switches([0.0], ["V1"]), cellar=book.cellar)
    book.cellar.close(poured, 10.0)
    book.correct(Correct("load-1", {"load": "41"}))
    assert list(book.cellar.stocks(Pours())["V1"].parts) == ["41"]
    assert (list(book.loads), book.at_mill.at(5.0), book.of_juice("brix")) == (["41"], "41", {"41": 12.0})
    assert book.loads["41"].on == 1.0


def test_a_load_does_not_become_another() -> None:
    """Two loads of one grower stay two, whatever number somebody writes; a ticket written twice may move."""
    book = Book()
    for entry_id, name in (("load-1", "41"), ("load-2", "42")):
        book.is_new(entry_id, 5.0, load(name))
        book.write(5.0, load(name))
    assert "Load 42 is in the book already" in str(book.correct(Correct("load-1", {"load": "42"})))
    assert set(book.loads) == {"41", "42"}
    book.write(6.0, load("41", net=4100.0))
    assert not isinstance(book.correct(Correct("load-1", {"load": "42"})), str)
    assert (book.loads["41"].entry.net_kg, book.loads["42"].entry.net_kg) == (4100.0, 4000.0)


def test_a_trailer_weighed_by_mistake_is_not_weighed() -> None:
    """The ticket was the other trailer's."""
    book = Book()
    for name in ("green", "red"):
        book.write(0.0, Trailer(name, capacity_kg=3000.0))
    book.is_new("trailer-1", 50.0, Trailer("green", net_kg=2800.0))
    book.write(50.0, Trailer("green", net_kg=2800.0))
    book.correct(Correct("trailer-1", {"trailer": "red"}))
    assert (book.trailers["green"], book.trailers["red"].net_kg) == (Trailer("green", 3000.0), 2800.0)


def test_a_correction_that_cannot_be_changes_nothing() -> None:
    """To a load nobody weighed in, or to a dip over the vat's brim: the entry stays as it was."""
    book = Book()
    book.write(0.0, load("41"))
    book.write(0.0, Vat("V1", capacity_l=6000.0))
    for entry_id, entry in (("load-on-1", LoadOn("41")), ("dip-1", Dip("V1", 5000.0))):
        book.is_new(entry_id, 10.0, entry)
        book.write(10.0, entry)
    assert "There is no load 42" in str(book.correct(Correct("load-on-1", {"load": "42"})))
    assert "7000 L does not go in" in str(book.correct(Correct("dip-1", {"volume_l": 7000.0})))
    assert (book.at_mill.names, book.loads["41"].on, book.corrections) == (["41"], 10.0, [])
    assert book.cellar.stocks(Pours())["V1"].volume.value == 5.0


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


_NAMES = st.sampled_from(["41", "42", "43"])
_VATS = st.sampled_from(["V1", "V2"])
_LITRES = st.floats(0.0, 200.0)
_CONTENTS = st.floats(5000.0, 9000.0)
_ENTRIES: dict[str, st.SearchStrategy[Entry]] = {
    "load": st.builds(load, _NAMES, net=st.floats(1.0, 9000.0)),
    "load-on": st.builds(LoadOn, _NAMES),
    "load-off": st.builds(LoadOff, _NAMES),
    "vat": st.builds(Vat, _VATS, contents_l=st.none() | _CONTENTS),
    "trailer": st.builds(Trailer, st.sampled_from(["green", "red"])),
    "dip": st.builds(Dip, _VATS, _CONTENTS),
    "transfer": st.builds(lambda litres: Transfer("V1", "V2", litres), _LITRES),
    "draw": st.builds(Draw, _VATS, _LITRES),
    "sample": st.builds(lambda load, value: Sample("juice", brix=value, load=load), _NAMES, st.floats(5.0, 20.0)),
    "note": st.builds(Note, st.sampled_from(["fog", "belts rinsed"])),
}
_PAIRS = st.sampled_from(sorted(_ENTRIES)).flatmap(lambda kind: st.tuples(_ENTRIES[kind], _ENTRIES[kind]))


def told(book: Book) -> dict[str, Any]:
    """Everything that figures are made from, in whatever order it was written."""
    poured = Pours()
    owners = [book.at_mill.at(5.0 * j) for j in range(200)]
    poured.extend([0.01] * 200, owners, [0.01] * 200, start=0.0, to_vat=book.to_vat, cellar=book.cellar)
    stocks = book.cellar.stocks(poured.worth(Estimate(1.0), 5.0))
    return {
        "owners": owners,
        "trailers": [book.to_trailer.at(5.0 * j) for j in range(200)],
        "loads": {name: (page.entry, page.on, page.off) for name, page in book.loads.items()},
        "brix": book.of_juice("brix"),
        "notes": sorted(book.notes),
        "vats": {vat: {load: stock.part(load) for load in stock.parts} for vat, stock in stocks.items() if stock.parts},
        "sum": {vat: (sum(p.amount for p in s.parts.values()), s.volume.value) for vat, s in stocks.items()},
    }


@given(st.lists(_PAIRS, min_size=1, max_size=8), st.permutations(range(8)), st.data())
def test_a_correction_comes_to_the_same_as_having_written_it_right(
    pairs: list[tuple[Entry, Entry]], order: list[int], data: st.DataObject
) -> None:
    """
    Every entry written wrong and put right, in another order than that of their times: loads, vats, trailers, samples
    and notes are those of the book in which all was right at once, and what the vats hold is the sum of its loads.
    """
    right, wrong = Book(), Book()
    for book in (right, wrong):
        for name in ("41", "42", "43"):
            book.write(0.0, load(name, grower="Long Acre"))
        book.write(0.0, Vat("V1", contents_l=5000.0))
        book.write(0.0, Vat("V2", contents_l=5000.0))
    times = [100.0 * (place + 1) for place in order]
    for n, (mistaken, meant) in enumerate(pairs):
        right.write(times[n], meant)
        wrong.is_new(f"entry-{n}", times[n], mistaken)
        wrong.write(times[n], mistaken)
    for n in data.draw(st.permutations(range(len(pairs)))):
        fields = {name: getattr(pairs[n][1], name) for name in pairs[n][1].__struct_fields__ if name != "varieties"}
        assert not isinstance(wrong.correct(Correct(f"entry-{n}", fields)), str)
    assert told(wrong) == told(right)
    assert all(math.isclose(parts, whole, abs_tol=1e-9) for parts, whole in told(wrong)["sum"].values())
