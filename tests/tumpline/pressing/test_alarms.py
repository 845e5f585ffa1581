"""The life of an alarm: what every trigger does in every state."""

import pytest
from hypothesis import settings
from hypothesis.stateful import RuleBasedStateMachine, invariant, precondition, rule

from tumpline.pressing.alarms import CHATTERS_IN, Alarm, Trigger
from tumpline.pressing.records import AlarmState, Priority

N, U, A, R, LU, LA, S, D, O = (  # noqa: E741 one letter a state, as in the table below
    AlarmState.NORMAL,
    AlarmState.UNACKNOWLEDGED,
    AlarmState.ACKNOWLEDGED,
    AlarmState.RETURNED_UNACKNOWLEDGED,
    AlarmState.LATCHED_UNACKNOWLEDGED,
    AlarmState.LATCHED_ACKNOWLEDGED,
    AlarmState.SHELVED,
    AlarmState.SUPPRESSED,
    AlarmState.OUT_OF_SERVICE,
)
LIFE = {
    # state: raised, grew, cleared, acknowledged, reset, shelved, unshelved, explained, outlasted, taken out, put back
    # (IEC 62682:2022 / ANSI/ISA-18.2-2016 through a secondary text)
    N: (U, N, N, N, N, S, N, N, N, O, N),
    U: (U, U, R, A, U, S, U, D, U, O, U),
    A: (A, U, N, A, A, S, A, A, A, O, A),
    R: (U, R, R, N, R, S, R, R, R, O, R),
    LU: (U, LU, LU, LA, R, S, LU, LU, LU, O, LU),
    LA: (U, LA, LA, LA, N, S, LA, LA, LA, O, LA),
    S: (S, S, S, S, S, S, N, S, S, O, S),
    D: (D, D, N, D, D, S, D, D, U, O, D),
    O: (O, O, O, O, O, O, O, O, O, O, N),
}
LATCHES = {(U, Trigger.CLEARED): LU, (A, Trigger.CLEARED): LA}
"""What is different for an alarm that latches."""


def alarm(state: AlarmState, *, active: bool | None = None, name: str = "mill-blocked") -> Alarm:
    """An alarm in a state, its condition holding where the state says so."""
    holds = state in (U, A, D) if active is None else active
    return Alarm(name, Priority.HIGH, state=state, active=holds, raised=10.0)


@pytest.mark.parametrize("name", ["mill-blocked", "hard-object"])
@pytest.mark.parametrize("state", LIFE)
@pytest.mark.parametrize(("column", "trigger"), list(enumerate(Trigger)), ids=lambda x: getattr(x, "value", ""))
def test_every_state_and_trigger(state: AlarmState, column: int, trigger: Trigger, name: str) -> None:
    """What happens to an alarm is what the table says, in every state, with a latch or without."""
    subject = alarm(state, name=name)
    subject.move(trigger, 20.0, "Isla")
    expected = LIFE[state][column]
    assert subject.state is (LATCHES.get((state, trigger), expected) if name == "hard-object" else expected)


def test_the_table_above_is_whole() -> None:
    """Every state and every trigger has its place in it."""
    assert set(LIFE) == set(AlarmState)
    assert {len(row) for row in LIFE.values()} == {len(Trigger)}


class Life(RuleBasedStateMachine):
    """
    An alarm against a model that knows no states: what holds, what people still owe it, and why it is set aside.

    The model is written from the standard's words, the alarm from its table.
    """

    name = "mill-blocked"

    def __init__(self) -> None:
        super().__init__()
        self.alarm = Alarm(self.name, Priority.HIGH)
        self.now = 0.0
        self.holds = self.wants_ack = self.wants_reset = False
        self.aside: AlarmState | None = None

    def move(self, trigger: Trigger) -> None:
        """Let it happen to the alarm, ten minutes later."""
        self.now += 600.0
        self.alarm.move(trigger, self.now, "Ned")

    @precondition(lambda self: not self.holds)
    @rule()
    def its_condition_comes(self) -> None:
        """The watch finds it."""
        self.move(Trigger.RAISED)
        self.holds = True
        if self.aside is None:
            self.wants_ack, self.wants_reset = True, False

    @precondition(lambda self: self.holds)
    @rule()
    def its_condition_goes(self) -> None:
        """The watch finds it no more; what was shown under its cause is over with that."""
        self.move(Trigger.CLEARED)
        self.holds = False
        self.wants_reset = self.aside is None and self.name == "hard-object"
        if self.aside is D:
            self.aside = None

    @precondition(lambda self: self.holds)
    @rule()
    def another_subject_joins(self) -> None:
        """It holds for more than before: whoever has seen it has not seen this."""
        self.move(Trigger.GREW)
        self.wants_ack = self.aside is None

    @rule()
    def somebody_acknowledges(self) -> None:
        """They have seen it."""
        self.move(Trigger.ACKNOWLEDGED)
        self.wants_ack = False

    @rule()
    def somebody_resets(self) -> None:
        """Its record is done with, once its condition is gone."""
        self.move(Trigger.RESET)
        self.wants_reset = False

    @rule()
    def somebody_shelves_it(self) -> None:
        """For a while nobody is asked."""
        self.move(Trigger.SHELVED)
        self.set_aside(S)

    @rule()
    def it_is_taken_out_of_service(self) -> None:
        """What it looks at is being worked on."""
        self.move(Trigger.TAKEN_OUT)
        self.set_aside(O)

    @rule()
    def it_leaves_the_shelf(self) -> None:
        """Its minutes are over."""
        self.move(Trigger.UNSHELVED)
        self.come_back(S)

    @rule()
    def it_is_put_back_in_service(self) -> None:
        """The work is done."""
        self.move(Trigger.PUT_BACK)
        self.come_back(O)

    @rule()
    def another_alarm_explains_it(self) -> None:
        """Only what still waits to be seen is put under its cause."""
        self.move(Trigger.EXPLAINED)
        if self.holds and self.wants_ack and self.aside is None:
            self.aside, self.wants_ack = D, False

    @rule()
    def it_outlasts_that_alarm(self) -> None:
        """It asks for people by itself."""
        self.move(Trigger.OUTLASTED)
        if self.aside is D:
            self.aside, self.wants_ack = None, True

    def set_aside(self, why: AlarmState) -> None:
        """By people, out of service before all else; what they owed it is forgotten."""
        if self.aside is not O:
            self.aside, self.wants_ack, self.wants_reset = why, False, False

    def come_back(self, why: AlarmState) -> None:
        """From where it was set aside, to ask again where it still holds."""
        if self.aside is why:
            self.aside, self.wants_ack = None, self.holds

    @invariant()
    def the_state_is_what_the_model_says(self) -> None:
        """And the alarm is still evaluated, wherever it is."""
        if self.aside is not None:
            expected = self.aside
        elif self.holds:
            expected = U if self.wants_ack else A
        elif self.wants_reset:
            expected = LU if self.wants_ack else LA
        else:
            expected = R if self.wants_ack else N
        assert self.alarm.state is expected
        assert self.alarm.active == self.holds


class LatchedLife(Life):
    """The same for an alarm that latches."""

    name = "hard-object"


TestLife = Life.TestCase
TestLatchedLife = LatchedLife.TestCase
TestLife.settings = TestLatchedLife.settings = settings(max_examples=60, stateful_step_count=40, deadline=None)


@pytest.mark.parametrize(("active", "after"), [(True, U), (False, N)])
@pytest.mark.parametrize(("state", "trigger"), [(S, Trigger.UNSHELVED), (O, Trigger.PUT_BACK)])
def test_coming_back_depends_on_whether_it_still_holds(
    state: AlarmState, trigger: Trigger, active: bool, after: AlarmState
) -> None:
    """What was set aside and still holds asks for somebody again."""
    subject = alarm(state, active=active)
    subject.shelved_until = 600.0 if state is S else None
    assert subject.move(trigger, 600.0)
    assert subject.state is after
    assert subject.record().shelved_until is None


def test_a_shelved_alarm_still_knows_whether_it_holds() -> None:
    """Raised on the shelf, it comes back as unacknowledged."""
    subject = alarm(S, active=False)
    assert subject.move(Trigger.RAISED, 30.0)
    assert subject.record().active
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
    assert not alarm(A).move(Trigger.RESET, 20.0, "Ned")
    assert not alarm(O).move(Trigger.SHELVED, 20.0, "Ned")
    assert alarm(U).move(Trigger.ACKNOWLEDGED, 20.0, "Ned")


def test_shelving_again_is_told() -> None:
    """Whoever shelves an alarm for longer sees the new end."""
    assert alarm(S).move(Trigger.SHELVED, 20.0, "Ned")


def test_the_third_raise_within_a_minute_chatters_until_a_minute_of_quiet() -> None:
    """Three in a minute (secondary text): from then on it is one occurrence that counts how often it came."""
    subject = Alarm("juice-low", Priority.MEDIUM)
    for at in (0.0, 20.0, 40.0):
        assert not subject.chatters
        subject.move(Trigger.RAISED, at)
        if at < 40.0:
            subject.move(Trigger.CLEARED, at + 5.0)
    assert subject.chatters
    assert not subject.hold(False, (), 50.0)
    assert not subject.hold(True, (), 60.0)
    assert not subject.hold(False, (), 70.0)
    assert not subject.hold(False, (), 69.0 + CHATTERS_IN)
    assert subject.hold(False, (), 70.0 + CHATTERS_IN)
    assert subject.record().times == 2


def test_three_raises_in_more_than_a_minute_do_not_chatter() -> None:
    """An alarm that comes every half minute is three alarms."""
    subject = Alarm("juice-low", Priority.MEDIUM)
    for at in (0.0, 30.0, 60.0):
        subject.move(Trigger.RAISED, at)
        assert not subject.chatters
        subject.move(Trigger.CLEARED, at + 5.0)
