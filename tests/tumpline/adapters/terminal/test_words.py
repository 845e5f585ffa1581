from datetime import UTC, datetime
from zoneinfo import ZoneInfo

import pytest
from msgspec.structs import replace

from glances import glance
from records import ALARM, LIVE, STOP
from tumpline.adapters.terminal.words import (
    CONDITION,
    alarm_state,
    between,
    clock,
    duration,
    gallons_per_ton,
    harmless,
    in_order,
    number,
    why,
)
from tumpline.pressing.records import AlarmState, Condition, Priority
from tumpline.wire.glance import Interval


def test_every_condition_has_a_shape_of_its_own() -> None:
    """Conditions differ without colour, and without reading the word."""
    assert set(CONDITION) == {condition.value for condition in Condition}
    assert len({text[:3] for text in CONDITION.values()}) == len(Condition)


@pytest.mark.parametrize("text", ["a\x1b[2Jb", "a\nb", "a\x9bb", "a\u202eb", "a\x07b"])
def test_text_from_outside_cannot_order_the_terminal_about(text: str) -> None:
    """Whatever a terminal would obey becomes a space."""
    assert harmless(text).isprintable()
    assert len(harmless(text)) == len(text)


@pytest.mark.parametrize(
    ("value", "decimals", "text"), [(712.4, 0, "712"), (14250.0, 0, "14 250"), (-0.04, 1, "0.0"), (-1.25, 2, "-1.25")]
)
def test_numbers(value: float, decimals: int, text: str) -> None:
    """Thousands are set apart, and nothing is never negative."""
    assert number(value, decimals) == text


def test_an_interval_that_would_look_empty_gets_a_decimal() -> None:
    """Both ends of an interval read differently."""
    assert between(Interval(712.0, 711.9, 712.1)) == "711.9 to 712.1"
    assert between(Interval(712.0, 698.0, 726.0)) == "698 to 726"


@pytest.mark.parametrize(
    ("seconds", "text"), [(-3.0, "0 s"), (59.9, "59 s"), (61.0, "1 min"), (6120.0, "1 h 42"), (200_000.0, "2 d")]
)
def test_durations(seconds: float, text: str) -> None:
    """A duration is told in whole units that have passed."""
    assert duration(seconds) == text


def test_the_clock_is_that_of_the_works() -> None:
    """The same instant an hour before and after the change of October reads differently on the wall."""
    london = ZoneInfo("Europe/London")
    assert clock(datetime(2026, 10, 25, 0, 30, tzinfo=UTC), london) == "01:30:00"
    assert clock(datetime(2026, 10, 25, 1, 30, tzinfo=UTC), london) == "01:30:00"


def test_imperial_yield() -> None:
    """150 imperial gallons a long ton are 671.144 L/t (Units of Measurement Regulations 1995, derived)."""
    assert gallons_per_ton(671.144) == "150 gal/ton"


def test_a_stop_without_a_reason_asks_for_one() -> None:
    """The reason people gave stands in the band, and where there is none that stands there."""
    stop = replace(STOP, end=None, reason=None)
    assert why(glance(why="no fruit", stop=stop)) == "No fruit. No reason given yet."
    assert why(glance(why="no fruit", stop=replace(stop, reason="cloth"))) == "No fruit. Cloth."
    assert why(glance(why="juice flows", stop=STOP)) == "Juice flows."


def test_alarms_stand_in_the_order_of_need_with_what_followed_below() -> None:
    """The most urgent first, then the older; a consequence directly under its cause."""
    vat = replace(ALARM, name="vat-nearly-full", priority=Priority.LOW, raised=LIVE.at - 999.0)
    juice = replace(ALARM, name="juice-low", priority=Priority.MEDIUM, because_of="mill-blocked")
    alone = replace(ALARM, name="fruit-starved", priority=Priority.MEDIUM, because_of="flume-low")
    found = in_order(glance(alarms=(vat, juice, alone, ALARM)).alarms)
    assert [alarm.name for alarm in found] == ["mill-blocked", "juice-low", "fruit-starved", "vat-nearly-full"]


@pytest.mark.parametrize(
    ("state", "text"),
    [
        (AlarmState.UNACKNOWLEDGED, "not acknowledged"),
        (AlarmState.RETURNED_UNACKNOWLEDGED, "over, not acknowledged"),
        (AlarmState.ACKNOWLEDGED, "seen by M. Reed"),
        (AlarmState.SHELVED, "shelved"),
        (AlarmState.OUT_OF_SERVICE, "out of service"),
    ],
)
def test_the_state_of_an_alarm_in_words(state: AlarmState, text: str) -> None:
    """What people have done about an alarm is said without the standard's words."""
    assert alarm_state(glance(alarms=(replace(ALARM, state=state),)).alarms[0]) == text
