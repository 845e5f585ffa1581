"""The annunciator: moves the alarms as the watches find and as people say, and tells what became of them.

The life of one alarm stands in `alarms`, what explains what in `causes`, how much they ask of people in `alarm_load`.
"""

from __future__ import annotations

from tumpline.pressing.alarms import Alarm, Trigger
from tumpline.pressing.causes import cause_of, consequences
from tumpline.pressing.effects import Effect, TellAlarm
from tumpline.pressing.entries import Acknowledge, InService, OutOfService, Reset, Shelve, Unshelve
from tumpline.pressing.records import AlarmState
from tumpline.pressing.state import State
from tumpline.pressing.watches import Verdict

AlarmEntry = Acknowledge | Reset | Shelve | Unshelve | OutOfService | InService
_TRIGGERS: dict[type[AlarmEntry], Trigger] = {
    Acknowledge: Trigger.ACKNOWLEDGED,
    Reset: Trigger.RESET,
    Shelve: Trigger.SHELVED,
    Unshelve: Trigger.UNSHELVED,
    OutOfService: Trigger.TAKEN_OUT,
    InService: Trigger.PUT_BACK,
}
_FIRST = {Reset: "an alarm that is latched can", Shelve: "one that is in service can"}
"""What can be reset and shelved, for sentences."""


def apply(s: State, name: str, verdict: Verdict, now: float, effects: list[Effect]) -> None:
    """Move an alarm as its watch finds at event time `now`."""
    alarm = s.alarms[name]
    if not (verdict.active or alarm.active):
        return
    grew = verdict.active and not set(verdict.subjects) <= set(alarm.subjects)
    if verdict.active and not alarm.active:
        _raise(s, alarm, verdict, now, effects)
    elif alarm.active and grew:
        _grow(s, alarm, verdict, now, effects)
    elif alarm.chatters:
        if alarm.hold(verdict.active, verdict.subjects, now):
            _settle(s, alarm, verdict, alarm.quiet_since or now, effects)
    elif alarm.active and (not verdict.active or verdict.subjects != alarm.subjects):
        _settle(s, alarm, verdict, now, effects)


def entry(s: State, at: float, by: str, written: AlarmEntry, effects: list[Effect]) -> str | None:
    """What somebody wrote about an alarm; a sentence where it is refused."""
    alarm = s.alarms.get(written.alarm)
    if alarm is None:
        return f"There is no alarm {written.alarm}; there are: {', '.join(s.alarms)}."
    if isinstance(written, Acknowledge | Reset) and alarm.raised is not None and at < alarm.raised:
        return None  # what was written down before the alarm was raised was about the one before it
    changed = alarm.move(_TRIGGERS[type(written)], at, by)
    if not changed and isinstance(written, Reset | Shelve):
        done = "reset" if isinstance(written, Reset) else "shelved"
        return f"The alarm {alarm.name} is {alarm.state.value} and cannot be {done}; {_FIRST[type(written)]}."
    if isinstance(written, Shelve) and alarm.state is AlarmState.SHELVED:
        alarm.shelved_until = at + 60.0 * written.minutes
    if changed:
        _explain(s, alarm, s.clock)
        _tell(s, alarm, effects)
    return None


def second_over(s: State, now: float, effects: list[Effect]) -> None:
    """After all watches of a second: shelves end, what outlasts its cause stands for itself, floods begin and end."""
    for alarm in s.alarms.values():
        if alarm.shelved_until is not None and now >= alarm.shelved_until:
            alarm.move(Trigger.UNSHELVED, now)
            _explain(s, alarm, now)
            _tell(s, alarm, effects)
        elif alarm.state is AlarmState.SUPPRESSED:
            _explain_anew(s, alarm, now, effects)
    told = s.flood.step(now)
    if told is not None:
        effects.append(told)


def _raise(s: State, alarm: Alarm, verdict: Verdict, now: float, effects: list[Effect]) -> None:
    _describe(alarm, verdict)
    alarm.move(Trigger.RAISED, now)
    if alarm.chatters:
        alarm.cause = f"{alarm.cause} It comes and goes."
    _explain(s, alarm, now)
    _tell(s, alarm, effects, new=True)
    if not alarm.aside:
        for consequence in list(consequences(alarm.name, s.alarms, now)):
            _explain(s, consequence, now)
            _tell(s, consequence, effects)


def _grow(s: State, alarm: Alarm, verdict: Verdict, now: float, effects: list[Effect]) -> None:
    """It is about more than before; while it chatters, also about what comes and goes."""
    known = alarm.subjects
    _describe(alarm, verdict)
    alarm.move(Trigger.GREW, now)
    if alarm.chatters:
        alarm.subjects = tuple(dict.fromkeys([*known, *verdict.subjects]))
        alarm.cause = f"{alarm.cause} It comes and goes."
    _tell(s, alarm, effects)


def _settle(s: State, alarm: Alarm, verdict: Verdict, since: float, effects: list[Effect]) -> None:
    """Its condition is gone since then, or what is left of it is less than before."""
    if verdict.active:
        _describe(alarm, verdict)
        alarm.quieten()
    else:
        alarm.move(Trigger.CLEARED, since)
    _tell(s, alarm, effects)


def _describe(alarm: Alarm, verdict: Verdict) -> None:
    alarm.value, alarm.limit, alarm.unit, alarm.cause = verdict.value, verdict.limit, verdict.unit, verdict.cause
    alarm.subjects = verdict.subjects


def _explain(s: State, alarm: Alarm, now: float) -> None:
    """Put an alarm that waits to be seen under its cause, where it has one."""
    if alarm.state is AlarmState.UNACKNOWLEDGED:
        cause = cause_of(alarm, s.alarms, now)
        if cause is not None and alarm.move(Trigger.EXPLAINED, now):
            alarm.because_of = cause


def _explain_anew(s: State, alarm: Alarm, now: float, effects: list[Effect]) -> None:
    """Another alarm may explain this one by now, or none."""
    cause = cause_of(alarm, s.alarms, now)
    if cause == alarm.because_of:
        return
    if cause is None:
        alarm.cause = f"{alarm.cause} The alarm {alarm.because_of} no longer explains it."
        alarm.move(Trigger.OUTLASTED, now)
    else:
        alarm.because_of = cause
    _tell(s, alarm, effects)


def _tell(s: State, alarm: Alarm, effects: list[Effect], *, new: bool = False) -> None:
    """Say an alarm's new state; `new` for a new occurrence."""
    alarm.announced = alarm.announced or (alarm.active and not alarm.aside)
    record = alarm.record()
    effects.append(TellAlarm(record))
    asked = False
    for i in range(len(s.occurrences) - 1, -1, -1):
        if not new and s.occurrences[i].name == alarm.name:
            asked, s.occurrences[i] = s.occurrences[i].announced, record
            break
    else:
        s.occurrences.append(record)
    if record.announced and not asked:
        s.flood.announced(s.second, alarm.name)
