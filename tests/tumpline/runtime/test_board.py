"""The board holds what a screen shows, and says when it changes."""

import asyncio

import msgspec
import pytest

from fake_line import MINUTE, NOW, alarm, live, signals, stop
from records import SUMMARY
from tumpline.pressing.effects import TellAlarm, TellEvent, TellSummary
from tumpline.pressing.records import AlarmState
from tumpline.runtime.board import Board


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
