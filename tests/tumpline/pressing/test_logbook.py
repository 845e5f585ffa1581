"""The shift book as people read it."""

import pytest

from fake_line import MINUTE, NOW
from page_book import MORNING, made
from tumpline.pressing.entries import (
    Acknowledge,
    Correct,
    Load,
    LoadOff,
    LoadOn,
    Reason,
    Trailer,
    Variety,
    Vat,
    VatKnown,
)
from tumpline.pressing.logbook import Logbook


@pytest.fixture(name="book")
def _book() -> Logbook:
    book = Logbook()
    for entry in MORNING:
        book.take(entry)
    return book


def test_loads_wait_go_on_and_are_through(book: Logbook) -> None:
    """A load is through when it is said so, or when the next one goes on."""
    assert [(lot.entry.load, lot.waiting, lot.off is None) for lot in book.lots] == [
        ("13", False, False),
        ("14", False, True),
        ("15", True, True),
    ]
    book.take(made(20, 5, "Ada", LoadOff("14")))
    assert book.lots[1].off == NOW - 5 * MINUTE


def test_a_switch_typed_late_takes_its_place_by_its_own_time(book: Logbook) -> None:
    """Load 14 went on before load 15, although it was written down after it."""
    book.take(made(20, 4, "Ada", LoadOn("15")))
    book.take(made(21, 27, "Ada", LoadOn("14")))
    lots = {lot.entry.load: lot for lot in book.lots}
    assert (lots["14"].off, lots["15"].off) == (NOW - 4 * MINUTE, None)


def test_a_load_that_is_weighed_in_after_it_went_on_does_not_wait(book: Logbook) -> None:
    """People write down at noon what went into the flume in the morning."""
    book.take(made(20, 2, "Ada", Load("16", "Long Acre", 4000.0, (Variety("top late", 1.0),))))
    book.take(made(21, 20, "Ada", LoadOn("16")))
    assert [(lot.entry.load, lot.waiting) for lot in book.lots][-1] == ("16", False)


def test_a_correction_shows_both_versions_and_who_made_it(book: Logbook) -> None:
    """The load says its new mass, and what it said before stands beside it."""
    noted = book.find("load-000000000002")
    assert noted is not None
    (correction,) = noted.corrections
    assert isinstance(noted.entry, Load) and isinstance(correction.before, Load)
    assert (noted.entry.net_kg, correction.before.net_kg, correction.by) == (6420.0, 6200.0, "Ada")
    assert noted.by == "Wystan"
    assert "correct" not in {entry.kind for entry in book.entries}


def test_a_corrected_time_moves_the_entry(book: Logbook) -> None:
    """Load 14 went on ten minutes earlier than first written, and 13 ended then."""
    book.take(made(20, 1, "Ada", Correct("load-on-000000000009", {"at": NOW - 36 * MINUTE})))
    assert book.lots[0].off == book.lots[1].on == NOW - 36 * MINUTE


def test_what_the_line_refused_counts_for_nothing(book: Logbook) -> None:
    """A load that could not go on still waits; the entry stays, with the reason."""
    entry = made(20, 2, "Ada", LoadOn("15"))
    book.take(entry)
    book.refuse("load-on", entry.at, "There is none.")
    assert book.lots[2].waiting
    assert book.entries[0].refused == "There is none."


def test_a_refusal_about_an_alarm_finds_its_entry(book: Logbook) -> None:
    """Whether it was to be seen, set aside or brought back."""
    entry = made(20, 2, "Ada", Acknowledge("juice-low"))
    book.take(entry)
    book.refuse("alarm", entry.at, "There is no such alarm.")
    assert book.entries[0].refused == "There is no such alarm."


def test_the_same_entry_twice_counts_once(book: Logbook) -> None:
    """A redelivered message changes nothing, corrections included."""
    before = list(book.entries)
    for entry in MORNING:
        book.take(entry)
    assert book.entries == before


def test_vats_and_trailers_keep_what_was_said_once(book: Logbook) -> None:
    """A capacity need not be repeated."""
    book.take(made(20, 2, "Ada", Vat("1", contents_l=500.0)))
    book.take(made(21, 1, "Ada", Trailer("T2", net_kg=4100.0)))
    assert book.vats["1"] == Vat("1", 12_000.0, 500.0)
    assert book.trailers["T2"] == Trailer("T2", 6_000.0, 4_100.0)


def test_a_vat_that_was_only_made_known_can_be_picked(book: Logbook) -> None:
    """No juice has to go into it first."""
    book.take(made(20, 2, "Ada", VatKnown("9", 8_000.0, 0.0)))
    assert book.vats["9"] == Vat("9", 8_000.0, 0.0)


def test_a_correction_of_what_is_no_longer_here_is_left_out(book: Logbook) -> None:
    """An entry of months ago cannot be shown, and does no harm."""
    book.take(made(20, 1, "Ada", Correct("load-ffffffffffff", {"net_kg": 1.0})))
    assert len(book.entries) == len(MORNING) - 1


def test_two_weeks_are_kept(book: Logbook) -> None:
    """Older entries fall off when a new one comes."""
    book.take(made(20, -15 * 1440, "Ada", Load("99", "Long Acre", 1.0, (Variety("x", 1.0),))))
    assert [noted.kind for noted in book.entries] == ["load"]


def test_a_refusal_of_nothing_that_is_here_is_left_out(book: Logbook) -> None:
    """A refusal finds only the entry of its own kind and time."""
    book.refuse("reason", NOW, "There is no stop x.")
    assert all(noted.refused is None for noted in book.entries if isinstance(noted.entry, Reason))
