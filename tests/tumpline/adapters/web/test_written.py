"""What was written, and the stops."""

import re

from fake_line import MINUTE, NOW, half_hour, live, stop
from page_book import made, morning
from page_style import style
from tumpline.adapters.web.written import entries, stops, told
from tumpline.pressing.entries import LoadOn, Note, Proof, Reason, Shelve, ShiftStart
from tumpline.runtime.board import Board

SPACE, UNIT = "\N{NARROW NO-BREAK SPACE}", "\N{NO-BREAK SPACE}"


def words(markup: str) -> str:
    """Markup without its tags."""
    return re.sub(" +", " ", re.sub("<[^>]+>", " ", markup))


def busy() -> Board:
    """A line with a busy morning."""
    board = Board(["line-1"])
    half_hour(board)
    morning(board)
    return board


def test_an_entry_put_right_shows_both_versions() -> None:
    """What it says, what it said, who wrote it and who put it right."""
    text = words(entries(busy().line("line-1"), style()).text)
    assert f"Load 13; Grower Long Acre; Net 6{SPACE}420{UNIT}kg" in text
    assert f"Put right by Ada, 10:04; before: Load 13; Grower Long Acre; Net 6{SPACE}200{UNIT}kg" in text
    assert "for 07:14, by Wystan" in text


def test_an_entry_that_the_line_refused_says_why() -> None:
    """It stays in the book, marked."""
    board = busy()
    entry = made(20, 1, "Ada", LoadOn("99"))
    board.enter("line-1", entry)
    board.line("line-1").book.refuse("load-on", entry.at, "There is no load 99.")
    assert "The line did not take this: There is no load 99." in words(entries(board.line("line-1"), style()).text)


def test_every_entry_leads_to_its_correction() -> None:
    """With its name and time for those who cannot see."""
    text = entries(busy().line("line-1"), style()).text
    assert 'href="/line/line-1/book/correct/load-000000000002"' in text
    assert 'aria-label="Put right: Weigh in a load, 07:14"' in text


def test_what_was_typed_is_text() -> None:
    """A script in a note is shown, and does not run."""
    board = busy()
    board.enter("line-1", made(20, 1, "<b>Ada", Note("<script>alert(1)</script>")))
    text = entries(board.line("line-1"), style()).text
    assert "<script>" not in text and "<b>" not in text
    assert "&lt;script&gt;" in text


def test_stops_ask_for_their_reason_or_let_it_be_changed() -> None:
    """Newest first; the reason's own entry is put right, so both versions stay."""
    board = busy()
    first = stop(id="stop-6", start=NOW - 17 * MINUTE, end=NOW - 13 * MINUTE, reason="break", by="Ada")
    board.show("line-1", live(stops=(first, stop())))
    text = stops(board.line("line-1"), style()).text
    assert "since 10:18, 6 min so far" in text and "Stopped, no reason given yet" in text
    assert 'href="/line/line-1/book/reason?stop=stop-7"' in text
    assert 'href="/line/line-1/book/correct/reason-00000000000b"' in text
    assert text.index("10:18") < text.index("from 10:07 to 10:11, 4 min")


def test_a_reason_given_after_the_shift_shows_beside_its_stop() -> None:
    """The line itself tells no more of the stop then."""
    board = busy()
    board.show("line-1", live(stops=(stop(end=NOW - MINUTE),)))
    board.show("line-1", live(shift="late", stops=()))
    board.enter("line-1", made(20, 0, "Wystan", Reason("stop-7", "no fruit", "gate was shut")))
    text = words(stops(board.line("line-1"), style()).text)
    assert "no fruit from 10:18 to 10:23" in text
    assert "gate was shut by Wystan" in text


def test_entries_are_told_with_names_and_units() -> None:
    """Lists with commas, numbers with units, moments by the clock, and nothing for what was left out."""
    board = busy()
    board.show("line-1", live(stops=(stop(),)))
    line = board.line("line-1")
    assert told(ShiftStart("early", ("Ada", "Wystan")), line, style()) == "Shift early; Crew Ada, Wystan"
    assert told(Reason("stop-7", "break"), line, style()) == "Stop 10:18; Reason break"
    assert told(Reason("stop-1", "break"), line, style()) == "Stop stop-1; Reason break"
    assert (
        told(Shelve("flume-low", 60.0, "strainer"), line, style())
        == "Alarm Flume low; For how long 1 h 00; Note strainer"
    )
    assert told(Note("all well"), line, style()) == "all well"
    proof = Proof("juice/flow", NOW - 7 * MINUTE, NOW - 2 * MINUTE, volume_l=150.0)
    assert told(proof, line, style()) == f"Meter juice/flow; From 10:17; Until 10:22; Volume 150{UNIT}L"
