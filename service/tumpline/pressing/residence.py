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
from itertools import accumulate

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
_FOLLOWED = 1.0 - math.exp(-BIN / _PACE_SECONDS)
"""Share of a change of the feed that it has followed after a bin."""
_NO_BUFFER = 1.0
"""Seconds of waiting under which there is no buffer."""
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
        return (self.delay + math.sqrt(2.0) * self.spread + wait) / _pace(feed, self.pace)

    def sd_at(self, feed: float) -> float:
        """The standard deviation at a feed."""
        pace = _pace(feed, self.pace)
        wait = self.mean_at(feed) * pace - self.delay - math.sqrt(2.0) * self.spread
        return math.hypot(self.spread, wait) / pace


def configured(guess: ResidenceParams) -> Transport:
    """The settings' guess, half of its spread in the pulp buffer."""
    hold = 0.5 * guess.spread
    spread = math.sqrt(guess.spread**2 - hold**2)
    whole = guess.delay + math.sqrt(2.0) * guess.spread
    return Transport(max(0.0, whole - math.sqrt(2.0) * spread - hold), spread, hold)


def _pace(share: float, pace: float) -> float:
    """How fast a line goes at a feed, given as a share of the rated one: in times its speed at that."""
    return float(min(max(share, _PACE_LOW), _PACE_HIGH) ** pace)


def _stirred(seconds: float, tau: float) -> tuple[float, float]:
    """
    What stays of a stirred tank's contents in so many seconds, and of what is added evenly over them; `tau` is the mean
    time in the tank.
    """
    keep = math.exp(-seconds / tau)
    return keep, tau / seconds * (1.0 - keep)


def _follow(whole: float, steep: float, least: float) -> float:
    """
    kg that leave a buffer in a bin whose pump follows its level, `whole` being what it held and what was added, `steep`
    the bin's seconds over hold² rated. One implicit step of dM/dt = feed - M²/(hold² rated): never negative, mass kept,
    the mean wait exact. At `least` so many.
    """
    out = whole - (math.sqrt(1.0 + 4.0 * steep * whole) - 1.0) / (2.0 * steep)
    if out < least:
        out = least
    return min(out, whole)


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
        self.feed += (kg / BIN - self.feed) * _FOLLOWED
        seconds = BIN * _pace(self.feed / rated, transport.pace) if transport.pace else BIN
        before, self.clock = self.clock, self.clock + seconds
        self.plug.append(Slug(before, self.clock, self._leave_buffer(load, kg, seconds, transport, rated)))
        stays = _stirred(seconds, _tau(transport))
        onward = _through_tank(self.first, self._leave_plug(self.clock - transport.delay), stays)
        return _through_tank(self.second, onward, stays)

    def _leave_buffer(
        self, load: str, kg: float, seconds: float, transport: Transport, rated: float
    ) -> dict[str, float]:
        held = self.buffer
        held[load] = held.get(load, 0.0) + kg
        whole = sum(held.values())
        if whole <= 0.0:
            return {}
        share = _leaving(whole, kg, seconds, transport, rated) / whole
        out = {}
        for name, part in list(held.items()):
            gone = out[name] = part * share
            held[name] = part = part - gone
            if part < _CRUMB and name != load:
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


def _leaving(whole: float, added: float, seconds: float, transport: Transport, rated: float) -> float:
    """kg that leave the buffer in a bin, `whole` being what it held and the `added` together."""
    if transport.hold < _NO_BUFFER:
        return whole
    if transport.follows:
        return _follow(whole, seconds / (transport.hold * transport.hold * rated), _SLOWEST * rated * seconds)
    keep, passed = _stirred(seconds, transport.hold)
    return (whole - added) * (1.0 - keep) + added * (1.0 - passed)


def _through_tank(held: dict[str, float], added: dict[str, float], stays: tuple[float, float]) -> dict[str, float]:
    """What leaves a stirred tank in a bin; `stays` is what stays of what it held, and of what is added."""
    keep, passed = stays
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

    The sum over the loads of what `Passage` gives, one part of the line after the other: learning asks for it dozens of
    times in a row.
    """
    seconds = _all_seconds(fruit, transport, rated)
    left = _out_of_buffer(fruit, seconds, transport, rated)
    return _out_of_tanks(_out_of_plug(left, seconds, transport.delay), seconds, _tau(transport))


def _all_seconds(fruit: list[float], transport: Transport, rated: float) -> list[float]:
    """Seconds that pass inside the line in each bin."""
    pace = transport.pace
    if not pace:
        return [BIN] * len(fruit)
    feed, low, high, seconds = 0.0, _PACE_LOW * rated, _PACE_HIGH * rated, []
    slowest, fastest = BIN * _pace(_PACE_LOW, pace), BIN * _pace(_PACE_HIGH, pace)
    for kg in fruit:
        feed += (kg / BIN - feed) * _FOLLOWED
        seconds.append(slowest if feed <= low else fastest if feed >= high else BIN * (feed / rated) ** pace)
    return seconds


def _out_of_buffer(fruit: list[float], seconds: list[float], transport: Transport, rated: float) -> list[float]:
    if transport.hold < _NO_BUFFER:
        return fruit
    held = last = keep = passed = 0.0
    result = []
    if transport.follows:
        level, slowest = transport.hold * transport.hold * rated, _SLOWEST * rated
        for kg, lasts in zip(fruit, seconds, strict=True):
            held += kg
            out = _follow(held, lasts / level, slowest * lasts)
            held -= out
            result.append(out)
        return result
    for kg, lasts in zip(fruit, seconds, strict=True):
        if lasts != last:
            last = lasts
            keep, passed = _stirred(lasts, transport.hold)
        held += kg
        out = (held - kg) * (1.0 - keep) + kg * (1.0 - passed)
        held -= out
        result.append(out)
    return result


def _out_of_plug(fruit: list[float], seconds: list[float], delay: float) -> list[float]:
    clocks, sums = list(accumulate(seconds, initial=0.0)), list(accumulate(fruit, initial=0.0))
    ends = iter(zip(clocks, sums, strict=True))
    (since, before), (upto, after) = next(ends), next(ends, (math.inf, 0.0))
    shown = 0.0
    result = []
    for now in clocks[1:]:
        until = now - delay
        if until <= 0.0:
            result.append(0.0)
            continue
        while upto < until:
            since, before = upto, after
            upto, after = next(ends)
        gone = before + (until - since) / (upto - since) * (after - before)
        result.append(gone - shown)
        shown = gone
    return result


def _out_of_tanks(fruit: list[float], seconds: list[float], tau: float) -> list[float]:
    first = second = last = keep = passed = 0.0
    result = []
    for kg, lasts in zip(fruit, seconds, strict=True):
        if lasts != last:
            last = lasts
            keep, passed = _stirred(lasts, tau)
        left = first * keep + kg * passed
        onward = first + kg - left
        first = left
        left = second * keep + onward * passed
        result.append(second + onward - left)
        second = left
    return result
