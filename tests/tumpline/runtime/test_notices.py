"""Which alarms somebody is to be told of, and when."""

from datetime import UTC, datetime, time
from zoneinfo import ZoneInfo

import pytest
from msgspec.structs import replace

from records import ALARM
from tumpline.pressing.records import AlarmRecord, AlarmState, Priority
from tumpline.runtime.notices import SETTLES, Item, Memory, Policy, Quiet, due, remember

POLICY = Policy(minimum=Priority.MEDIUM, repeat_after=600.0, gather=60.0)
NOON = datetime(2026, 10, 14, 11, 0, tzinfo=UTC).timestamp()
"""Noon in London."""
LONDON = ZoneInfo("Europe/London")
WAITING = AlarmState.UNACKNOWLEDGED


def alarm(
    name: str = "mill-blocked",
    *,
    state: AlarmState = WAITING,
    priority: Priority = Priority.HIGH,
    raised: float = NOON,
    active: bool = True,
    because_of: str | None = None,
    subject: str | None = None,
) -> AlarmRecord:
    """An alarm raised at noon."""
    return replace(
        ALARM, name=name, state=state, priority=priority, raised=raised, active=active, because_of=because_of,
        subject=subject,
    )  # fmt: skip


class Phone:
    """One address, and what it is told."""

    def __init__(self, policy: Policy = POLICY) -> None:
        self.policy = policy
        self.memory: Memory = {}

    def hears(self, *alarms: AlarmRecord, after: float = 10.0) -> list[Item]:
        """What it is told so many seconds after noon, when these alarms are not normal."""
        items = due(self.policy, {"line-1": alarms}, self.memory, NOON + after)
        remember(self.memory, items, NOON + after)
        return items


def names(items: list[Item]) -> list[str]:
    """The alarms of a message."""
    return [item.alarm.name for item in items]


def test_an_alarm_that_waits_to_be_seen_is_told_once() -> None:
    """Soon after it was raised, and not again while it is news no more."""
    phone = Phone()
    assert phone.hears(alarm(), after=SETTLES - 1.0) == []
    assert names(phone.hears(alarm(), after=SETTLES)) == ["mill-blocked"]
    assert phone.hears(alarm(), after=300.0) == []


@pytest.mark.parametrize(
    "state",
    [
        AlarmState.ACKNOWLEDGED,
        AlarmState.SHELVED,
        AlarmState.OUT_OF_SERVICE,
        AlarmState.SUPPRESSED,
        AlarmState.LATCHED_ACKNOWLEDGED,
    ],
)
def test_what_waits_for_nobody_is_not_told(state: AlarmState) -> None:
    """Seen, set aside or under its cause, an alarm calls nobody."""
    assert Phone().hears(alarm(state=state)) == []


def test_an_alarm_is_told_again_until_somebody_acknowledges_it() -> None:
    """Every ten minutes while it holds; no more once it is acknowledged."""
    phone = Phone()
    assert not phone.hears(alarm())[0].again
    assert phone.hears(alarm(), after=609.0) == []
    assert phone.hears(alarm(), after=610.0)[0].again
    assert phone.hears(alarm(state=AlarmState.ACKNOWLEDGED), after=1300.0) == []


def test_an_alarm_that_is_over_is_not_told_again() -> None:
    """What nobody saw is told once, even when it is over by then; repeating it would call people to nothing."""
    phone = Phone()
    over = alarm(state=AlarmState.RETURNED_UNACKNOWLEDGED, active=False)
    assert names(phone.hears(over)) == ["mill-blocked"]
    assert phone.hears(over, after=3600.0) == []


def test_a_latched_alarm_is_told_again() -> None:
    """A hard object lasts a moment; that it was there waits to be seen."""
    phone = Phone()
    latched = alarm("hard-object", state=AlarmState.LATCHED_UNACKNOWLEDGED, active=False)
    phone.hears(latched)
    assert names(phone.hears(latched, after=700.0)) == ["hard-object"]


def test_the_next_occurrence_is_news() -> None:
    """The same alarm raised again is told without waiting for the repeat."""
    phone = Phone()
    phone.hears(alarm())
    (item,) = phone.hears(alarm(raised=NOON + 100.0), after=120.0)
    assert not item.again


def test_one_more_signal_lost_is_news_and_one_less_is_not() -> None:
    """An alarm that grows is told; one that shrinks has been."""
    phone = Phone()
    phone.hears(alarm("signal-lost", subject="flume/flow"))
    assert names(phone.hears(alarm("signal-lost", subject="flume/flow, juice/flow"), after=80.0)) == ["signal-lost"]
    assert phone.hears(alarm("signal-lost", subject="juice/flow"), after=200.0) == []


def test_a_cause_comes_with_its_consequences_in_one_message() -> None:
    """Also with those that follow from a consequence; they are no messages of their own."""
    starved = alarm("fruit-starved", state=AlarmState.SUPPRESSED, because_of="mill-blocked")
    juice = alarm("juice-low", state=AlarmState.SUPPRESSED, because_of="fruit-starved")
    (item,) = Phone().hears(alarm(), starved, juice)
    assert [follower.name for follower in item.follows] == ["fruit-starved", "juice-low"]


def test_an_alarm_of_too_little_priority_is_not_told() -> None:
    """Unless something more urgent follows from it."""
    low = alarm("flume-low", priority=Priority.LOW)
    starved = alarm("fruit-starved", state=AlarmState.SUPPRESSED, priority=Priority.MEDIUM, because_of="flume-low")
    assert Phone().hears(low) == []
    assert names(Phone().hears(low, starved)) == ["flume-low"]


def test_what_comes_within_a_minute_is_gathered_into_one_message() -> None:
    """The first is told at once, the others together a minute later, the most urgent first."""
    phone = Phone()
    first, second, third = alarm(), alarm("juice-low", priority=Priority.MEDIUM), alarm("pressure-low")
    assert names(phone.hears(first, after=10.0)) == ["mill-blocked"]
    assert phone.hears(first, second, third, after=69.0) == []
    assert names(phone.hears(first, second, third, after=70.0)) == ["pressure-low", "juice-low"]


def test_a_flood_is_one_message_a_minute_however_much_comes() -> None:
    """Ten thousand alarms in a minute, on twelve names: two messages, and nothing piles up."""
    phone, messages = Phone(), []
    for i in range(10_000):
        at = i * 60.0 / 10_000
        some = [alarm(f"alarm-{k}", raised=NOON - 10.0 + at) for k in range(12) if k != i % 12]
        messages += [items] if (items := phone.hears(*some, after=at)) else []
    assert [len(items) for items in messages] == [11]
    assert len(phone.hears(*some, after=60.0)) == 11
    assert len(phone.memory["line-1"]) == 12


@pytest.mark.parametrize(
    ("clock", "asleep"), [("21:59", False), ("22:00", True), ("03:00", True), ("05:59", True), ("06:00", False)]
)
def test_quiet_hours_go_over_midnight_by_the_clock_of_the_works(clock: str, asleep: bool) -> None:
    """22:00 to 06:00 in London, in summer time."""
    quiet = Quiet(time(22, 0), time(6, 0), LONDON, None)
    at = datetime.fromisoformat(f"2026-10-14T{clock}:00").replace(tzinfo=LONDON)
    assert quiet.holds(at.timestamp()) == asleep


def test_quiet_hours_within_a_day_are_possible() -> None:
    """For a works that presses at night."""
    quiet = Quiet(time(8, 0), time(16, 0), LONDON, None)
    assert quiet.holds(NOON)
    assert not quiet.holds(NOON + 5 * 3600.0)


def test_in_quiet_hours_only_what_is_urgent_gets_through() -> None:
    """The rest is told when they end, where it still waits."""
    policy = POLICY._replace(quiet=Quiet(time(11, 0), time(13, 0), LONDON, Priority.HIGH))
    phone = Phone(policy)
    medium = alarm("juice-low", priority=Priority.MEDIUM)
    assert names(phone.hears(alarm(), medium)) == ["mill-blocked"]
    assert names(phone.hears(medium, after=3600.0)) == ["juice-low"]


def test_quiet_hours_may_let_nothing_through() -> None:
    """Nobody is woken at all."""
    policy = POLICY._replace(quiet=Quiet(time(11, 0), time(13, 0), LONDON, None))
    assert Phone(policy).hears(alarm()) == []


def test_lines_are_told_of_together() -> None:
    """Two lines in trouble are one message."""
    items = due(POLICY, {"line-1": [alarm()], "line-2": [alarm()]}, {}, NOON + 10.0)
    assert [item.line for item in items] == ["line-1", "line-2"]
