"""The alarms' page."""

import msgspec

from fake_line import CAUTION, MINUTE, NOW, alarm, blocked, half_hour, live
from page_style import style
from tumpline.adapters.web.alarms_page import parts
from tumpline.pressing.effects import TellAlarm
from tumpline.pressing.records import AlarmRecord, AlarmState
from tumpline.runtime.board import Board


def shown(*alarms: AlarmRecord) -> dict[str, str]:
    """The page's parts with these alarms open."""
    board = Board(["line-1"])
    half_hour(board)
    board.show("line-1", live(alarms=alarms))
    return {key: part.text for key, part in parts(board.line("line-1"), style(), now=NOW).items()}


def test_the_caution_comes_before_cause_button_and_drawing() -> None:
    """Whoever reads only the first sentence reads that one."""
    made = shown(alarm())["needs"]
    places = [
        made.index(words)
        for words in (CAUTION.replace("'", "&#x27;"), "Throughput fell", "<button", '<svg viewBox="0 0 1000')
    ]
    assert places == sorted(places)


def test_an_alarm_shows_its_figure_its_limit_and_the_line_around_its_moment() -> None:
    """The drawing is marked where it was raised, and its ids are its own."""
    made = shown(*blocked().alarms)["needs"]
    assert "0.10 against a limit of 1.20 t/h" in made
    assert 'class="moment"' in made and "Around 10:21" in made
    assert 'id="mill-blocked-fruit-title"' in made and 'id="vat-nearly-full-fruit-title"' in made
    assert "juice-low-fruit" not in made  # it follows from the blocked mill, whose drawing is right above it


def test_an_alarm_of_long_ago_has_no_drawing() -> None:
    """What the trend no longer holds is not drawn."""
    assert "Around" not in shown(alarm(raised=NOW - 60 * MINUTE))["needs"]


def test_an_alarm_can_be_set_aside_and_brought_back() -> None:
    """The way is there with the alarm's name, for those who cannot see too."""
    assert 'href="/line/line-1/book/shelve?alarm=mill-blocked"' in shown(alarm())["needs"]
    aside = shown(alarm(state=AlarmState.SHELVED, shelved_until=NOW + 30 * MINUTE, by="Ada"))["needs"]
    assert 'action="/line/line-1/unshelve?from=alarms"' in aside
    assert "set aside until 10:54 by Ada" in aside
    assert 'aria-label="Bring back: Mill blocked"' in aside


def test_a_consequence_asks_for_nobody_and_needs_no_way_aside() -> None:
    """It stands under its cause, is named as what follows, and the cause stays as it was."""
    follows = alarm(name="juice-low", state=AlarmState.SUPPRESSED, because_of="mill-blocked", announced=False, times=3)
    made = shown(alarm(), follows)["needs"]
    assert "Follows: </span>Juice low" in made and "3 times" in made
    assert "shelve?alarm=juice-low" not in made and "shelve?alarm=mill-blocked" in made


def test_what_was_is_told_with_its_length_and_who_saw_it() -> None:
    """Newest first, until the page is full."""
    board = Board(["line-1"])
    over = alarm(state=AlarmState.NORMAL, active=False, cleared=NOW, by="Ada")
    board.tell(TellAlarm(over), "line-1")
    board.tell(TellAlarm(msgspec.structs.replace(over, name="juice-low", by=None)), "line-1")
    was = parts(board.line("line-1"), style(), now=NOW)["was"].text
    assert was.index("Juice low") < was.index("Mill blocked")
    assert "10:21 to 10:24, 3 min; seen by Ada" in was
    assert "nobody has said that they saw it" in was


def test_without_alarms_the_page_says_so_only_while_that_is_known() -> None:
    """A quiet page proves nothing when no data comes."""
    made = shown()["needs"]
    assert '<p class="note when-live">No alarm is open.</p>' in made
    assert '<p class="note when-old">What needs somebody now is not known.</p>' in made
