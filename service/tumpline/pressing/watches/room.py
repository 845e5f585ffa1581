"""Room that runs out: the vat that takes the juice, the trailer that takes the pomace."""

from __future__ import annotations

from typing import NamedTuple

from msgspec import Struct, field

from tumpline.pressing.params import WatchParams
from tumpline.pressing.watches.baseline import Held
from tumpline.pressing.watches.verdict import QUIET, Verdict

_FULL = "{what} {name} is {share:.0f} % full{when}."
_SOON = ", and will be full in about {minutes:.0f} minutes at the present rate"


class Room(NamedTuple):
    """What takes juice or pomace now, in one unit; None where nobody said or measured it."""

    name: str = ""
    holds: float | None = None
    capacity: float | None = None
    rate: float = 0.0
    """A second, at present."""
    more: float = 0.0
    """It may hold, by the limits of what that is known from."""


class RoomWatch(Struct):
    """`vat-nearly-full` or `trailer-nearly-full`: it may be filled to the limit, or full soon at the present rate."""

    what: str
    room: Room = Room()
    name: str = ""
    held: Held = field(default_factory=Held)
    cause: str = ""

    def step(self, at: float, limits: WatchParams) -> Verdict:
        """One second more."""
        room = self.room
        if room.name != self.name:
            self.held.end()
            self.name = room.name
        if room.name == "" or room.holds is None or not room.capacity:
            self.held.end()
            return QUIET
        share, most = room.holds / room.capacity, (room.holds + room.more) / room.capacity
        ahead = (room.capacity - room.holds) / room.rate if room.rate > 0.0 else None
        soon = ahead is not None and ahead < limits.ahead
        was = self.held.active
        back = most < limits.limit - limits.deadband and not soon
        if self.held.step(at, beyond=soon or most > limits.limit, back=back, delay=limits.delay) and not was:
            when = "" if ahead is None else _SOON.format(minutes=max(1.0, ahead / 60.0))
            self.cause = _FULL.format(what=self.what, name=room.name, share=100.0 * share, when=when)
        if not self.held.active:
            return QUIET
        return Verdict(True, 100.0 * share, 100.0 * limits.limit, "%", self.cause, (room.name,))
