"""Residence time: which fruit is in this juice.

Milled fruit waits in the pulp buffer, a stirred tank that holds `hold` seconds of fruit at the rated feed; then it
takes `delay` seconds that nothing shortens; then it spreads like two equal stirred tanks in series, a gamma
distribution of shape 2 with standard deviation `spread` (Levenspiel, Chemical Reaction Engineering, ch. 14).

Where the pulp pump follows the buffer's level it turns faster the fuller the buffer is: outflow as the square of the
level. Slower fruit then waits longer, and the buffer fills again after a gap before its juice comes (own model: none
was found in print).
"""

from __future__ import annotations

import math
from operator import mul

from msgspec import Struct

from tumpline.pressing.params import ResidenceParams

BIN = 5.0
"""Seconds of event time in one bin of the ledger."""

_SLOWEST = 0.1
"""Lowest speed of a pulp pump that follows the level, of the rated flow (common practice, no source)."""


class Transport(Struct, frozen=True):
    """How fruit gets from the mill to the juice meter, in seconds at the rated feed."""

    delay: float
    spread: float
    hold: float = 0.0
    follows: bool = False
    """True where the pulp pump follows the buffer's level."""

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
        return self.delay + math.sqrt(2.0) * self.spread + wait

    def sd_at(self, feed: float) -> float:
        """The standard deviation at a feed."""
        return math.hypot(self.spread, self.mean_at(feed) - self.delay - math.sqrt(2.0) * self.spread)


def configured(guess: ResidenceParams) -> Transport:
    """The settings' guess, half of its spread in the pulp buffer."""
    hold = 0.5 * guess.spread
    spread = math.sqrt(guess.spread**2 - hold**2)
    whole = guess.delay + math.sqrt(2.0) * guess.spread
    return Transport(max(0.0, whole - math.sqrt(2.0) * spread - hold), spread, hold)


class Buffer:
    """What leaves the pulp buffer in a bin; the caller keeps what is in it."""

    __slots__ = ("_decay", "_follows", "_leak", "_quick", "_slowest", "_steep")

    def __init__(self, transport: Transport, rated: float) -> None:
        hold = transport.hold
        self._quick = hold < 1.0
        self._follows = transport.follows
        self._slowest = _SLOWEST * rated * BIN
        self._steep = 0.0 if self._quick else BIN / (hold * hold * rated)
        self._decay = 0.0 if self._quick else math.exp(-BIN / hold)
        self._leak = 1.0 if self._quick else 1.0 - hold / BIN * (1.0 - self._decay)

    def out(self, held: float, added: float) -> float:
        """kg that leave in a bin that began with `held` and got `added`."""
        if self._quick:
            return held + added
        if not self._follows:
            return held * (1.0 - self._decay) + added * self._leak
        whole, steep = held + added, self._steep
        # One implicit step of dM/dt = feed - M²/(hold² rated): never negative, mass kept, the mean wait exact.
        left = (math.sqrt(1.0 + 4.0 * steep * whole) - 1.0) / (2.0 * steep)
        return min(whole, max(whole - left, self._slowest))


class Kernel:
    """The way after the buffer: `weights[k]` of what left it in one bin shows as juice k bins later. They sum to 1."""

    __slots__ = ("reversed", "weights")

    def __init__(self, transport: Transport) -> None:
        self.weights = _weights(transport.delay, transport.spread)
        self.reversed = tuple(reversed(self.weights))

    def __len__(self) -> int:
        """How many bins back the fruit of this bin's juice left the buffer, at the most."""
        return len(self.weights)

    def aligned(self, pulp: list[float], at: int) -> float:
        """Fruit whose juice shows in bin `at`; bins before the first count as empty."""
        n = len(self.weights)
        if at + 1 >= n:
            return math.fsum(map(mul, self.reversed, pulp[at + 1 - n : at + 1]))
        return math.fsum(map(mul, self.reversed[n - at - 1 :], pulp[: at + 1]))


def _weights(delay: float, spread: float) -> tuple[float, ...]:
    """Share of a bin's fruit (leaving evenly over it) that shows in each later bin; cut at 0.01 %, made whole."""
    theta = max(spread, 1.0) / math.sqrt(2.0)

    def integrated(t: float) -> float:
        """Integral from 0 to t of the distribution function."""
        x = (t - delay) / theta
        return theta * (x - 2.0 + math.exp(-x) * (x + 2.0)) if x > 0.0 else 0.0

    weights: list[float] = []
    k = 0
    while sum(weights) < 0.9999:
        after, here, before = integrated((k + 1) * BIN), integrated(k * BIN), integrated((k - 1) * BIN)
        weights.append((after - 2.0 * here + before) / BIN)
        k += 1
    whole = sum(weights)
    return tuple(w / whole for w in weights)


def aligned(fruit: list[float], transport: Transport, rated: float) -> list[float]:
    """
    Fruit (kg) whose juice shows in each bin, from fruit milled in each bin; `rated` in kg/s. The line starts empty.

    The same as `Buffer` and `Kernel` give, by recursion: learning asks for it a dozen times in a row.
    """
    buffer = Buffer(transport, rated).out
    tau = max(transport.spread, 1.0) / math.sqrt(2.0)
    keep = math.exp(-BIN / tau)
    passed = tau / BIN * (1.0 - keep)
    whole = math.floor(transport.delay / BIN)
    late = transport.delay / BIN - whole
    held = first = second = 0.0
    pulp = [0.0] * (whole + 1)
    result: list[float] = []
    for j, kg in enumerate(fruit):
        out = buffer(held, kg)
        held += kg - out
        pulp.append(out)
        x = (1.0 - late) * pulp[j + 1] + late * pulp[j]
        # Each tank gives its mean outflow over the bin; its inflow is taken as even over the bin.
        y = first * passed + x * (1.0 - passed)
        first = first * keep + x * (1.0 - keep)
        result.append(second * passed + y * (1.0 - passed))
        second = second * keep + y * (1.0 - keep)
    return result
