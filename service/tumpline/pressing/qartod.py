"""The sensor tests of QARTOD, each of a few numbers: gap, gross range, rate of change, spike, flat line.

Source: US IOOS, Manuals for Real-Time Quality Control (temperature and salinity 2016, dissolved oxygen 2018), by title;
the behaviour at the limits follows the test vectors of a public implementation.
"""

from __future__ import annotations

import math
from enum import IntEnum

from msgspec import Struct


class Flag(IntEnum):
    """What a test says of a reading."""

    GOOD = 1
    NOT_EVALUATED = 2
    SUSPECT = 3
    FAIL = 4
    MISSING = 9


def gap(now: float, newest_at: float, stale_after: float) -> Flag:
    """MISSING where nothing was heard for more than `stale_after` seconds."""
    return Flag.GOOD if now - newest_at <= stale_after else Flag.MISSING


def gross_range(value: float, fail: tuple[float, float], suspect: tuple[float, float]) -> Flag:
    """FAIL outside what the sensor can read, SUSPECT outside what it ought to read; the ends belong inside."""
    if not fail[0] <= value <= fail[1]:
        return Flag.FAIL
    return Flag.GOOD if suspect[0] <= value <= suspect[1] else Flag.SUSPECT


def rate_of_change(step: float, seconds: float, *, suspect: float) -> Flag:
    """SUSPECT where a signal has moved by more than `suspect` a second."""
    return Flag.SUSPECT if abs(step) > suspect * seconds else Flag.GOOD


def spike(before: float, value: float, after: float, *, suspect: float, fail: float = math.inf) -> Flag:
    """SUSPECT or FAIL where a reading lies further than that from the mean of its two neighbours."""
    off = abs(value - 0.5 * (before + after))
    if off > fail:
        return Flag.FAIL
    return Flag.SUSPECT if off > suspect else Flag.GOOD


class FlatLine(Struct):
    """The newest readings that differ by no more than a tolerance from each other. Feed it in order of time."""

    low: float = math.inf
    high: float = -math.inf
    since: float = -math.inf
    """First of these readings."""
    before: float = -math.inf
    """Last reading that was different; the first of all where none was."""
    at: float = -math.inf
    count: int = 0
    """How many they are."""

    def take(self, at: float, value: float, tolerance: float) -> float | None:
        """Take a reading; where it is different, the seconds over which those before it were alike, else None."""
        last, self.at = self.at, at
        low, high = self.low, self.high
        if value < low:
            low = value
        if value > high:
            high = value
        if high - low <= tolerance and last > -math.inf:
            self.low, self.high = low, high
            self.count += 1
            return None
        lasted = last - self.since
        self.before = at if last == -math.inf else last
        self.low = self.high = value
        self.since, self.count = at, 1
        return None if last == -math.inf else lasted

    def flag(self, *, suspect: float, fail: float) -> Flag:
        """SUSPECT or FAIL where the last reading that was different is longer ago than that, in seconds."""
        unlike = self.at - self.before
        if unlike > fail:
            return Flag.FAIL
        return Flag.SUSPECT if unlike > suspect else Flag.GOOD
