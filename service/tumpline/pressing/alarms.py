"""The life of an alarm, as a table.

Rule 1: everything that changes an alarm's state stands in `_TABLE`; the rest of this file walks it.
States and their words: IEC 62682:2022 / ANSI/ISA-18.2-2016 (read through secondary texts; the standards were not seen).
Acknowledging acts on what existed before it. Shelving always ends by itself. Nothing here starts or resets equipment.
"""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

from tumpline.pressing.records import AlarmRecord, AlarmState, Priority


class Trigger(Enum):
    """What can happen to an alarm."""

    RAISED = "raised"
    CLEARED = "cleared"
    ACKNOWLEDGED = "acknowledged"
    SHELVED = "shelved"
    UNSHELVED = "unshelved"


_S, _T = AlarmState, Trigger
_TABLE: dict[tuple[AlarmState, Trigger], AlarmState] = {
    (_S.NORMAL, _T.RAISED): _S.UNACKNOWLEDGED,
    (_S.UNACKNOWLEDGED, _T.ACKNOWLEDGED): _S.ACKNOWLEDGED,
    (_S.UNACKNOWLEDGED, _T.CLEARED): _S.RETURNED_UNACKNOWLEDGED,
    (_S.ACKNOWLEDGED, _T.CLEARED): _S.NORMAL,
    (_S.RETURNED_UNACKNOWLEDGED, _T.ACKNOWLEDGED): _S.NORMAL,
    (_S.RETURNED_UNACKNOWLEDGED, _T.RAISED): _S.UNACKNOWLEDGED,
    (_S.NORMAL, _T.SHELVED): _S.SHELVED,
    (_S.UNACKNOWLEDGED, _T.SHELVED): _S.SHELVED,
    (_S.ACKNOWLEDGED, _T.SHELVED): _S.SHELVED,
    (_S.RETURNED_UNACKNOWLEDGED, _T.SHELVED): _S.SHELVED,
    (_S.SHELVED, _T.SHELVED): _S.SHELVED,
}
"""(state, trigger) to the next state; a pair that is not here changes nothing. Leaving the shelf depends on whether the
condition still holds, so it is written out in `Alarm.move`."""


class Alarm(Struct):
    """One alarm of one line, its present occurrence and whether its condition holds."""

    name: str
    priority: Priority
    caution: str | None = None
    state: AlarmState = AlarmState.NORMAL
    active: bool = False
    subject: str | None = None
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

    def move(self, trigger: Trigger, at: float, by: str | None = None) -> bool:
        """Let something happen to the alarm at event time `at`; True when its record changed."""
        if trigger is Trigger.RAISED:
            self._note_raised(at)
        elif trigger is Trigger.CLEARED:
            self.active, self.cleared = False, at
        if trigger is Trigger.UNSHELVED:
            return self._leave_shelf()
        after = _TABLE.get((self.state, trigger))
        if after is None:
            return trigger in (Trigger.RAISED, Trigger.CLEARED)
        self.state = after
        if trigger is Trigger.ACKNOWLEDGED:
            self.acknowledged, self.by = at, by
        elif trigger is Trigger.SHELVED:
            self.by = by
        return True

    def _note_raised(self, at: float) -> None:
        self.active = True
        self.raised, self.cleared, self.acknowledged, self.by = at, None, None, None

    def _leave_shelf(self) -> bool:
        if self.state is not AlarmState.SHELVED:
            return False
        self.state = AlarmState.UNACKNOWLEDGED if self.active else AlarmState.NORMAL
        self.shelved_until = None
        return True

    def record(self) -> AlarmRecord:
        """The alarm as it stands."""
        return AlarmRecord(
            name=self.name,
            subject=self.subject,
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
        )
