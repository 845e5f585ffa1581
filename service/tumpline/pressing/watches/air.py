"""The air on the press belts: less than usual, falling, or more than usual."""

from __future__ import annotations

import math

from msgspec import Struct, field

from tumpline.pressing.params import WatchParams
from tumpline.pressing.watches.baseline import LONG, Held, SetPoint
from tumpline.pressing.watches.feed import Feed
from tumpline.pressing.watches.look import Look
from tumpline.pressing.watches.verdict import QUIET, Verdict

_ON = 0.3e5  # Pa: under it the air is off, and nothing is learned
_QUICK, _SLOW = 3.0, 30.0  # seconds over which the pressure is averaged, to see it fall
_SINKS, _FALLS = 0.02, 0.012  # of the usual: that far under it, and that much less than half a minute ago on average
_SWINGS = 7.0  # times its usual swing: a regulator that hunts is no leak
_AT_REST = 600.0  # seconds without fruit after which the air may be off on purpose
_SILENT = 5.0  # seconds after which what was averaged before says nothing
_PAUSES = 300.0  # seconds for which air under the usual that fell may pause before it falls on
_FAST = 0.02  # of the usual, a second's fall over a minute: more is no leak

_LOW = "Press air is at {bar:.1f} bar, {share:.0f} % of the usual{how}."
_LOST = ", and falling by {rate:.1f} bar a minute: its supply is going, or a line has burst"
_SAGGED = ", and it sagged over {minutes:.0f} minutes: a leaking line, the compressor or the regulator"
_STEADY = ": its supply, its regulator, or the transmitter"
_HIGH = "Press air is at {bar:.1f} bar, {share:.0f} % of the usual: its regulator, or the transmitter."


class AirWatch(Struct):
    """
    `pressure-low` and `pressure-high`, while fruit is pressed. Air that is being lost is seen falling before it is
    under the limit; a line that stands keeps what was said before, until its air may be off on purpose.
    """

    usual: SetPoint = field(default_factory=SetPoint)
    swing: float = 0.0
    """Mean distance from the usual, Pa."""
    quick: float = 0.0
    slow: float = 0.0
    low: Held = field(default_factory=Held)
    high: Held = field(default_factory=Held)
    heard_at: float = -math.inf
    usual_at: float = -math.inf
    """When the pressure last was as usual."""
    fell_at: float = -math.inf
    """When the pressure was last seen falling."""
    cause: str = ""

    def step(self, look: Look, feed: Feed, limits: tuple[WatchParams, WatchParams]) -> tuple[Verdict, Verdict]:
        """One second more; `limits` and verdicts of low, and of high."""
        if look.pressure is not None and feed.runs:
            self._watch(look, look.pressure, limits)
        elif feed.collapsed_at is not None and look.at - feed.collapsed_at > _AT_REST:
            self.low.end()
            self.high.end()
            if look.at - feed.collapsed_at > LONG:
                self.usual.forget()
        bar, usual = self.quick / 1e5, self.usual.value / 1e5
        low, high = limits
        return (
            Verdict(True, bar, low.limit * usual, "bar", self.cause) if self.low.active else QUIET,
            Verdict(True, bar, high.limit * usual, "bar", self.cause) if self.high.active else QUIET,
        )

    def _watch(self, look: Look, pressure: float, limits: tuple[WatchParams, WatchParams]) -> None:
        if pressure > _ON and not (self.low.active or self.high.active):
            self.usual.learn(pressure)
        if not self.usual.known:
            self.swing = 0.0
        if not self.usual.known or look.at - self.heard_at > _SILENT:
            self.quick = self.slow = pressure
            self.low.wait()
            self.high.wait()
        self.heard_at = look.at
        if not self.usual.known:
            return
        self.quick += (pressure - self.quick) / _QUICK
        self.slow += (self.quick - self.slow) / _SLOW
        usual = self.usual.value
        off, fell = self.quick - usual, self.slow - self.quick
        if abs(off) < _SINKS * usual:
            self.usual_at = look.at
            self.swing += (abs(off) - self.swing) / _AT_REST
        falling = fell > _FALLS * usual and -off > max(_SINKS * usual, _SWINGS * self.swing)
        self._judge(look, 1.0 + off / usual, fell, falling, limits)

    def _judge(
        self, look: Look, share: float, fell: float, falling: bool, limits: tuple[WatchParams, WatchParams]
    ) -> None:
        low, high = limits
        was = self.low.active, self.high.active
        # One reading alone may stand apart from all others.
        highest = max((p for p in (look.pressure, look.pressure_before) if p is not None), default=math.inf)
        agreed = highest < (1.0 - _SINKS) * self.usual.value
        if falling:
            self.fell_at = look.at
        steady = share > 1.0 - _SINKS or look.at - self.fell_at > _PAUSES
        delay = 2.0 if falling else low.delay
        self.low.step(
            look.at,
            beyond=falling or share < low.limit,
            back=steady and share > low.limit + low.deadband,
            delay=delay if agreed else math.inf,
        )
        self.high.step(look.at, beyond=share > high.limit, back=share < high.limit - high.deadband, delay=high.delay)
        said = {"bar": self.quick / 1e5, "share": 100.0 * share}
        if self.low.active and not was[0]:
            self.cause = _LOW.format(**said, how=self._how(look.at, fell))
        elif self.high.active and not was[1]:
            self.cause = _HIGH.format(**said)

    def _how(self, now: float, fell: float) -> str:
        rate = fell / (_SLOW - _QUICK) * 60.0
        if rate > _FAST * self.usual.value:
            return _LOST.format(rate=rate / 1e5)
        seconds = now - self.usual_at
        return _SAGGED.format(minutes=seconds / 60.0) if seconds > 90.0 else _STEADY
