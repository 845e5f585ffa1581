"""What a notice says."""

from msgspec.structs import replace

from records import ALARM, SEVEN
from tumpline.adapters.notices.text import STANDING, TEST_BODY, Words
from tumpline.pressing.records import AlarmRecord, AlarmState
from tumpline.runtime.notices import Item

WORDS = Words(site="Hollow Lane Cider Works", timezone="Europe/London")
MILL = replace(ALARM, state=AlarmState.UNACKNOWLEDGED, acknowledged=None, raised=SEVEN)
JUICE = replace(
    MILL, name="juice-low", state=AlarmState.SUPPRESSED, because_of="mill-blocked", caution="Juice caution."
)


def item(alarm: AlarmRecord = MILL, *follows: AlarmRecord, again: bool = False, line: str = "line-1") -> Item:
    """One alarm to tell of."""
    return Item(line, alarm, follows, again)


def test_a_notice_says_what_is_so_and_why_with_the_caution() -> None:
    """Line, alarm, when by the clock of the works, cause, what follows, and the caution."""
    body = WORDS.body([item(MILL, JUICE)])
    assert WORDS.title([item()]) == "Hollow Lane Cider Works: mill-blocked on line-1"
    assert "since 08:00" in body
    assert MILL.cause in body
    assert "From it follows: juice-low." in body
    assert MILL.caution is not None
    assert MILL.caution in body


def test_every_notice_defers_to_the_sites_procedure() -> None:
    """Also one of an alarm without a caution of its own, and the test notice."""
    assert WORDS.body([item(replace(MILL, caution=None))]).endswith(STANDING)
    assert TEST_BODY.endswith(STANDING)
    assert "the site's own procedure" in STANDING


def test_several_alarms_are_one_notice_with_each_caution_once() -> None:
    """The title says how many and which is first."""
    items = [item(), item(JUICE), item(line="line-2")]
    assert WORDS.title(items) == "Hollow Lane Cider Works: 3 alarms on line-1, line-2, mill-blocked first"
    body = WORDS.body(items)
    assert MILL.caution is not None
    assert body.count(MILL.caution) == 1
    assert body.count("Juice caution.") == 1


def test_a_repeated_notice_says_that_the_alarm_is_still_there() -> None:
    """Whoever reads only the title knows that it is the same one."""
    assert WORDS.title([item(again=True)]) == "Hollow Lane Cider Works: still mill-blocked on line-1"


def test_an_alarm_that_is_over_and_one_that_comes_and_goes_say_so() -> None:
    """When its condition ended, and how often it was raised."""
    over = replace(MILL, active=False, cleared=SEVEN + 1800.0, times=37, subject="juice/flow")
    body = WORDS.body([item(over)])
    assert "mill-blocked (juice/flow)" in body
    assert "gone since 08:30" in body
    assert "raised 37 times" in body
