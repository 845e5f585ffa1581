"""When event time may go on although nothing arrives."""

from collections.abc import Sequence

from tumpline.pressing.events import EntryMade, Event, ReadingTaken

SHORTEST = 5.0
"""s of silence before event time goes on by itself."""
_STEP = 1.0
_DATED = (ReadingTaken, EntryMade)


class Lull:
    """
    Follows one line's messages, and says how far event time has come once they stop.

    Never ahead of messages that may still be on their way: it stays behind the clock by the lateness allowed, and by
    as much as the newest reading lagged behind its arrival. It goes on in whole seconds from the last arrival, so
    that a recording, asked at its next message, comes to the same times.
    """

    def __init__(self, *, lateness: float, speed: float = 1.0, lag: float | None = None) -> None:
        """
        Build one for a line.

        `lateness` is the line's, in seconds. With a clock that runs `speed` times too fast the silence has to last so
        many times longer, because our own pauses count as silence. `lag` is that of an earlier run.
        """
        self._quiet = max(SHORTEST, lateness) * max(1.0, speed)
        self._lateness = lateness
        self._newest = float("-inf")
        self._since: float | None = None
        self._step = -1.0
        self.lag = lag
        """How far the newest reading lay behind its arrival; None before the first."""

    def heard(self, arrived: float, events: Sequence[Event]) -> None:
        """A message arrived and meant these events."""
        self.listen(arrived)
        for event in events:
            if isinstance(event, _DATED) and event.at >= self._newest:
                self._newest = event.at
                self.lag = max(0.0, arrived - event.at)

    def listen(self, since: float) -> None:
        """From this moment on silence means something."""
        self._since = since
        self._step = -1.0

    def passed(self, now: float) -> float | None:
        """How far event time has come by `now`; None while it is not known, or not further than last asked."""
        if self._since is None or self.lag is None or now - self._since < self._quiet:
            return None
        step = (now - self._since - self._quiet) // _STEP
        if step <= self._step:
            return None
        self._step = step
        return self._since + self._quiet + step * _STEP - self._lateness - self.lag
