"""The life of an alarm: what every trigger does in every state."""

import pytest

from tumpline.pressing.alarms import Alarm, Trigger
from tumpline.pressing.records import AlarmState, Priority

N, U, A, R, S = (
    AlarmState.NORMAL,
    AlarmState.UNACKNOWLEDGED,
    AlarmState.ACKNOWLEDGED,
    AlarmState.RETURNED_UNACKNOWLEDGED,
    AlarmState.SHELVED,
)
LIFE = {
    # state: after raised, cleared, acknowledged, shelved, unshelved (ANSI/ISA-18.2-2016 through a secondary text)
    N: (U, N, N, S, N),
    U: (U, R, A, S, U),
    A: (A, N, A, S, A),
    R: (U, R, N, S, R),
    S: (S, S, S, S, N),
}
UNUSED = [s for s in AlarmState if s not in LIFE]


def alarm(state: AlarmState, *, active: bool | None = None) -> Alarm:
    """An alarm in a state, its condition holding where the state says so."""
    holds = state in (U, A) if active is None else active
    return Alarm("mill-blocked", Priority.HIGH, state=state, active=holds, raised=10.0)


@pytest.mark.parametrize("state", LIFE)
@pytest.mark.parametrize(("column", "trigger"), list(enumerate(Trigger)), ids=lambda x: getattr(x, "value", ""))
def test_every_state_and_trigger(state: AlarmState, column: int, trigger: Trigger) -> None:
    """What happens to an alarm is what the table says, in every state."""
    subject = alarm(state)
    subject.move(trigger, 20.0, "Isla")
    assert subject.state is LIFE[state][column]


@pytest.mark.parametrize("state", UNUSED)
@pytest.mark.parametrize("trigger", Trigger)
def test_a_state_that_nothing_here_leads_to_is_left_by_nothing(state: AlarmState, trigger: Trigger) -> None:
    """Latched, suppressed and out of service are words of the standard that this program does not use."""
    subject = alarm(state)
    subject.move(trigger, 20.0)
    assert subject.state is state


@pytest.mark.parametrize(("active", "after"), [(True, U), (False, N)])
def test_leaving_the_shelf_depends_on_whether_it_still_holds(active: bool, after: AlarmState) -> None:
    """What was shelved and still holds asks for somebody again."""
    subject = alarm(S, active=active)
    subject.shelved_until = 600.0
    assert subject.move(Trigger.UNSHELVED, 600.0)
    assert subject.state is after
    assert subject.record().shelved_until is None


def test_a_shelved_alarm_still_knows_whether_it_holds() -> None:
    """Raised on the shelf, it comes back as unacknowledged."""
    subject = alarm(S, active=False)
    assert subject.move(Trigger.RAISED, 30.0)
    assert subject.active
    subject.move(Trigger.UNSHELVED, 40.0)
    assert subject.state is U


def test_one_occurrence_carries_its_times_and_who_acknowledged() -> None:
    """Raised, acknowledged and cleared at their times; a new occurrence begins with none of the old ones."""
    subject = alarm(N, active=False)
    subject.move(Trigger.RAISED, 100.0)
    subject.move(Trigger.ACKNOWLEDGED, 130.0, "Isla")
    subject.move(Trigger.CLEARED, 190.0)
    record = subject.record()
    assert (record.raised, record.acknowledged, record.cleared, record.by) == (100.0, 130.0, 190.0, "Isla")
    subject.move(Trigger.RAISED, 300.0)
    record = subject.record()
    assert (record.raised, record.acknowledged, record.cleared, record.by) == (300.0, None, None, None)


def test_what_changes_nothing_is_not_told() -> None:
    """Acknowledging a normal alarm, or taking one from the shelf that is not on it, is no news."""
    assert not alarm(N).move(Trigger.ACKNOWLEDGED, 20.0, "Ned")
    assert not alarm(U).move(Trigger.UNSHELVED, 20.0, "Ned")
    assert alarm(U).move(Trigger.ACKNOWLEDGED, 20.0, "Ned")


def test_shelving_again_is_told() -> None:
    """Whoever shelves an alarm for longer sees the new end."""
    assert alarm(S).move(Trigger.SHELVED, 20.0, "Ned")
