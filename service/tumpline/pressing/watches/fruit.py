"""Fruit that does not reach the mill, and the water that should carry it."""

from __future__ import annotations

import math

from msgspec import Struct, field

from tumpline.pressing.params import WatchParams
from tumpline.pressing.watches.baseline import Held
from tumpline.pressing.watches.feed import Feed
from tumpline.pressing.watches.look import Look
from tumpline.pressing.watches.verdict import QUIET, Verdict

_FALLEN = 12.0  # seconds for which water has to be low and fall no further: a pump that is switched off runs out
_LATEST = 900.0  # seconds after which nobody needs to be told that no fruit comes
_OVERDUE = 300.0  # seconds from a load put on to its first fruit
_PATIENCE = 180.0  # seconds for which a mill may turn empty over a flume that people have stopped
_START_UP = 60.0  # seconds for which people stop a line that they bring up, to look at it

_HARDLY = "Hardly any fruit reaches the mill"
_NOT_CARRIED = "{hardly} and the flume's water is low: the fruit is not being carried."
_NO_WATER = "{hardly}, which runs idle, and no water moves in the flume."
_IDLE = "{hardly}, which runs idle, and {more}."
_THINNED = "{hardly}, it thinned out while water runs, and {more}. Without a current meter this is less sure."
_GONE = "{hardly}, and {more}. Without a current meter this is less sure."
_BEHIND = (
    "{hardly}, and {more}. What is milled seems not to reach the press, as when its hopper bridges or its pump fails."
)
_NOT_FINISHED, _OVERDUE_LOAD = "the load is not finished by its weight", "another load was put on"


class FruitWatch(Struct):
    """`fruit-starved`: no fruit reaches a mill that could take it, with fruit of the load still to come."""

    active: bool = False
    carried_at: float = -math.inf
    """When the water last carried fruit, or stood."""
    cause: str = ""

    def step(self, look: Look, feed: Feed, limits: tuple[WatchParams, WatchParams], *, blocked: bool) -> Verdict:
        """One second more; `limits` of a starved and of a blocked mill."""
        if feed.water_runs(look) is not False or feed.water_stands(look):
            self.carried_at = look.at
        if blocked or feed.collapsed_at is None or look.fruit is None:
            self.active = False
        elif not self.active and feed.back == 0.0:
            self.cause = self._why(look, feed, limits, look.at - feed.collapsed_at)
            self.active = self.cause != ""
        if not self.active:
            return QUIET
        value = None if look.fruit is None else look.fruit * 3.6
        return Verdict(True, value, limits[1].limit * feed.fruit.value * 3.6, "t/h", self.cause)

    def _why(self, look: Look, feed: Feed, limits: tuple[WatchParams, WatchParams], seconds: float) -> str:
        motor = feed.motor(look)
        stands, patience = feed.water_stands(look), limits[0].delay
        if feed.starting(look.at):
            patience = max(patience, _START_UP)
        if not stands and feed.stood_at > -math.inf:  # people had stopped the line, and bring it up again
            patience, seconds = max(patience, _START_UP), look.at - feed.stood_at
        if look.emergency_stop or not patience <= seconds <= _LATEST or motor in ("off", "high"):
            return ""
        overdue = self._next_is_overdue(look, feed)
        if feed.run_out and not overdue:
            return ""
        if look.at - max(self.carried_at, feed.ebbed_at) >= _FALLEN:
            return _NOT_CARRIED.format(hardly=_HARDLY)
        if feed.run_out is None:
            return ""
        if stands:
            return _NO_WATER.format(hardly=_HARDLY) if look.at - feed.off_at >= _PATIENCE else ""
        more = _OVERDUE_LOAD if feed.run_out else _NOT_FINISHED
        if feed.behind:
            return _BEHIND.format(hardly=_HARDLY, more=more)
        if motor == "idle":
            return _IDLE.format(hardly=_HARDLY, more=more)
        if overdue or not feed.fell_fast:
            return (_GONE if math.isinf(feed.fell) else _THINNED).format(hardly=_HARDLY, more=more)
        return ""

    def _next_is_overdue(self, look: Look, feed: Feed) -> bool:
        """After a load has run out: another one was put on five minutes ago, and none of it has come."""
        on, collapsed = look.load_on, feed.collapsed_at
        return on is not None and collapsed is not None and on > collapsed and look.at - on >= _OVERDUE


_USUAL, _SLOW = 0.95, 60.0  # of the usual water, and seconds from there half way to the limit: slower than any hand
_LOW = "The flume carries {share:.0f} % of its usual water{how}."
_SLOWLY = ", and it fell over {minutes:.0f} minutes: the pump's strainer may be clogging"
_AT_ONCE = ", and it fell within two minutes: the pump, its strainer, or the water in its pit"


class FlumeWatch(Struct):
    """
    `flume-low`: less water in the flume than carries fruit. Where none moves at all people may have stopped it, which
    is no fault, nor is water that still falls, as it does until a pump that was switched off stands; a mill that turns
    empty over it for minutes is `fruit-starved`. Water that falls over minutes is told half way to the limit: nobody
    throttles a pump so slowly.
    """

    held: Held = field(default_factory=Held)
    usual_at: float = -math.inf
    """When the water last was about as usual."""
    slow: bool | None = None
    """Whether it took its time to get half way to the limit; None while it has not."""
    cause: str = ""

    def step(self, look: Look, feed: Feed, limits: WatchParams) -> Verdict:
        """One second more."""
        if look.water is None or not feed.water.known or feed.water_stands(look):
            self.held.end()
            return QUIET
        share, limit = look.water / feed.water.value, limits.limit
        if share > _USUAL:
            self.usual_at, self.slow = look.at, None
        elif self.slow is None and share < 0.5 * (1.0 + limit):
            self.slow = look.at - self.usual_at > _SLOW
        if self.slow:
            limit = 0.5 * (1.0 + limit)
        was = self.held.active
        low, back = share < limit and look.at > feed.ebbed_at, share > limit + limits.deadband
        if self.held.step(look.at, beyond=low, back=back, delay=limits.delay) and not was:
            self.cause = _LOW.format(share=100.0 * share, how=self._how(look.at))
        if not self.held.active:
            return QUIET
        return Verdict(True, look.water * 1000.0, limit * feed.water.value * 1000.0, "L/s", self.cause)

    def _how(self, now: float) -> str:
        seconds = now - self.usual_at
        return _AT_ONCE if seconds < 120.0 else _SLOWLY.format(minutes=seconds / 60.0)
