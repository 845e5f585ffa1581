"""The only reader of time. Everybody else is handed a clock, or just the time."""

import time


class Clock:
    """The time of day, in seconds since 1970-01-01 UTC."""

    speed = 1.0
    """Seconds of this clock in a second of the wall."""

    def now(self) -> float:
        """What this clock shows."""
        return time.time()  # noqa: TID251 this is the clock

    def running(self) -> float:
        """Wall seconds since some fixed moment: for pauses and time limits; never jumps."""
        return time.monotonic()  # noqa: TID251 this is the clock


class ScaledClock(Clock):
    """A clock that starts at a given time and runs `speed` times as fast as the wall's."""

    def __init__(self, *, start: float, speed: float) -> None:
        self._start = start
        self._from = time.monotonic()  # noqa: TID251 this is the clock
        self.speed = speed

    def now(self) -> float:
        """What this clock shows; it never jumps."""
        return self._start + (time.monotonic() - self._from) * self.speed  # noqa: TID251 this is the clock
