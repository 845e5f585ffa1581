"""The board holds what a screen shows, and says when it changes."""

import asyncio

import msgspec
import pytest

from fake_line import MINUTE, NOW, alarm, live, signals, stop
from page_book import made
from records import SUMMARY
from tumpline.pressing.effects import TellAlarm, TellEvent, TellSummary
from tumpline.pressing.entries import LoadOn
from tumpline.pressing.records import AlarmState
from tumpline.runtime.board import REFUSALS, Board
from tumpline.runtime.ports import RefusedRow


@pytest.fixture(name="board")
def _board() -> Board:
    return Board(["line-1", "line-2"])


def test_lines_do_not_mix(board: Board) -> None:
    """What one line shows is not shown on another."""
    board.show("line-1", live())
    assert (board.line("line-1").live, board.line("line-2").live) == (live(), None)


def test_a_told_alarm_is_open_until_it_is_normal(board: Board) -> None:
    """An alarm appears at once, and goes when it has returned to normal."""
    board.tell(TellAlarm(alarm()), "line-1")
    assert board.line("line-1").alarms == (alarm(),)
    board.tell(TellAlarm(alarm(state=AlarmState.ACKNOWLEDGED, by="Ada")), "line-1")
    assert [a.by for a in board.line("line-1").alarms] == ["Ada"]
    board.tell(TellAlarm(alarm(state=AlarmState.NORMAL, active=False)), "line-1")
    assert board.line("line-1").alarms == ()


def test_a_view_brings_the_alarms_that_were_told_before(board: Board) -> None:
    """After a restart the open alarms are there with the first view."""
    board.tell(TellAlarm(alarm(name="juice-low")), "line-1")
    board.show("line-1", live(alarms=(alarm(),)))
    assert [a.name for a in board.line("line-1").alarms] == ["mill-blocked"]


def test_a_stop_lasts_until_the_line_no_longer_shows_it(board: Board) -> None:
    """A stop whose reason was given while it lasted ends when it is gone from the view."""
    board.show("line-1", live(stop=stop(reason="break")))
    assert board.line("line-1").stops == (stop(reason="break"),)
    board.show("line-1", live(at=NOW + 30.0))
    assert board.line("line-1").stops == (stop(reason="break", end=NOW + 30.0),)
    board.show("line-1", live(at=NOW + 15 * 60 * MINUTE))
    assert board.line("line-1").stops == ()


def test_silence_is_not_taken_for_news(board: Board) -> None:
    """There is no data before the first view, when it is old, and when no meter is heard."""
    line = board.line("line-1")
    assert line.is_silent(NOW, 15.0)
    board.show("line-1", live())
    assert [line.is_silent(NOW + age, 15.0) for age in (0.0, 15.0, 15.1)] == [False, False, True]
    board.show("line-1", live(at=NOW + 60.0, signals=signals(fresh=False)))
    assert line.is_silent(NOW + 60.0, 15.0)
    assert line.heard == NOW


def test_watchers_are_told_of_every_change() -> None:
    """Whoever watches learns of a change on any line, and nobody else is kept."""

    async def scenario() -> list[bool]:
        board = Board(["line-1", "line-2"])
        told = []
        with board.subscribe() as changed:
            for change in (
                lambda: board.show("line-2", live(line="line-2")),
                lambda: board.figures("line-1", NOW, {}),
                lambda: board.tell(TellEvent("load.on", NOW, {}), "line-1"),
            ):
                changed.clear()
                change()
                told.append(changed.is_set())
        changed.clear()
        board.figures("line-1", NOW + 5.0, {})
        return [*told, changed.is_set()]

    assert asyncio.run(scenario()) == [True, True, True, False]


def test_an_earlier_shift_put_right_is_not_the_last_one(board: Board) -> None:
    """The last shift stays the one that is shown; told anew itself, it is shown as it stands now."""
    earlier = msgspec.structs.replace(SUMMARY, shift="night", end=SUMMARY.start)
    anew = msgspec.structs.replace(SUMMARY, notes=())
    for summary in (SUMMARY, earlier):
        board.tell(TellSummary(summary), "line-1")
    assert board.line("line-1").summary == SUMMARY
    board.tell(TellSummary(anew), "line-1")
    assert board.line("line-1").summary == anew


def test_the_shifts_stops_are_those_of_the_view(board: Board) -> None:
    """Reasons given later are there with the next view."""
    first = stop(id="stop-6", start=NOW - 17 * MINUTE, end=NOW - 13 * MINUTE)
    board.show("line-1", live(stops=(first, stop())))
    board.show("line-1", live(stops=(msgspec.structs.replace(first, reason="break"), stop())))
    assert [(s.id, s.reason) for s in board.line("line-1").stops] == [("stop-6", "break"), ("stop-7", None)]


def test_alarms_that_are_over_are_remembered(board: Board) -> None:
    """Newest first, each occurrence once."""
    over = alarm(state=AlarmState.NORMAL, active=False, cleared=NOW)
    for told in (over, over, msgspec.structs.replace(over, name="juice-low")):
        board.tell(TellAlarm(told), "line-1")
    assert [past.name for past in board.line("line-1").past_alarms] == ["juice-low", "mill-blocked"]


def test_the_book_and_what_the_line_refused_of_it(board: Board) -> None:
    """An entry shows at once, and so does that it could not be taken."""
    entry = made(1, 1, "Ada", LoadOn("99"))
    board.enter("line-1", entry)
    board.tell(TellEvent("entry.refused", entry.at, {"kind": "load-on", "reason": "There is none."}), "line-1")
    assert [(noted.kind, noted.refused) for noted in board.line("line-1").book.entries] == [
        ("load-on", "There is none.")
    ]
    assert board.line("line-2").book.entries == []


def test_vats_stay_known_when_juice_goes_elsewhere(board: Board) -> None:
    """The last that was seen of each vat is what one decides by."""
    board.show("line-1", live())
    board.show("line-1", live(at=NOW + 1.0, vat=None))
    assert set(board.line("line-1").vats) == {"3"}


def test_what_could_not_be_used_is_bounded(board: Board) -> None:
    """A signal that sends nothing but nonsense does not fill the memory."""
    for number in range(200):
        board.refuse(RefusedRow(number, 0, "line-1", "juice/flow", NOW, "It is no number.", b"x"))
    refusals = board.line("line-1").refusals
    assert (len(refusals), refusals[0].seq) == (REFUSALS, 199)
