"""What deserves an alarm, and why.

Each watch says what it looks at, its gate (when it makes sense at all), its limit, its on-delay and deadband, and the
sentence it says. Baselines are learned while the line presses normally and frozen while anything is wrong.
Limits without a source beside them are common practice, no source.
"""

from __future__ import annotations

from typing import NamedTuple

from msgspec import Struct, field

from tumpline.pressing.records import Priority

NEAR_A_MACHINE = (
    "Stop the machine, isolate it and lock it off by the site's own procedure, and release stored air before anyone "
    "goes near it. Competent people only. This program is not a safety function."
)

NAMES: dict[str, tuple[Priority, str | None]] = {
    "mill-blocked": (Priority.HIGH, NEAR_A_MACHINE),
    "fruit-starved": (Priority.MEDIUM, NEAR_A_MACHINE),
    "juice-low": (Priority.MEDIUM, NEAR_A_MACHINE),
    "signal-lost": (Priority.LOW, None),
}
"""The watches there are, how soon somebody is needed, and the caution where people may go near a machine."""


class Verdict(NamedTuple):
    """What a watch thinks at one moment."""

    active: bool
    value: float | None = None
    limit: float | None = None
    unit: str | None = None
    cause: str = ""


class Look(NamedTuple):
    """What the watches of the feed see once a second, SI; None where a signal is not fitted or not heard."""

    at: float
    fruit: float | None
    current: float | None
    current_peak: float | None
    """Highest since the last look."""
    water: float | None
    left: float | None
    """kg of the load at the mill not milled yet by its weight; None when no load is known."""
    net: float | None
    load_on: float | None
    """When fruit was last said to go into the flume."""


class Baseline(Struct):
    """What is normal: a mean over about half a minute, learned while fruit goes in."""

    value: float = 0.0
    n: int = 0

    def learn(self, x: float, *, slowly: bool = False) -> None:
        """One second more of normal running; `slowly` where it may not be normal but has to become so if it lasts."""
        self.n += 1
        self.value += (x - self.value) / (300 if slowly else min(self.n, 30))


_KNOWN = 5  # seconds of normal running before a baseline says anything
_COLLAPSED, _RUNNING = 0.25, 0.5  # of the baseline: below the one the fruit has stopped, above the other it is back


class Feed(Struct):
    """The fruit into the mill: running, collapsed, how fast, and with what of its load left."""

    fruit: Baseline = field(default_factory=Baseline)
    current: Baseline = field(default_factory=Baseline)
    water: Baseline = field(default_factory=Baseline)
    full_at: float = float("-inf")
    high_at: float = float("-inf")
    collapsed_at: float | None = None
    run_out: bool | None = None
    """At the collapse: the load was milled to its weight; None when no load is known."""
    back: int = 0
    """Seconds in a row for which fruit has been back."""

    def step(self, look: Look, rated: float) -> None:
        """One second more."""
        if look.fruit is None:
            return
        fruit = look.fruit
        if look.current_peak is not None and self.current.n >= _KNOWN and look.current_peak > 1.3 * self.current.value:
            self.high_at = look.at
        known = self.fruit.n >= _KNOWN
        if known and fruit < _COLLAPSED * self.fruit.value:
            self.back = 0
            if self.collapsed_at is None:
                self.collapsed_at = look.at
                self.run_out = None if look.left is None or look.net is None else look.left < max(60.0, 0.05 * look.net)
            return
        if known and self.collapsed_at is not None and fruit < _RUNNING * self.fruit.value:
            self.back = 0
            return
        self.back += 1
        if self.back >= _KNOWN or not known:
            self.collapsed_at = None
        if fruit > 0.2 * rated and self.collapsed_at is None:
            self._learn(look, fruit)

    def _learn(self, look: Look, fruit: float) -> None:
        if fruit >= 0.6 * self.fruit.value:
            self.full_at = look.at
            if look.current is not None:
                # In the first half minute the mill is still taking up its load: then high is what normal becomes.
                self.current.learn(look.current, slowly=self.current.n >= 30 and look.at - self.high_at <= 10.0)
            if look.water is not None:
                self.water.learn(look.water)
        self.fruit.learn(fruit)

    def fell_fast(self) -> bool:
        """From running to nothing within eight seconds."""
        return self.collapsed_at is not None and self.collapsed_at - self.full_at <= 8.0

    def motor(self, look: Look) -> str:
        """What the mill's current says since the collapse: `high`, `off`, `idle`, or `unknown` without a meter."""
        if look.current is None or self.current.n < _KNOWN or self.collapsed_at is None:
            return "unknown"
        if self.high_at >= self.collapsed_at - 10.0:
            return "high"
        return "off" if look.current < 0.15 * self.current.value else "idle"

    def water_runs(self, look: Look) -> bool | None:
        """Whether the flume still brings fruit; None when that is not known."""
        if look.water is None or self.water.n < _KNOWN:
            return None
        return look.water > 0.6 * self.water.value


class MillWatch(Struct):
    """`mill-blocked`: throughput collapses while fruit and water still come, the current high or tripped."""

    active: bool = False
    cause: str = ""

    def step(self, look: Look, feed: Feed, rated: float) -> Verdict:
        """One second more."""
        if self.active and feed.collapsed_at is None:
            self.active = False
        if not self.active and feed.collapsed_at is not None:
            self.cause = self._why(look, feed, look.at - feed.collapsed_at)
            self.active = self.cause != ""
        limit = _COLLAPSED * feed.fruit.value
        value = None if look.fruit is None else look.fruit * 3.6
        return Verdict(self.active, value, limit * 3.6, "t/h", self.cause)

    def _why(self, look: Look, feed: Feed, seconds: float) -> str:
        motor, water = feed.motor(look), feed.water_runs(look)
        took = "took no more fruit" if not feed.fell_fast() else "stopped taking fruit within seconds"
        if motor == "high" and seconds >= 1.0:
            return f"The mill {took} while its current was high: it is probably blocked."
        if seconds < 4.0 or not feed.fell_fast() or feed.run_out or water is False or seconds > 30.0:
            return ""
        if motor == "off":
            return f"The mill {took} and its current is gone while water still runs: it has probably tripped."
        if motor == "unknown":
            left = "" if feed.run_out is None else " and the load is not finished by its weight"
            running = " while water still runs" if water else ""
            return f"The mill {took}{running}{left}: it may be blocked. Without a current meter this is less sure."
        return ""


class FruitWatch(Struct):
    """`fruit-starved`: no fruit reaches a mill that could take it, with fruit of the load still to come."""

    active: bool = False
    cause: str = ""

    def step(self, look: Look, feed: Feed, *, blocked: bool) -> Verdict:
        """One second more."""
        if blocked or feed.collapsed_at is None or look.fruit is None:
            self.active = False
        elif not self.active:
            self.cause = self._why(look, feed, look.at - feed.collapsed_at)
            self.active = self.cause != ""
        value = None if look.fruit is None else look.fruit * 3.6
        return Verdict(self.active, value, _COLLAPSED * feed.fruit.value * 3.6, "t/h", self.cause)

    def _why(self, look: Look, feed: Feed, seconds: float) -> str:
        motor, water = feed.motor(look), feed.water_runs(look)
        if seconds < 20.0 or seconds > 900.0 or motor in ("off", "high"):
            return ""
        carried = (look.water or 0.0) > 0.05 * feed.water.value  # without it, people may have stopped the flume
        if water is False and carried:
            return "Hardly any fruit reaches the mill and the flume's water is low: the fruit is not being carried."
        if feed.run_out and not self._next_is_overdue(look, feed):
            return ""
        if water is False and motor == "idle" and feed.run_out is not None:
            return "Hardly any fruit reaches the mill, which runs idle, and no water moves in the flume."
        if motor == "idle" and feed.run_out is not None:
            more = "another load was put on" if feed.run_out else "the load is not finished by its weight"
            return f"Hardly any fruit reaches the mill, which runs idle, and {more}."
        return ""

    def _next_is_overdue(self, look: Look, feed: Feed) -> bool:
        """After a load has run out: another one was put on five minutes ago, and none of it has come."""
        on, collapsed = look.load_on, feed.collapsed_at
        return on is not None and collapsed is not None and on > collapsed and look.at - on >= 300.0


_STEADY = 24  # bins of steady fruit before juice is held against it
_UNBROKEN = 48  # bins of unbroken feed before that: after a gap the pulp buffer fills again, and its juice comes late


class JuiceWatch(Struct):
    """
    `juice-low`: juice against the fruit it comes from, times the yield before. A gap in the fruit never raises it: the
    gate asks for two minutes of steady aligned fruit, and four of unbroken feed.
    """

    active: bool = False
    usual: float | None = None
    """m³/kg while normal."""
    learned: int = 0
    """Bins that `usual` rests on, up to a memory of sixty."""
    low: int = 0
    good: int = 0
    share: float | None = None

    def close_bin(
        self,
        fruit: list[float],
        aligned: list[float],
        juice: list[float],
        *,
        expected: float,
        rated_bin: float,
        pump: str = "auto",
    ) -> None:
        """
        Take one closed bin; lists are the whole ledger's, `rated_bin` is kg a bin at rated throughput. With an
        `on-off` pump, or one seen to be so, juice is judged over minutes.
        """
        fed = fruit[-_UNBROKEN:]
        steady = aligned[-_STEADY:]
        top = max(steady)
        broken = min(fed) < 0.5 * max(fed)
        if len(steady) < _STEADY or top < 0.3 * rated_bin or min(steady) < 0.7 * top or broken:
            self.low = 0
            return
        bins = 60 if pump == "on-off" or (pump == "auto" and _in_bursts(aligned, juice)) else 6
        recent = sum(juice[-bins:]) / sum(aligned[-bins:])
        usual = self.usual if self.usual is not None else 0.8 * expected
        self.share = recent / usual
        self.low = self.low + 1 if self.share < 0.8 else 0
        self.good = self.good + 1 if self.share > 0.9 else 0
        if self.low >= 2:
            self.active = True
        elif self.good >= 4:
            self.active = False
        if not self.active and self.low == 0:
            self.learned += 1
            usual = self.usual or 0.0
            self.usual = usual + (recent - usual) / min(self.learned, 60)

    def verdict(self, *, pressing: bool) -> Verdict:
        """What the watch says now; without fruit there is no juice to miss."""
        if not pressing:
            self.active, self.low = False, 0
        percent = None if self.share is None else 100.0 * self.share
        said = "" if percent is None else f"Juice is at {percent:.0f} % of what this fruit gave before."
        cause = f"{said} Possible: a leak, belts blinding, low press pressure, or the juice meter." if said else ""
        return Verdict(self.active, percent, 80.0, "%", cause)


def _in_bursts(aligned: list[float], juice: list[float]) -> bool:
    """
    Juice that is pumped from a sump by a float switch shows as bins of nothing between full ones, while the fruit that
    gives it goes on. A line that is filling or draining has no such fruit.
    """
    fruit, juice = aligned[-60:], juice[-60:]
    full, running = max(juice, default=0.0), 0.7 * max(fruit, default=0.0)
    return sum(1 for m, a in zip(fruit, juice, strict=True) if a < 0.05 * full and m > running) >= 6


def lost(names: list[str]) -> Verdict:
    """`signal-lost`: signals that were heard and are not any more."""
    if not names:
        return Verdict(False)
    listed = ", ".join(names)
    verb = "has" if len(names) == 1 else "have"
    return Verdict(
        True, float(len(names)), 0.0, "signals", f"{listed} {verb} not been heard: sensor, cable or network."
    )
