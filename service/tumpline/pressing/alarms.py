"""The life of an alarm, as a table.

Rule 1: everything that changes an alarm's state stands in `_TABLE`; the rest of this file walks it.
States and their words: IEC 62682:2022 / ANSI/ISA-18.2-2016 (read through secondary texts; the standards were not seen).
Acknowledging acts on what existed before it. Shelving always ends by itself. Nothing here starts or resets equipment.

An alarm that is raised three times in a minute chatters (three in a minute: secondary text). From then on it counts as
one occurrence, and is cleared only when its condition has been gone for a minute.
"""

from __future__ import annotations

from enum import Enum

from msgspec import Struct, field

from tumpline.pressing.records import AlarmRecord, AlarmState, Priority

CHATTERS, CHATTERS_IN = 3, 60.0
"""So many times raised within so many seconds; and so many seconds of quiet end it."""
LATCHING = frozenset({"hard-object"})
"""Alarms whose condition lasts a moment: they stay until somebody has both acknowledged and reset them."""


class Trigger(Enum):
    """What can happen to an alarm."""

    RAISED = "raised"
    GREW = "grew"
    """It holds for one more subject: a second signal, another vat."""
    CLEARED = "cleared"
    ACKNOWLEDGED = "acknowledged"
    RESET = "reset"
    SHELVED = "shelved"
    UNSHELVED = "unshelved"
    EXPLAINED = "explained"
    """It follows from another alarm, under which it is shown."""
    OUTLASTED = "outlasted"
    """That alarm is over, and this one still holds."""
    TAKEN_OUT = "taken out of service"
    PUT_BACK = "put back in service"


_S, _T = AlarmState, Trigger
_TABLE: dict[tuple[AlarmState, Trigger], AlarmState] = {
    (_S.NORMAL, _T.RAISED): _S.UNACKNOWLEDGED,
    (_S.UNACKNOWLEDGED, _T.GREW): _S.UNACKNOWLEDGED,
    (_S.UNACKNOWLEDGED, _T.ACKNOWLEDGED): _S.ACKNOWLEDGED,
    (_S.UNACKNOWLEDGED, _T.CLEARED): _S.RETURNED_UNACKNOWLEDGED,
    (_S.UNACKNOWLEDGED, _T.EXPLAINED): _S.SUPPRESSED,
    (_S.ACKNOWLEDGED, _T.GREW): _S.UNACKNOWLEDGED,
    (_S.ACKNOWLEDGED, _T.CLEARED): _S.NORMAL,
    (_S.RETURNED_UNACKNOWLEDGED, _T.RAISED): _S.UNACKNOWLEDGED,
    (_S.RETURNED_UNACKNOWLEDGED, _T.ACKNOWLEDGED): _S.NORMAL,
    (_S.LATCHED_UNACKNOWLEDGED, _T.RAISED): _S.UNACKNOWLEDGED,
    (_S.LATCHED_UNACKNOWLEDGED, _T.ACKNOWLEDGED): _S.LATCHED_ACKNOWLEDGED,
    (_S.LATCHED_UNACKNOWLEDGED, _T.RESET): _S.RETURNED_UNACKNOWLEDGED,
    (_S.LATCHED_ACKNOWLEDGED, _T.RAISED): _S.UNACKNOWLEDGED,
    (_S.LATCHED_ACKNOWLEDGED, _T.RESET): _S.NORMAL,
    (_S.SUPPRESSED, _T.GREW): _S.SUPPRESSED,
    (_S.SUPPRESSED, _T.CLEARED): _S.NORMAL,
    (_S.SUPPRESSED, _T.OUTLASTED): _S.UNACKNOWLEDGED,
    **{(state, _T.SHELVED): _S.SHELVED for state in _S if state is not _S.OUT_OF_SERVICE},
    **{(state, _T.TAKEN_OUT): _S.OUT_OF_SERVICE for state in _S if state is not _S.OUT_OF_SERVICE},
}
"""(state, trigger) to the next state; a pair that is not here leaves the state as it is."""

_LATCHED = {
    (_S.UNACKNOWLEDGED, _T.CLEARED): _S.LATCHED_UNACKNOWLEDGED,
    (_S.ACKNOWLEDGED, _T.CLEARED): _S.LATCHED_ACKNOWLEDGED,
}
"""Takes the place of the table's rows for an alarm that latches."""

_RETURNS = {(_S.SHELVED, _T.UNSHELVED), (_S.OUT_OF_SERVICE, _T.PUT_BACK)}
"""Where people had set the alarm aside: it comes back unacknowledged where its condition holds, else as normal."""

_ASIDE = frozenset({_S.SHELVED, _S.SUPPRESSED, _S.OUT_OF_SERVICE})
"""States in which an alarm asks for nobody. It is still evaluated."""


class Alarm(Struct):
    """One alarm of one line, its present occurrence and whether its condition holds."""

    name: str
    priority: Priority
    caution: str | None = None
    state: AlarmState = AlarmState.NORMAL
    active: bool = False
    subjects: tuple[str, ...] = ()
    raised: float | None = None
    cleared: float | None = None
    acknowledged: float | None = None
    by: str | None = None
    value: float | None = None
    limit: float | None = None
    unit: str | None = None
    cause: str = ""
    because_of: str | None = None
    shelved_until: float | None = None
    announced: bool = False
    """True once this occurrence was told while it asked for somebody."""
    times: int = 0
    recent: list[float] = field(default_factory=list)
    """When it was last raised, or grew, as often as makes chattering."""
    chatters: bool = False
    """From the time that makes it chatter until a minute of quiet has ended it."""
    quiet_since: float | None = None
    """While it chatters: since when not all that it is about has held."""

    @property
    def aside(self) -> bool:
        """True while it asks for nobody, whether its condition holds or not."""
        return self.state in _ASIDE

    def move(self, trigger: Trigger, at: float, by: str | None = None) -> bool:
        """Let something happen to the alarm at event time `at`; True when its record changed."""
        before, self.state = self.state, self._after(trigger)
        changed = self.state is not before or (before, trigger) in _TABLE
        match trigger:
            case Trigger.RAISED:
                self._begin(at)
            case Trigger.GREW if self.active:
                self._ask_again(at)
            case Trigger.CLEARED:
                self.active, self.cleared = False, at
                self.quieten()
            case Trigger.OUTLASTED if changed:
                self._begin(at)
            case Trigger.ACKNOWLEDGED if changed:
                self.acknowledged, self.by = at, by
            case Trigger.SHELVED | Trigger.UNSHELVED | Trigger.TAKEN_OUT | Trigger.PUT_BACK if changed:
                self.by, self.shelved_until, self.because_of = by, None, None
            case _:
                pass
        return changed or trigger in (Trigger.RAISED, Trigger.GREW, Trigger.CLEARED)

    def _after(self, trigger: Trigger) -> AlarmState:
        pair = (self.state, trigger)
        if pair in _RETURNS:
            return AlarmState.UNACKNOWLEDGED if self.active else AlarmState.NORMAL
        if self.name in LATCHING and pair in _LATCHED:
            return _LATCHED[pair]
        return _TABLE.get(pair, self.state)

    def _begin(self, at: float) -> None:
        """A new occurrence."""
        self.active, self.raised, self.times, self.announced = True, at, 1, False
        self.cleared = self.because_of = self.quiet_since = None
        self._ask_again(at)

    def _ask_again(self, at: float) -> None:
        """Whoever acknowledged has not seen this; whoever set it aside has still done so."""
        self.acknowledged = None
        if not self.aside:
            self.by = None
        self.recent = [*self.recent[1 - CHATTERS :], at]
        self.chatters = self.chatters or (len(self.recent) == CHATTERS and at - self.recent[0] < CHATTERS_IN)

    def hold(self, active: bool, subjects: tuple[str, ...], at: float) -> bool:
        """What a chattering alarm is about came or went; True once not all of it has held for a minute."""
        if active and set(self.subjects) <= set(subjects):
            if self.quiet_since is not None:
                self.times += 1
            self.quiet_since = None
        elif self.quiet_since is None:
            self.quiet_since = at
        return self.quiet_since is not None and at - self.quiet_since >= CHATTERS_IN

    def quieten(self) -> None:
        """It chatters no more."""
        self.chatters, self.quiet_since = False, None

    def record(self) -> AlarmRecord:
        """The alarm as it stands."""
        return AlarmRecord(
            name=self.name,
            subject=", ".join(self.subjects) or None,
            state=self.state,
            active=self.active,
            priority=self.priority,
            raised=self.raised,
            cleared=self.cleared,
            acknowledged=self.acknowledged,
            by=self.by,
            value=self.value,
            limit=self.limit,
            unit=self.unit,
            cause=self.cause,
            because_of=self.because_of,
            caution=self.caution,
            shelved_until=self.shelved_until,
            announced=self.announced,
            times=self.times,
        )
