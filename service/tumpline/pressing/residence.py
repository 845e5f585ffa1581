"""Residence time: which fruit is in this juice.

Fruit milled at s shows as juice at t with density h(t - s): nothing for `delay`, then a gamma distribution of shape 2
(two equal stirred tanks in series; Levenspiel, Chemical Reaction Engineering, ch. 14) whose standard deviation is
`spread`. The mean is therefore delay + spread·√2.
"""

from __future__ import annotations

import math
from operator import mul

from tumpline.pressing.params import ResidenceParams

BIN = 5.0
"""Seconds of event time in one bin of the ledger."""


class Kernel:
    """h over bins: `weights[k]` of the fruit milled in one bin shows as juice k bins later. They sum to 1."""

    __slots__ = ("mean", "reversed", "u_mean", "weights")

    def __init__(self, params: ResidenceParams) -> None:
        self.mean = params.delay + math.sqrt(2.0) * params.spread
        # A configured guess is good to about a quarter (common practice, no source); two bins at the least.
        self.u_mean = max(2.0 * BIN, 0.25 * self.mean)
        self.weights = _weights(params.delay, params.spread)
        self.reversed = tuple(reversed(self.weights))

    def __len__(self) -> int:
        """How many bins back the fruit of this bin's juice was milled, at the most."""
        return len(self.weights)

    def aligned(self, fruit: list[float], at: int) -> float:
        """Fruit whose juice shows in bin `at`; bins before the first count as empty."""
        n = len(self.weights)
        if at + 1 >= n:
            return math.fsum(map(mul, self.reversed, fruit[at + 1 - n : at + 1]))
        return math.fsum(map(mul, self.reversed[n - at - 1 :], fruit[: at + 1]))


def _weights(delay: float, spread: float) -> tuple[float, ...]:
    """Share of a bin's fruit (milled evenly over it) that shows in each later bin; cut at 0.01 %, made whole."""
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
