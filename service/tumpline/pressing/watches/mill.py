"""The mill: blocked or tripped, and hard objects that went through it."""

from __future__ import annotations

import math

from msgspec import Struct

from tumpline.pressing.params import WatchParams
from tumpline.pressing.watches.feed import Feed
from tumpline.pressing.watches.look import Look
from tumpline.pressing.watches.verdict import QUIET, Verdict

_LATEST = 60.0  # seconds after which a collapse is news of another kind
_AT_ONCE, _LOOKED_AT = 1.5, 55.0  # seconds
_NOTHING = 0.1  # of the usual fruit: where more still goes in, a mill without a current meter is not called blocked
_FILLS_UP = 2  # readings taken while a mill that blocks fills up; a cut shows in one at the most, a mean over it
_STOPPED_BY_PEOPLE = 2  # seconds a mill turns empty before it is switched off; one that trips has no such time

_HIGH = "The mill {took} while its current was high: it is probably blocked."
_UNHEARD = "The mill's current was high and is gone, while its throughput is not heard: it is probably blocked."
_TRIPPED = "The mill {took} and its current is gone while water still runs: it has probably tripped."
_UNSURE = (
    "The mill {took}{water}{left}: it may be blocked, or what it milled gets no further. "
    "Without a current meter this is less sure."
)
_WITHIN_SECONDS, _NO_MORE = "stopped taking fruit within seconds", "took no more fruit"
_WATER, _NOT_FINISHED = " while water still runs", " and the load is not finished by its weight"
_NO_LOAD = " and the book names no load that could be finished"

_STONE = "The mill's current rose to {times:.1f} times the usual and fell back at once: something hard went through it."
_STONE_BEYOND = "The mill's current left its meter's range and fell back at once: something hard went through it."


class MillWatch(Struct):
    """`mill-blocked`: throughput collapses while fruit and water still come, the current high or tripped."""

    active: bool = False
    cause: str = ""

    def step(self, look: Look, feed: Feed, limits: WatchParams) -> Verdict:
        """One second more."""
        if feed.collapsed_at is None:
            self.active = False
        elif not self.active:
            self.cause = self._why(look, feed, limits, look.at - feed.collapsed_at)
            self.active = self.cause != ""
        if not self.active:
            return QUIET
        value = None if look.fruit is None else look.fruit * 3.6
        return Verdict(True, value, limits.limit * feed.fruit.value * 3.6, "t/h", self.cause)

    def _why(self, look: Look, feed: Feed, limits: WatchParams, seconds: float) -> str:
        motor, water = feed.motor(look), feed.water_runs(look)
        took = _WITHIN_SECONDS if feed.fell_fast else _NO_MORE
        if look.emergency_stop or seconds > _LATEST or feed.back > 0.0:
            return ""
        if motor == "high":
            return _UNHEARD if look.fruit is None else _HIGH.format(took=took)
        if seconds < limits.delay or took == _NO_MORE or feed.finished or feed.behind or water is False:
            return ""
        if motor == "unknown" and feed.stood_at > -math.inf:
            return ""  # people had stopped the line, and bring it up again
        if motor == "off":
            return _TRIPPED.format(took=took) if feed.idled < _STOPPED_BY_PEOPLE else ""
        if feed.starting(look.at) and feed.fell <= _AT_ONCE and seconds < _LOOKED_AT:
            return ""  # an elevator that people stop to look at a line they are bringing up stands at once
        if motor == "unknown" and feed.run_out is None and feed.on_the_way < _FILLS_UP:
            return ""  # it may as well have been cut off: the end of a load, or an elevator that people stopped
        if motor == "unknown" and (look.fruit or 0.0) < _NOTHING * feed.fruit.value:
            left = _NO_LOAD if feed.run_out is None else _NOT_FINISHED
            return _UNSURE.format(took=took, water=_WATER if water else "", left=left)
        return ""


_SETTLES = 3.0  # seconds in which a hard object has gone through; what is not over by then is something else
_SETTLED = 1.3  # of the usual current
_TOLD = 60.0  # seconds for which it is told


class StoneWatch(Struct):
    """`hard-object`: the current rises far above the usual and falls back at once, with fruit going in as before."""

    peak_at: float = -math.inf
    peak: float = 0.0
    """In times the usual current."""
    told_at: float = -math.inf
    cause: str = ""

    def step(self, look: Look, feed: Feed, limits: WatchParams) -> Verdict:
        """One second more."""
        usual = feed.current.value
        known = feed.runs and feed.current.n >= 30 and self._taking(look, feed)
        high = look.current_peak is not None and look.current_peak > limits.limit * usual
        if known and high and look.at - self.peak_at > _SETTLES:
            self.peak_at, self.peak = look.at, (look.current_peak or 0.0) / usual
        if self.peak_at > self.told_at and look.at - self.peak_at >= _SETTLES:
            gone = look.current is not None and look.current <= _SETTLED * usual
            if feed.runs and gone and self._taking(look, feed):
                self.told_at = look.at
                self.cause = _STONE_BEYOND if math.isinf(self.peak) else _STONE.format(times=self.peak)
            else:
                self.peak_at = -math.inf
        if look.at - self.told_at > _TOLD:
            return QUIET
        value = None if math.isinf(self.peak) else 100.0 * self.peak
        return Verdict(True, value, 100.0 * limits.limit, "%", self.cause)

    def _taking(self, look: Look, feed: Feed) -> bool:
        """Fruit goes in about as usual."""
        return look.fruit is not None and look.fruit > 0.6 * feed.fruit.value
