"""Which alarm explains which: a consequence is shown under its cause, and the cause itself is never set aside for it.

Common practice, no source: what lies upstream of the fruit, and the air that presses it, explain what comes later.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from tumpline.pressing.alarms import Alarm
from tumpline.pressing.records import AlarmState

CAUSES: dict[str, tuple[str, ...]] = {
    "fruit-starved": ("flume-low", "mill-blocked"),
    "juice-low": ("pressure-low", "mill-blocked", "fruit-starved", "flume-low"),
    "yield-drift": ("pressure-low", "juice-low", "mill-blocked"),
}
"""By consequence: what it may follow from, the likeliest first. No alarm stands, through others, under itself."""

LINGERS = {"fruit-starved": 60.0, "juice-low": 300.0, "yield-drift": 900.0}
"""s for which a cause that is over still explains the consequence: fruit has to reach the mill, and juice the meter."""

JUST_RAISED = 60.0
"""s before its cause a consequence may have been raised: watches differ in how long they wait."""

_SAYS_NOTHING = frozenset({AlarmState.SHELVED, AlarmState.OUT_OF_SERVICE})
"""What people set aside explains nothing: nobody would hear of either."""


def cause_of(alarm: Alarm, alarms: Mapping[str, Alarm], now: float) -> str | None:
    """
    The alarm that this one follows from at event time `now`; None where it stands for itself.

    The one it is under already as long as that explains it, else one that holds rather than one that is over.
    """
    found = [c for name in CAUSES.get(alarm.name, ()) if (c := alarms.get(name)) and _explains(c, alarm.name, now)]
    names = [cause.name for cause in sorted(found, key=lambda cause: not cause.active)]
    return alarm.because_of if alarm.because_of in names else next(iter(names), None)


def _explains(cause: Alarm, consequence: str, now: float) -> bool:
    if cause.state in _SAYS_NOTHING or cause.raised is None:
        return False
    return cause.active or (cause.cleared is not None and now - cause.cleared <= LINGERS[consequence])


def consequences(cause: str, alarms: Mapping[str, Alarm], now: float) -> Iterator[Alarm]:
    """Alarms that wait to be seen, were raised just before this cause, and may follow from it."""
    for name, causes in CAUSES.items():
        alarm = alarms.get(name)
        if alarm is None or cause not in causes or alarm.state is not AlarmState.UNACKNOWLEDGED:
            continue
        if alarm.raised is not None and now - alarm.raised <= JUST_RAISED:
            yield alarm
