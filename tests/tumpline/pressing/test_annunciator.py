"""What becomes of the alarms as watches find and people say."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import press_stories
from tumpline.pressing import annunciator, state
from tumpline.pressing.causes import CAUSES, LINGERS
from tumpline.pressing.effects import Effect, TellAlarm, TellEvent
from tumpline.pressing.entries import Acknowledge, InService, OutOfService, Reset, Shelve, Unshelve
from tumpline.pressing.records import AlarmRecord, AlarmState
from tumpline.pressing.watches import Verdict

QUIET = Verdict(False)


class Line:
    """A line of which a test says what its watches find, second by second."""

    def __init__(self) -> None:
        self.state = state.fresh(press_stories.params())
        self.effects: list[Effect] = []
        self.now = 0.0
        self.found: dict[str, Verdict] = {}

    def find(self, seconds: int = 1, **verdicts: Verdict | bool) -> Line:
        """For so many seconds this is found; what is not named stays as it was found before."""
        for name, verdict in verdicts.items():
            plain = verdict if isinstance(verdict, Verdict) else Verdict(verdict, 1.0, 2.0, "t/h", f"{name}.")
            self.found[name.replace("_", "-")] = plain
        for _ in range(seconds):
            self.now += 1.0
            self.state.clock = self.state.second = self.now
            for name, verdict in self.found.items():
                annunciator.apply(self.state, name, verdict, self.now, self.effects)
            annunciator.second_over(self.state, self.now, self.effects)
        return self

    def write(self, entry: annunciator.AlarmEntry) -> str | None:
        """Isla writes something about an alarm, now."""
        return annunciator.entry(self.state, self.now, "Isla", entry, self.effects)

    def now_is(self, name: str) -> AlarmRecord:
        """The alarm as it was told last."""
        return self.told(name)[-1]

    def told(self, name: str) -> list[AlarmRecord]:
        """All that was told of an alarm."""
        return [e.alarm for e in self.effects if isinstance(e, TellAlarm) and e.alarm.name == name]

    def events(self, kind: str) -> list[TellEvent]:
        """Events of a kind."""
        return [e for e in self.effects if isinstance(e, TellEvent) and e.kind == kind]

    def kept(self, name: str) -> list[AlarmRecord]:
        """The alarm's occurrences as the summary will have them."""
        return [a for a in self.state.occurrences if a.name == name]


def test_a_consequence_is_shown_under_its_cause_and_asks_for_nobody() -> None:
    """A blocked mill explains that juice runs low; the mill asks for somebody, the juice does not."""
    line = Line().find(5, mill_blocked=True).find(5, juice_low=True)
    juice = line.now_is("juice-low")
    assert (juice.state, juice.because_of, juice.active) == (AlarmState.SUPPRESSED, "mill-blocked", True)
    assert not juice.announced
    assert line.now_is("mill-blocked").state is AlarmState.UNACKNOWLEDGED
    assert [a.announced for a in line.state.occurrences] == [True, False]


def test_a_consequence_that_ends_with_its_cause_never_asked_for_anybody() -> None:
    """Low juice comes and goes with the blockage: it stays on record, under its cause."""
    line = Line().find(5, mill_blocked=True).find(60, juice_low=True)
    line.find(60, mill_blocked=False).find(5, juice_low=False)
    (kept,) = line.kept("juice-low")
    assert (kept.state, kept.because_of, kept.announced) == (AlarmState.NORMAL, "mill-blocked", False)
    assert kept.cleared is not None


def test_a_consequence_that_outlasts_its_cause_becomes_an_alarm_of_its_own() -> None:
    """Juice that is still low long after the mill runs again has a reason of its own, and says so."""
    line = Line().find(5, mill_blocked=True).find(60, juice_low=True).find(400, mill_blocked=False)
    juice = line.now_is("juice-low")
    assert (juice.state, juice.because_of) == (AlarmState.UNACKNOWLEDGED, None)
    assert juice.announced
    assert "mill-blocked no longer explains it" in juice.cause
    assert len(line.kept("juice-low")) == 1


def test_a_consequence_found_a_little_before_its_cause_is_put_under_it() -> None:
    """Watches differ in how long they wait; the sentence of the quicker one does not stay alone."""
    line = Line().find(10, fruit_starved=True).find(2, mill_blocked=True)
    assert line.now_is("fruit-starved").state is AlarmState.SUPPRESSED
    assert line.now_is("fruit-starved").because_of == "mill-blocked"
    assert line.now_is("mill-blocked").state is AlarmState.UNACKNOWLEDGED


def test_an_alarm_of_long_before_is_not_put_under_what_came_later() -> None:
    """Juice that ran low ten minutes before the mill blocked had another reason."""
    line = Line().find(600, juice_low=True).find(5, mill_blocked=True)
    assert line.now_is("juice-low").state is AlarmState.UNACKNOWLEDGED


def test_shelving_the_cause_lets_the_consequence_speak() -> None:
    """What people set aside explains nothing."""
    line = Line().find(5, mill_blocked=True).find(5, juice_low=True)
    line.write(Shelve("mill-blocked", minutes=30.0))
    assert line.find().now_is("juice-low").state is AlarmState.UNACKNOWLEDGED


def test_an_alarm_that_leaves_the_shelf_goes_back_under_its_cause() -> None:
    """Unshelving a consequence while its cause lasts calls nobody."""
    line = Line().find(5, mill_blocked=True).find(5, juice_low=True)
    line.write(Shelve("juice-low", minutes=30.0))
    line.find(5).write(Unshelve("juice-low"))
    assert (line.now_is("juice-low").state, line.now_is("juice-low").announced) == (AlarmState.SUPPRESSED, False)


def test_a_second_signal_lost_asks_again_for_whoever_had_acknowledged_the_first() -> None:
    """The alarm names both, and counts as one occurrence."""
    line = Line().find(5, signal_lost=Verdict(True, cause="flume/flow is lost.", subjects=("flume/flow",)))
    line.write(Acknowledge("signal-lost"))
    both = Verdict(True, cause="Both are lost.", subjects=("flume/flow", "juice/flow"))
    alarm = line.find(5, signal_lost=both).now_is("signal-lost")
    assert (alarm.state, alarm.subject, alarm.cause) == (
        AlarmState.UNACKNOWLEDGED,
        "flume/flow, juice/flow",
        "Both are lost.",
    )
    assert (alarm.acknowledged, alarm.by, alarm.times) == (None, None, 1)
    assert len(line.kept("signal-lost")) == 1


def test_a_signal_that_comes_back_leaves_the_alarm_of_the_other_acknowledged() -> None:
    """What is left is named; nobody is asked again."""
    line = Line().find(5, signal_lost=Verdict(True, subjects=("flume/flow", "juice/flow")))
    line.write(Acknowledge("signal-lost"))
    alarm = line.find(5, signal_lost=Verdict(True, subjects=("juice/flow",))).now_is("signal-lost")
    assert (alarm.state, alarm.subject) == (AlarmState.ACKNOWLEDGED, "juice/flow")


def test_whoever_shelved_an_alarm_is_named_as_long_as_it_is_shelved() -> None:
    """Also when it grows or is raised anew on the shelf."""
    line = Line().find(5, signal_lost=Verdict(True, subjects=("flume/flow",)))
    line.write(Shelve("signal-lost", minutes=30.0))
    line.find(5, signal_lost=Verdict(True, subjects=("flume/flow", "juice/flow")))
    assert (line.now_is("signal-lost").state, line.now_is("signal-lost").by) == (AlarmState.SHELVED, "Isla")
    line.find(5, signal_lost=False).find(5, signal_lost=True)
    assert line.now_is("signal-lost").by == "Isla"


def test_one_signal_that_chatters_hides_no_other_that_is_lost() -> None:
    """While the flow meter comes and goes, the loss of another is told, and the two are one alarm."""
    flow = Verdict(True, cause="Lost.", subjects=("flume/flow",))
    line = Line()
    for _ in range(20):
        line.find(2, signal_lost=flow).find(2, signal_lost=False)
    line.write(Acknowledge("signal-lost"))
    seen = len(line.told("signal-lost"))
    both = Verdict(True, cause="Both lost.", subjects=("flume/flow", "juice/flow"))
    for _ in range(20):
        line.find(2, signal_lost=both).find(2, signal_lost=Verdict(True, cause="Lost.", subjects=("juice/flow",)))
    alarm = line.now_is("signal-lost")
    assert (alarm.state, alarm.subject) == (AlarmState.UNACKNOWLEDGED, "flume/flow, juice/flow")
    assert len(line.told("signal-lost")) == seen + 1


def test_a_signal_that_flaps_beside_one_that_stays_lost_asks_a_few_times_and_then_no_more() -> None:
    """A minute after it has come back for good, the alarm is about the other one alone."""
    juice = Verdict(True, cause="Juice lost.", subjects=("juice/flow",))
    both = Verdict(True, cause="Both lost.", subjects=("flume/flow", "juice/flow"))
    line = Line().find(100, signal_lost=juice)
    for _ in range(500):
        line.find(2, signal_lost=both).find(2, signal_lost=juice)
    assert len(line.told("signal-lost")) <= 7
    alarm = line.find(61).now_is("signal-lost")
    assert (alarm.active, alarm.subject, alarm.cause) == (True, "juice/flow", "Juice lost.")


def test_out_of_service_lasts_until_it_is_put_back() -> None:
    """Maintenance takes an alarm out: it is still evaluated and shown, and asks for nobody."""
    line = Line().find(5)
    line.write(OutOfService("mill-blocked", note="the weigher is being calibrated"))
    alarm = line.find(3600, mill_blocked=True).now_is("mill-blocked")
    assert (alarm.state, alarm.active, alarm.announced, alarm.by) == (AlarmState.OUT_OF_SERVICE, True, False, "Isla")
    line.write(InService("mill-blocked"))
    assert line.now_is("mill-blocked").state is AlarmState.UNACKNOWLEDGED


def test_a_shelf_ends_by_itself_whatever_happened_on_it() -> None:
    """Raised, cleared and raised again on the shelf, the alarm asks for somebody when its minutes are over."""
    line = Line()
    line.write(Shelve("juice-low", minutes=2.0))
    line.find(30, juice_low=True).find(30, juice_low=False).find(59, juice_low=True)
    assert line.now_is("juice-low").state is AlarmState.SHELVED
    assert line.find(2).now_is("juice-low").state is AlarmState.UNACKNOWLEDGED


def test_a_reset_or_an_acknowledgement_from_before_is_not_about_this_one() -> None:
    """What was written down before the alarm was raised was about the one before it."""
    line = Line().find(5, mill_blocked=True)
    for entry in (Acknowledge("mill-blocked"), Reset("mill-blocked")):
        assert annunciator.entry(line.state, 0.5, "Isla", entry, line.effects) is None
    assert line.now_is("mill-blocked").state is AlarmState.UNACKNOWLEDGED


def test_an_alarm_nobody_knows_is_refused() -> None:
    """The sentence names those there are."""
    refused = Line().write(Acknowledge("mill-bloked"))
    assert refused is not None
    assert "mill-blocked" in refused


def test_what_cannot_be_reset_or_shelved_is_refused_with_the_reason() -> None:
    """A person who asks for it learns how the alarm stands; acknowledging twice is no mistake."""
    line = Line().find(5, mill_blocked=True)
    refused = line.write(Reset("mill-blocked"))
    assert refused == ("The alarm mill-blocked is unacknowledged and cannot be reset; an alarm that is latched can.")
    line.write(OutOfService("mill-blocked", note="calibration"))
    refused = line.write(Shelve("mill-blocked", minutes=5.0))
    assert refused == ("The alarm mill-blocked is out-of-service and cannot be shelved; one that is in service can.")
    assert line.write(Acknowledge("mill-blocked")) is None


def test_a_hard_object_stays_until_it_is_acknowledged_and_reset() -> None:
    """It was there for a second: both are needed, in any order."""
    for order in ((Acknowledge, Reset), (Reset, Acknowledge)):
        line = Line().find(1, hard_object=True).find(60, hard_object=False)
        assert line.now_is("hard-object").state is AlarmState.LATCHED_UNACKNOWLEDGED
        for written in order:
            assert line.now_is("hard-object").state is not AlarmState.NORMAL
            line.write(written("hard-object"))
        assert line.now_is("hard-object").state is AlarmState.NORMAL


@pytest.mark.parametrize("hours", [1, 3])
def test_an_input_that_chatters_for_hours_is_one_alarm_that_says_so(hours: int) -> None:
    """Thousands of times raised, it is told a handful of times, and the memory of it does not grow."""
    line = Line()
    for _ in range(hours * 1800):
        line.find(juice_low=True).find(juice_low=False)
    assert len(line.told("juice-low")) == 5  # raised and cleared twice, then raised to stay
    alarm = line.now_is("juice-low")
    assert (alarm.state, alarm.active) == (AlarmState.UNACKNOWLEDGED, True)
    assert "comes and goes" in alarm.cause
    line.find(61)
    assert line.now_is("juice-low").times == hours * 1800 - 2
    assert line.now_is("juice-low").cleared == line.now - 61.0
    assert len(line.kept("juice-low")) == 3
    assert len(state.encode(line.state)) < 20_000


def test_more_than_ten_alarms_in_ten_minutes_are_told_as_one_flood() -> None:
    """It begins above ten, names what it is made of, and ends when there are fewer than five in ten minutes."""
    line = Line()
    for _ in range(6):
        line.find(40, juice_low=True, signal_lost=True).find(40, juice_low=False, signal_lost=False)
    (began,) = line.events("flood.began")
    assert began.at == 401.0
    assert began.data["count"] == 12
    assert line.events("flood.ended") == []
    line.find(700)
    (ended,) = line.events("flood.ended")
    assert ended.data["alarms"] == {"juice-low": 6, "signal-lost": 6}
    assert ended.data["start"] == began.at


_NAMES = ("mill-blocked", "flume-low", "fruit-starved", "pressure-low", "juice-low", "yield-drift")
_ENTRIES = st.sampled_from(_NAMES).flatmap(
    lambda name: st.sampled_from(
        [
            Acknowledge(name),
            Reset(name),
            Shelve(name, minutes=1.5),
            Unshelve(name),
            OutOfService(name, note="work"),
            InService(name),
        ]
    )
)
_STEPS = st.lists(
    st.tuples(st.sampled_from([1, 7, 40, 400]), st.dictionaries(st.sampled_from(_NAMES), st.booleans()))
    | st.tuples(st.just(0), _ENTRIES),
    max_size=25,
)


@given(_STEPS)
@settings(max_examples=150, deadline=None)
def test_whatever_happens_nobody_is_left_in_the_dark(
    steps: list[tuple[int, dict[str, bool] | annunciator.AlarmEntry]],
) -> None:
    """
    What was told last of an alarm is how it stands, no shelf outlasts its end, no consequence its cause for long, and
    every alarm that holds and that nobody set aside has been told, or stands under one that has.
    """
    line = Line()
    for seconds, step in steps:
        if isinstance(step, dict):
            line.find(seconds, **{name: Verdict(holds, cause=f"{name}.") for name, holds in step.items()})
        else:
            line.write(step)
            line.find()
        for name, alarm in line.state.alarms.items():
            told = line.told(name)
            assert not told or (told[-1].state, told[-1].active) == (alarm.state, alarm.active)
            assert alarm.shelved_until is None or alarm.shelved_until > line.now
            assert (alarm.state is AlarmState.SUPPRESSED) <= (alarm.because_of in CAUSES.get(name, ()))
            if alarm.state is AlarmState.SUPPRESSED:
                cause = line.state.alarms[alarm.because_of or ""]
                assert cause.active or line.now - (cause.cleared or 0.0) <= LINGERS[name]
            root = alarm
            while root.state is AlarmState.SUPPRESSED:
                root = line.state.alarms[root.because_of or ""]
            set_aside = root.state in (AlarmState.SHELVED, AlarmState.OUT_OF_SERVICE)
            assert not root.active or root.announced or (root is alarm and set_aside)
