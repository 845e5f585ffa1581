"""
Which alarms somebody is to be told of now, who may not be looking at a screen.

There is no queue. What is to be told follows from the alarms as they stand and from what has been told of them, so a
flood, an address that does not answer or a start after a crash cannot pile anything up, and nothing is forgotten.
"""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, time
from typing import NamedTuple
from zoneinfo import ZoneInfo

from msgspec import Struct

from tumpline.pressing.records import AlarmRecord, AlarmState, Priority

SETTLES = 5.0
"""s an alarm stands before it is told of: what explains it, or follows from it, is mostly found in that time."""
_URGENCY = {Priority.LOW: 0, Priority.MEDIUM: 1, Priority.HIGH: 2}
_WAITS = frozenset({AlarmState.UNACKNOWLEDGED, AlarmState.RETURNED_UNACKNOWLEDGED, AlarmState.LATCHED_UNACKNOWLEDGED})
"""States in which an alarm waits for somebody to see it."""


class Quiet(NamedTuple):
    """Hours of the day in which people are let sleep; they may go over midnight."""

    begins: time
    ends: time
    zone: ZoneInfo
    lets_through: Priority | None
    """What is told all the same; None for nothing. The rest is told when they end, where it still waits."""

    def holds(self, now: float) -> bool:
        """Whether it is that time."""
        moment = datetime.fromtimestamp(now, self.zone)
        at = time(moment.hour, moment.minute, moment.second)
        if self.begins <= self.ends:
            return self.begins <= at < self.ends
        return at >= self.begins or at < self.ends


class Policy(NamedTuple):
    """When people are told."""

    minimum: Priority
    repeat_after: float
    """s after which an alarm that holds is told of again, until somebody acknowledges it."""
    gather: float
    """s between two messages to one address, at least."""
    quiet: Quiet | None = None


class Told(Struct):
    """What an address was told of an alarm last."""

    raised: float | None
    subject: str | None
    at: float


Memory = dict[str, dict[str, Told]]
"""By line and alarm: what one address was told."""


class Item(NamedTuple):
    """One alarm to tell of, with what follows from it."""

    line: str
    alarm: AlarmRecord
    follows: tuple[AlarmRecord, ...]
    again: bool
    """True where it was told of before."""


def due(policy: Policy, alarms: Mapping[str, Sequence[AlarmRecord]], memory: Memory, now: float) -> list[Item]:
    """
    What is to be told now, the most urgent first; nothing while the last message is younger than `gather`.

    `alarms` by line: all that are not normal. Everything that is returned belongs in one message.
    """
    newest = max((told.at for line in memory.values() for told in line.values()), default=None)
    if newest is not None and now - newest < policy.gather:
        return []
    items = [item for line, records in alarms.items() for item in _items(policy, line, records, memory, now)]
    return sorted(items, key=lambda item: -_urgency(item))


def remember(memory: Memory, items: Sequence[Item], now: float) -> None:
    """These have been told."""
    for item in items:
        memory.setdefault(item.line, {})[item.alarm.name] = Told(item.alarm.raised, item.alarm.subject, now)


def _items(policy: Policy, line: str, records: Sequence[AlarmRecord], memory: Memory, now: float) -> Iterator[Item]:
    for alarm in records:
        if alarm.state not in _WAITS or (alarm.raised is not None and now - alarm.raised < SETTLES):
            continue
        told = memory.get(line, {}).get(alarm.name)
        again = told is not None and told.raised == alarm.raised and _subjects(alarm.subject) <= _subjects(told.subject)
        if again and told is not None and not (_holds(alarm) and now - told.at >= policy.repeat_after):
            continue
        item = Item(line, alarm, tuple(_followers(alarm.name, records)), again)
        if _may_be_told(policy, _urgency(item), now):
            yield item


def _holds(alarm: AlarmRecord) -> bool:
    return alarm.active or alarm.state is AlarmState.LATCHED_UNACKNOWLEDGED


def _subjects(text: str | None) -> set[str]:
    return set(text.split(", ")) if text else set()


def _followers(name: str, records: Sequence[AlarmRecord]) -> Iterator[AlarmRecord]:
    for record in records:
        if record.because_of == name and record.state is AlarmState.SUPPRESSED:
            yield record
            yield from _followers(record.name, records)


def _urgency(item: Item) -> int:
    """A consequence is told under its cause, and makes it as urgent as itself."""
    return max(_URGENCY[alarm.priority] for alarm in (item.alarm, *item.follows))


def _may_be_told(policy: Policy, urgency: int, now: float) -> bool:
    if policy.quiet is not None and policy.quiet.holds(now):
        through = policy.quiet.lets_through
        if through is None or urgency < _URGENCY[through]:
            return False
    return urgency >= _URGENCY[policy.minimum]
