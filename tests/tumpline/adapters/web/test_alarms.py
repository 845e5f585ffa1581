"""What needs somebody."""

import re

from fake_line import CAUTION, MINUTE, NOW, alarm, blocked
from page_style import style
from tumpline.adapters.web.alarms import draw
from tumpline.pressing.records import AlarmRecord, AlarmState, Priority


def shown(*alarms: AlarmRecord) -> str:
    """The list's markup."""
    return draw(alarms, "/line/line-1", style(), now=NOW).text


def headings(markup: str) -> list[str]:
    """The alarms' names, top to bottom."""
    return [re.sub("<[^>]+>", "", found) for found in re.findall("<h3>.*?</h3>", markup)]


def test_the_caution_comes_before_the_cause() -> None:
    """Whoever reads only the first sentence reads that one."""
    made = shown(alarm())
    assert -1 < made.index(CAUTION.replace("'", "&#x27;")) < made.index("Throughput fell")


def test_what_waits_comes_first_and_a_consequence_stands_under_its_cause() -> None:
    """The order is that of need; the number is of those nobody has seen."""
    made = shown(*blocked().alarms)
    assert headings(made) == ["Now: Mill blocked", "Soon: Juice low", "When you can: Vat nearly full: 3"]
    assert "Needs you: 2<" in made
    assert "Follows from: Mill blocked." in made


def test_only_what_nobody_has_seen_has_a_button() -> None:
    """An alarm that was seen says by whom and when."""
    made = shown(alarm(state=AlarmState.ACKNOWLEDGED, acknowledged=NOW - MINUTE, by="Ada"))
    assert "<button" not in made
    assert "since 10:21, seen 10:23 by Ada" in made


def test_an_alarm_that_is_over_still_asks_to_be_seen() -> None:
    """It says since when it is over, and keeps its button."""
    made = shown(alarm(state=AlarmState.RETURNED_UNACKNOWLEDGED, active=False, cleared=NOW - MINUTE))
    assert "since 10:21, over since 10:23" in made
    assert "I have seen it" in made


def test_what_was_set_aside_says_until_when() -> None:
    """A shelved alarm is at the end of the list, with its time."""
    aside = alarm(
        name="juice-low", state=AlarmState.SHELVED, priority=Priority.HIGH, shelved_until=NOW + 10 * MINUTE, by="Ada"
    )
    made = shown(aside, alarm(priority=Priority.LOW))
    assert headings(made) == ["When you can: Mill blocked", "Set aside: Juice low"]
    assert "set aside until 10:34 by Ada" in made


def test_no_alarm_is_not_said_of_a_line_that_is_not_heard() -> None:
    """Without data the page does not say that nothing is open."""
    made = shown()
    assert re.search('class="[^"]*when-live">No alarm is open.', made)
    assert re.search('class="[^"]*when-old">What needs somebody now is not known.', made)


def test_causes_and_names_are_escaped() -> None:
    """Words from outside cannot be markup."""
    assert "<img" not in shown(alarm(cause="<img src=x>", subject="<img>", by="<img>"))


def test_alarms_that_blame_each_other_are_all_shown() -> None:
    """Whatever the alarms say about each other, none is lost from the list."""
    made = shown(alarm(because_of="juice-low"), alarm(name="juice-low", because_of="mill-blocked"))
    assert len(headings(made)) == 2
