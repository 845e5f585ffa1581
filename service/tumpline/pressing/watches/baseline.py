"""What is usual, and how long something has to be unusual before it counts."""

from __future__ import annotations

import math

from msgspec import Struct


class Baseline(Struct):
    """What is normal: a mean over about half a minute, learned while fruit goes in."""

    value: float = 0.0
    n: int = 0

    def learn(self, x: float, *, memory: int = 30) -> None:
        """One second more of normal running; `memory` is in seconds."""
        self.n += 1
        self.value += (x - self.value) / min(self.n, memory)

    def creep(self, x: float) -> None:
        """One second more of what may not be normal, but has to become so if it lasts."""
        self.value += (x - self.value) / 300.0


LONG = 4 * 3600.0
"""Seconds for which a line has to have stood before people are thought to have set its pumps and valves anew."""

_FIRST = 60  # seconds that are taken for what was set
_CLOSE = 0.06  # of the value: further off, nobody has set it and something has happened
_MEMORY = 900  # seconds


class SetPoint(Struct):
    """
    What a pump or a valve was set to: the first minute's mean, then only what is close to it, slowly, so that neither
    a leak nor a strainer that clogs becomes the usual. `forget` where people may have set it anew.
    """

    value: float = 0.0
    n: int = 0

    @property
    def known(self) -> bool:
        """Whether the first minute is over."""
        return self.n >= _FIRST

    def learn(self, x: float) -> None:
        """One second more of normal running."""
        if self.known and abs(x - self.value) > _CLOSE * self.value:
            return
        self.n += 1
        self.value += (x - self.value) / (min(self.n, _FIRST) if self.n <= _FIRST else _MEMORY)

    def forget(self) -> None:
        """Learn anew from the next readings."""
        self.n = 0


class Held(Struct):
    """A condition with its on-delay, and an end of its own."""

    active: bool = False
    since: float = math.inf
    """When what may become active began."""

    def step(self, at: float, *, beyond: bool, back: bool, delay: float) -> bool:
        """`beyond` the limit for `delay` seconds without a break makes it active, `back` ends it."""
        if not beyond:
            self.since = math.inf
        elif at < self.since:
            self.since = at
        if self.active:
            self.active = not back
        else:
            self.active = at - self.since >= delay
        return self.active

    @property
    def waits(self) -> bool:
        """Whether something is beyond the limit, for however short a time."""
        return self.since < math.inf

    def wait(self) -> None:
        """What was beyond the limit so far does not count."""
        self.since = math.inf

    def end(self) -> None:
        """The watch makes no sense now."""
        self.active, self.since = False, math.inf
