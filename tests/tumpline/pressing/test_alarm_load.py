"""How much the alarms ask of people, against a worked example and the bounds of the standard."""

import pytest

from tumpline.pressing.alarm_load import ShiftAlarms, alarm_load, alarm_performance, by_ten_minutes
from tumpline.pressing.records import AlarmLoad, AlarmRecord, AlarmState, Priority

WORKED = (0, 30, 60, 95, 130, 170, 200, 240, 300, 350, 420, 500, 1300, 1900)
"""Alarms of one hour, seconds; own worked example."""
HOUR = 3600.0
DAY = 86_400.0


def alarm(
    raised: float,
    name: str = "mill-blocked",
    *,
    cleared: float | None = None,
    announced: bool = True,
    times: int = 1,
    priority: Priority = Priority.HIGH,
) -> AlarmRecord:
    """An alarm of which only these matter."""
    return AlarmRecord(
        name=name,
        subject=None,
        state=AlarmState.NORMAL,
        active=cleared is None,
        priority=priority,
        raised=raised,
        cleared=cleared,
        acknowledged=None,
        by=None,
        value=None,
        limit=None,
        unit=None,
        cause="",
        because_of=None,
        caution=None,
        announced=announced,
        times=times,
    )


def load(*alarms: AlarmRecord, hours: float = 1.0) -> AlarmLoad:
    """What the alarms of so many hours ask of people."""
    return alarm_load(alarms, start=0.0, end=hours * HOUR)


def test_a_worked_example() -> None:
    """14 in the hour, twelve in the worst ten minutes; a flood from the eleventh (420 s) to four left (840 s)."""
    found = load(*(alarm(float(t)) for t in WORKED))
    assert (found.count, found.worst_ten_minutes) == (14, 12)
    assert found.per_hour == pytest.approx(6 * 2.3333, abs=1e-3)
    assert found.flood == pytest.approx(420.0)


def test_the_worked_example_by_the_clock() -> None:
    """The six periods of ten minutes hold 12, 0, 1, 1, 0 and 0 alarms."""
    assert by_ten_minutes(WORKED, start=0.0, end=HOUR) == [12, 0, 1, 1, 0, 0]


def test_ten_alarms_in_ten_minutes_are_no_flood_yet() -> None:
    """A flood starts above ten (ANSI/ISA-18.2 through a secondary text)."""
    ten = tuple(alarm(60.0 * i, f"alarm-{i}") for i in range(10))
    eleven = (*ten, alarm(599.0, "alarm-10"))
    assert load(*ten).flood == 0.0
    assert load(*eleven).flood > 0.0
    assert load(*eleven, hours=0.25).flood == pytest.approx(301.0)


def test_three_alarms_of_one_name_in_a_minute_chatter() -> None:
    """Three of one name do, three of three names do not (secondary text)."""
    assert load(alarm(0.0), alarm(20.0), alarm(50.0)).chattering == ("mill-blocked",)
    assert load(alarm(0.0), alarm(20.0), alarm(70.0)).chattering == ()
    assert load(alarm(0.0, "juice-low"), alarm(20.0), alarm(50.0, "signal-lost")).chattering == ()


def test_an_alarm_that_came_and_went_by_itself_chatters() -> None:
    """It is one alarm, and named as one that chatters."""
    found = load(alarm(0.0, times=40))
    assert (found.count, found.chattering) == (1, ("mill-blocked",))


def test_what_asked_for_nobody_is_no_load() -> None:
    """A consequence under its cause, or an alarm on the shelf, does not count."""
    assert load(alarm(0.0), alarm(10.0, "juice-low", announced=False)).count == 1


def test_an_alarm_of_before_that_still_stands_is_counted_once() -> None:
    """In the shift in which it was raised, and not in the next one too."""
    standing = alarm(-60.0)
    assert load(standing).count == 0
    both = [ShiftAlarms(-HOUR, 0.0, [standing]), ShiftAlarms(0.0, HOUR, [standing])]
    assert alarm_performance(both).count == 1


def test_no_alarm_is_no_load() -> None:
    """An hour without alarms has none per hour, and none to chatter."""
    found = load()
    assert (found.count, found.per_hour, found.worst_ten_minutes, found.flood) == (0, 0.0, 0, 0.0)


def test_an_alarm_that_stands_for_more_than_a_day_is_stale() -> None:
    """More than 24 hours (ANSI/ISA-18.2 through a secondary text), whether it still stands or not."""
    assert load(alarm(-DAY), hours=1.0).stale == ("mill-blocked",)
    assert load(alarm(-DAY, cleared=10.0), hours=1.0).stale == ("mill-blocked",)
    assert load(alarm(-DAY + HOUR, cleared=HOUR), hours=1.0).stale == ()


def test_a_season_of_alarms() -> None:
    """Rates are over the hours of the shifts; shares are of the alarms, of the periods and of the time."""
    crowded = tuple(alarm(float(t)) for t in WORKED)
    second = (alarm(31 * DAY, "juice-low", priority=Priority.LOW), alarm(31 * DAY + 700.0, "juice-low"))
    found = alarm_performance(
        [ShiftAlarms(0.0, HOUR, crowded), ShiftAlarms(31 * DAY, 31 * DAY + HOUR, second)],
    )
    assert (found.shifts, found.count, found.worst_ten_minutes) == (2, 16, 12)
    assert found.days == pytest.approx(31.0, abs=0.1)
    assert found.per_hour == 8.0
    assert found.crowded_share == pytest.approx(1 / 12)
    assert found.flood_share == pytest.approx(420.0 / 7200.0)
    assert found.top_ten_share == 1.0
    assert found.priorities == {Priority.HIGH: 15 / 16, Priority.LOW: 1 / 16}
    assert found.chattering == ()


def test_the_ten_most_frequent_names_have_their_share() -> None:
    """Of eleven names raised once each and one raised nine times more, the ten commonest have 19 of 20."""
    alarms = [alarm(60.0 * i, f"alarm-{i}") for i in range(11)] + [alarm(60.0 * i, "alarm-0") for i in range(20, 29)]
    assert alarm_performance([ShiftAlarms(0.0, HOUR, alarms)]).top_ten_share == pytest.approx(19 / 20)


def test_a_season_without_shifts_has_no_rates() -> None:
    """What cannot be known is not zero."""
    found = alarm_performance([])
    assert (found.count, found.per_hour, found.flood_share, found.top_ten_share) == (0, None, None, None)
