"""Residence time: which fruit is in this juice.

Milled fruit waits in the pulp buffer, a stirred tank that holds `hold` seconds of fruit at the rated feed; then it
takes `delay` seconds that nothing shortens; then it spreads like two equal stirred tanks in series, a gamma
distribution of shape 2 with standard deviation `spread` (Levenspiel, Chemical Reaction Engineering, ch. 14).

Slower fruit arrives later, in one of two ways (own models: none was found in print). Where the pulp pump follows the
buffer's level it turns faster the fuller the buffer is, outflow as the square of the level: the buffer alone waits
longer, and fills again after a gap before its juice comes. Where the whole line keeps pace with the feed, all times
are as long as the feed to the power of -`pace`.
"""

from __future__ import annotations

import math

from msgspec import Struct, field

from tumpline.pressing.params import ResidenceParams

BIN = 5.0
"""Seconds of event time in one bin of the ledger."""

POMACE_LATER = 9
"""Bins that pomace leaves the press later than its juice: 45 s (common practice, no source)."""

_SLOWEST = 0.1
"""Lowest speed of a pulp pump that follows the level, of the rated flow (common practice, no source)."""
_PACE_LOW, _PACE_HIGH = 0.15, 1.4
"""Between these shares of the rated feed a line keeps pace with it (common practice, no source)."""
_PACE_SECONDS = 20.0
"""Seconds over which it follows."""
_CRUMB = 1e-4
"""kg of a load that leave with the rest."""


class Transport(Struct, frozen=True):
    """How fruit gets from the mill to the juice meter, in seconds at the rated feed."""

    delay: float
    spread: float
    hold: float = 0.0
    follows: bool = False
    """True where the pulp pump follows the buffer's level."""
    pace: float = 0.0
    """How closely the whole line keeps pace with the feed: 0 not at all, 1 in proportion."""

    @property
    def mean(self) -> float:
        """Mean time from mill to juice meter at the rated feed."""
        return self.mean_at(1.0)

    @property
    def sd(self) -> float:
        """Its standard deviation over the fruit, at the rated feed."""
        return math.hypot(self.spread, self.hold)

    def mean_at(self, feed: float) -> float:
        """The mean at a feed, given as a share of the rated one."""
        wait = self.hold / math.sqrt(max(feed, _SLOWEST)) if self.follows else self.hold
        return (self.delay + math.sqrt(2.0) * self.spread + wait) / self._pace(feed)

    def sd_at(self, feed: float) -> float:
        """The standard deviation at a feed."""
        pace = self._pace(feed)
        wait = self.mean_at(feed) * pace - self.delay - math.sqrt(2.0) * self.spread
        return math.hypot(self.spread, wait) / pace

    def _pace(self, feed: float) -> float:
        return float(min(max(feed, _PACE_LOW), _PACE_HIGH) ** self.pace)


def configured(guess: ResidenceParams) -> Transport:
    """The settings' guess, half of its spread in the pulp buffer."""
    hold = 0.5 * guess.spread
    spread = math.sqrt(guess.spread**2 - hold**2)
    whole = guess.delay + math.sqrt(2.0) * guess.spread
    return Transport(max(0.0, whole - math.sqrt(2.0) * spread - hold), spread, hold)


class _Clock:
    """Seconds that pass inside a line in each bin: more while it is fed faster, where it keeps pace."""

    __slots__ = ("_exponent", "_rated", "feed")

    def __init__(self, transport: Transport, rated: float, feed: float) -> None:
        self._exponent, self._rated = transport.pace, rated
        self.feed = feed

    def tick(self, kg: float) -> float:
        """One bin with `kg` milled."""
        self.feed += (kg / BIN - self.feed) * (1.0 - math.exp(-BIN / _PACE_SECONDS))
        if not self._exponent:
            return BIN
        return BIN * float(min(max(self.feed / self._rated, _PACE_LOW), _PACE_HIGH) ** self._exponent)


def _buffer_out(whole: float, added: float, seconds: float, transport: Transport, rated: float) -> float:
    """kg that leave the buffer in a bin, `whole` being what it held and the `added` together."""
    hold = transport.hold
    if hold < 1.0:
        return whole
    if not transport.follows:
        keep = math.exp(-seconds / hold)
        return (whole - added) * (1.0 - keep) + added * (1.0 - hold / seconds * (1.0 - keep))
    steep = seconds / (hold * hold * rated)
    # One implicit step of dM/dt = feed - M²/(hold² rated): never negative, mass kept, the mean wait exact.
    left = (math.sqrt(1.0 + 4.0 * steep * whole) - 1.0) / (2.0 * steep)
    return min(whole, max(whole - left, _SLOWEST * rated * seconds))


class Slug(Struct):
    """What left the buffer in one bin, on its way through the plug: kg by load."""

    since: float
    until: float
    """When it went in, by the line's own clock."""
    parts: dict[str, float]


class Passage(Struct):
    """All fruit on its way from the mill to the juice meter, by load; what goes in comes out."""

    feed: float = 0.0
    """kg/s lately."""
    clock: float = 0.0
    buffer: dict[str, float] = field(default_factory=dict)
    plug: list[Slug] = field(default_factory=list)
    first: dict[str, float] = field(default_factory=dict)
    second: dict[str, float] = field(default_factory=dict)

    def wait(self, load: str, kg: float) -> None:
        """A bin in which the line stood: what was milled waits in the buffer."""
        self.buffer[load] = self.buffer.get(load, 0.0) + kg

    def step(self, load: str, kg: float, transport: Transport, rated: float) -> dict[str, float]:
        """A bin in which the line ran, with `kg` of `load` milled: the fruit whose juice shows in it, kg by load."""
        clock = _Clock(transport, rated, self.feed)
        seconds = clock.tick(kg)
        self.feed = clock.feed
        before, self.clock = self.clock, self.clock + seconds
        self.plug.append(Slug(before, self.clock, self._leave_buffer(load, kg, seconds, transport, rated)))
        tau = _tau(transport)
        onward = _through_tank(self.first, self._leave_plug(self.clock - transport.delay), tau, seconds)
        return _through_tank(self.second, onward, tau, seconds)

    def _leave_buffer(
        self, load: str, kg: float, seconds: float, transport: Transport, rated: float
    ) -> dict[str, float]:
        held = self.buffer
        held[load] = held.get(load, 0.0) + kg
        whole = sum(held.values())
        if whole <= 0.0:
            return {}
        share = _buffer_out(whole, kg, seconds, transport, rated) / whole
        out = {name: part * share for name, part in held.items()}
        for name, part in out.items():
            held[name] -= part
            if held[name] < _CRUMB and name != load:
                out[name] += held.pop(name)
        return out

    def _leave_plug(self, until: float) -> dict[str, float]:
        """What had gone in by `until`, and has not come out."""
        out: dict[str, float] = {}
        while self.plug and self.plug[0].since < until:
            slug = self.plug[0]
            share = min(1.0, (until - slug.since) / (slug.until - slug.since))
            for name, part in slug.parts.items():
                out[name] = out.get(name, 0.0) + part * share
            if share == 1.0:
                self.plug.pop(0)
                continue
            self.plug[0] = Slug(until, slug.until, {name: part * (1.0 - share) for name, part in slug.parts.items()})
        return out


def _tau(transport: Transport) -> float:
    """Seconds in each of the two tanks."""
    return max(transport.spread, 1.0) / math.sqrt(2.0)


def _through_tank(held: dict[str, float], added: dict[str, float], tau: float, seconds: float) -> dict[str, float]:
    """What leaves a stirred tank in a bin, what is added coming in evenly over it."""
    keep = math.exp(-seconds / tau)
    passed = tau / seconds * (1.0 - keep)
    out: dict[str, float] = {}
    for load in {**held, **added}:
        before, kg = held.get(load, 0.0), added.get(load, 0.0)
        left = before * keep + kg * passed
        if left < _CRUMB and kg == 0.0:
            left = 0.0
            held.pop(load, None)
        else:
            held[load] = left
        out[load] = before + kg - left
    return out


def aligned(fruit: list[float], transport: Transport, rated: float) -> list[float]:
    """
    Fruit (kg) whose juice shows in each bin, from fruit milled in each bin; `rated` in kg/s. The line starts empty.

    The sum over the loads of what `Passage` gives: learning asks for it dozens of times in a row.
    """
    clock, tau, delay = _Clock(transport, rated, 0.0), _tau(transport), transport.delay
    quick = transport.hold < 1.0
    seconds = keep = passed = 0.0
    held = first = second = now = shown = 0.0
    clocks, sums = [0.0], [0.0]
    place = 0
    result: list[float] = []
    for kg in fruit:
        ticked = clock.tick(kg)
        if ticked != seconds:
            seconds = ticked
            keep = math.exp(-seconds / tau)
            passed = tau / seconds * (1.0 - keep)
        held += kg
        out = held if quick else _buffer_out(held, kg, seconds, transport, rated)
        held -= out
        now += seconds
        clocks.append(now)
        sums.append(sums[-1] + out)
        x = 0.0
        until = now - delay
        if until > 0.0:
            while clocks[place + 1] < until:
                place += 1
            since = clocks[place]
            gone = sums[place] + (until - since) / (clocks[place + 1] - since) * (sums[place + 1] - sums[place])
            x, shown = gone - shown, gone
        left = first * keep + x * passed
        y = first + x - left
        first = left
        left = second * keep + y * passed
        result.append(second + y - left)
        second = left
    return result
