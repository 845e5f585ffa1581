"""From when on something goes where: which load is at the mill, which vat and trailer take what comes."""

from __future__ import annotations

import math
from bisect import bisect_right

from msgspec import Struct, field

from tumpline.pressing.stock import UNNAMED

FLUME_TIME = 20.0
"""Seconds from the flume to the mill where none were seen yet, and as many either way (common practice, no source)."""


class Switches(Struct):
    """From when on something goes where, in order of event time."""

    times: list[float] = field(default_factory=list)
    names: list[str] = field(default_factory=list)
    lag: float = 0.0
    """Seconds by which what follows something else is there later than it was switched."""

    def add(self, at: float, name: str) -> None:
        """From `at` on it is `name`, until the next switch."""
        place = bisect_right(self.times, at)
        self.times.insert(place, at)
        self.names.insert(place, name)

    def remove(self, at: float, name: str) -> None:
        """Take back the switch to `name` that was written for `at`."""
        for place, (time, held) in enumerate(zip(self.times, self.names, strict=True)):
            if held == name and time == at:
                del self.times[place], self.names[place]
                return

    def at(self, when: float) -> str:
        """The name that holds at `when`; empty before the first switch. What nothing goes before has no lag."""
        place = bisect_right(self.times, when - self.lag)
        if place == 0 and self.times and self.times[0] <= when:
            place = 1
        return self.names[place - 1] if place else UNNAMED

    def latest(self, name: str) -> tuple[float, float]:
        """When it last began to hold, and when the next switch ended that; (inf, inf) where it never did."""
        place = max((i for i, n in enumerate(self.names) if n == name), default=len(self.names))
        times = [*self.times, math.inf, math.inf]
        return times[place], times[place + 1]

    def forget_before(self, when: float) -> None:
        """Drop all switches that no longer matter at `when`."""
        place = bisect_right(self.times, when - self.lag) - 1
        if place > 0:
            del self.times[:place]
            del self.names[:place]
