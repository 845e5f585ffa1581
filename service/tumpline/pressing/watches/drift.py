"""
A yield that drifts away slowly: `yield-drift`.

Fruit differs from load to load, and a thin layer gives more than a thick one. So the logarithm of juice over aligned
fruit, minute by minute or from pump start to pump start, is taken for a sum of three: what this fruit gives, what the
layer's thickness makes of it, and how far the line has drifted. A Kalman filter (R. E. Kalman, J. Basic Eng. 82 (1960)
35-45) tells them apart: fruit changes with the load and then stays, so what changes within a load and is not the
layer's is drift, and is carried on across loads. A sample far from all that is expected counts for less (P. J. Huber,
Ann. Math. Statist. 35 (1964) 73-101).
"""

from __future__ import annotations

import math
from collections.abc import Sequence

from msgspec import Struct, field

from tumpline.pressing.ledger import TRACE
from tumpline.pressing.linear import dot
from tumpline.pressing.params import LineParams, WatchParams
from tumpline.pressing.residence import BIN
from tumpline.pressing.stock import UNNAMED
from tumpline.pressing.watches.baseline import LONG, Held
from tumpline.pressing.watches.bins import Bins
from tumpline.pressing.watches.verdict import QUIET, Verdict

_SAMPLE = 12  # bins, and at least one pump cycle
_PURE = 12  # bins of one load's juice alone before it is taken for that fruit's
_WORTH = 0.15  # of the rated fruit: less tells nothing
_PAUSE = 3  # bins without fruit, after which it may be another's where nobody says whose it is
_SETTLES = 3.0  # times the way of the fruit, after which what filled up when it came back is even again
_FRUIT = 0.15  # how far a load's yield may lie from the one before it, or from what the site expects
_LAYER, _U_LAYER = -0.33, 0.12  # share of yield per share of layer (own trials with a press by consolidation theory)
_BENT = 0.1  # by how much more or less that may be, per square of a layer much unlike the rated one
_DRIFT = 0.007  # in a minute, as a share; grows as the square root of time (own trials)
_STEADY, _PUMPED = 0.004, 0.012  # scatter of a minute, and of a minute's pump cycle (own trials)
_LATE = 20.0  # seconds by which juice may come apart from fruit that swings, however well the mean of its way is known
_DOUBT = 0.8  # standard deviations less, and half the limit is still lost
_ODD = 3.0  # standard deviations beyond which a sample counts for less
_BELT = 0.06  # m/s, any usual speed (common practice, no source)

_LOW = "Yield has drifted to {percent:.0f} % of what the line gave before.{evidence}"


class DriftWatch(Struct):
    """`yield-drift`: slowly less juice from the same fruit."""

    fruit: str = ""
    """Whose juice comes."""
    pure: int = 0
    """Bins for which it has been that load's alone."""
    unbroken: int = 0
    """Bins since so little fruit last showed that it tells nothing."""
    begun: tuple[float, float] | None = None
    """Where the present sample began, in bins, and m³ metered by a pump's start there; None between samples."""
    seen: float = 0.0
    """When the last sample ended."""
    mean: list[float] = field(default_factory=list)
    """Logarithm of m³/kg of this fruit at the rated feed, share of yield per share of layer, logarithm of the drift."""
    covariance: list[list[float]] = field(default_factory=list)
    held: Held = field(default_factory=Held)

    @property
    def active(self) -> bool:
        """Whether the yield has drifted."""
        return self.held.active

    def close_bin(self, bins: Bins, line: LineParams, *, pumped: bool, normal: bool) -> None:
        """Take one closed bin; `normal` while no other watch finds anything wrong with the press or its meters."""
        if self.mean and bins.ledger.end - self.seen > LONG:
            self.mean = []  # people have washed the cloths
            self.held.end()
        self._note_fruit(bins.owner, may_be_new=_pauses(bins, line))
        enough = bins.aligned[-1] > _WORTH * BIN * line.rated_throughput
        heard = bins.ledger.fruit.gap + bins.ledger.juice.gap == 0.0
        self.unbroken = self.unbroken + 1 if enough else 0
        settled = BIN * self.unbroken >= _SETTLES * bins.mean
        end = _end(bins, pumped=pumped)
        if not (normal and enough and heard and settled and self.pure >= _PURE):
            self.begun = None
        elif end is not None and (self.begun is None or end[0] < self.begun[0]):
            self.begun = end
        elif end is not None and self.begun is not None and end[0] - self.begun[0] >= _SAMPLE:
            self._sample(bins, self.begun, end, line, pumped=pumped)
            self.begun = end

    def _note_fruit(self, owner: object, *, may_be_new: bool) -> None:
        if not isinstance(owner, str):
            self.pure = 0
            return
        if owner != self.fruit or (owner == UNNAMED and may_be_new):
            self.fruit, self.pure = owner, 0
            if self.mean:
                self.covariance[0] = [_FRUIT**2, 0.0, 0.0]
                self.covariance[1][0] = self.covariance[2][0] = 0.0
        self.pure += 1

    def _sample(
        self, bins: Bins, begun: tuple[float, float], end: tuple[float, float], line: LineParams, *, pumped: bool
    ) -> None:
        fruit = bins.fruit_since(begun[0]) - bins.fruit_since(end[0])
        juice = end[1] - begun[1] if pumped else sum(bins.juice[int(begun[0]) :])
        width = end[0] - begun[0]
        if fruit <= 0.0 or juice <= 0.0:
            return
        feed = fruit / width / (BIN * line.rated_throughput)
        # By consolidation theory a layer's time factor goes as belt speed over the square of the feed.
        layer = math.log(feed) - (0.5 * math.log(bins.speed / _BELT) if bins.speed else 0.0)
        apart = max(bins.u_mean, _LATE) / BIN * abs(bins.aligned[-1] - bins.aligned[int(begun[0])]) / fruit
        own = _PUMPED * _SAMPLE / width if pumped else _STEADY * math.sqrt(_SAMPLE / width)
        self._pass(bins.ledger.end, line)
        variance = own**2 + apart**2 + (_BENT * layer * layer) ** 2
        self.learn(math.log(juice / fruit), (1.0, layer, 1.0), variance)
        limits, lost = line.watches["yield-drift"], 1.0 - math.exp(self.mean[2])
        surely = 1.0 - math.exp(self.mean[2] + _DOUBT * math.sqrt(max(0.0, self.covariance[2][2])))
        beyond = lost > limits.limit and surely > 0.5 * limits.limit
        self.held.step(self.seen, beyond=beyond, back=lost < limits.limit - limits.deadband, delay=limits.delay)

    def _pass(self, now: float, line: LineParams) -> None:
        """Time goes on: the line may have drifted since the last sample."""
        if not self.mean:
            self.mean = [math.log(line.expected_yield), _LAYER, 0.0]
            self.covariance = [[_FRUIT**2, 0.0, 0.0], [0.0, _U_LAYER**2, 0.0], [0.0, 0.0, 0.0]]
        else:
            self.covariance[2][2] += _DRIFT**2 * (now - self.seen) / 60.0
        self.seen = now

    def learn(self, gave: float, parts: Sequence[float], variance: float) -> None:
        """One sample more, the sum of its `parts` of the three, with the variance of its own scatter."""
        common = [dot(row, parts) for row in self.covariance]
        off = gave - dot(self.mean, parts)
        whole = max(dot(common, parts) + variance, (off / _ODD) ** 2)
        self.mean = [m + c / whole * off for m, c in zip(self.mean, common, strict=True)]
        self.covariance = [
            [v - a * b / whole for v, b in zip(row, common, strict=True)]
            for row, a in zip(self.covariance, common, strict=True)
        ]

    def verdict(self, limits: WatchParams, evidence: str) -> Verdict:
        """What the watch says now."""
        if not self.active:
            return QUIET
        percent = 100.0 * math.exp(self.mean[2])
        return Verdict(
            True, percent, 100.0 * (1.0 - limits.limit), "%", _LOW.format(percent=percent, evidence=evidence)
        )


def _pauses(bins: Bins, line: LineParams) -> bool:
    """Whether no fruit was milled when that whose juice shows now was."""
    fruit = bins.ledger.fruit.amounts
    last = len(fruit) - round(bins.mean / BIN)
    then = fruit[max(0, last - _PAUSE) : max(0, last)]
    return bool(then) and max(then) <= TRACE * BIN * line.rated_throughput


def _end(bins: Bins, *, pumped: bool) -> tuple[float, float] | None:
    """Where a sample may end, in bins: now, or at the pump's last start, with the m³ metered by then."""
    if not pumped:
        return float(len(bins.aligned)), 0.0
    mark = bins.ledger.marks[-1] if bins.ledger.marks else None
    return (mark.bin, mark.metered) if mark is not None and mark.on else None
