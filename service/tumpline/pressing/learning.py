"""The residence time learned from the readings: the delay and spread that best explain the juice by the fruit.

Over the last two hours of the ledger, juice is compared with aligned fruit times the yield around it. Whatever the
yield does slowly drops out; starts, stops and dips stay, and there is the information. A thin layer gives up more of
its juice than a thick one, so a term for that is fitted beside (consolidation theory gives its sign; its size is
learned). The settings' guess is the prior, with its own wide uncertainty, so little information moves it little.

Least squares by Gauss-Newton with step halving. The noise is taken from the residuals, and counted as correlated.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Sequence
from itertools import accumulate, pairwise
from operator import sub, truediv
from statistics import median
from typing import NamedTuple

import msgspec
from msgspec import Struct

from tumpline.pressing.learnt import Residence
from tumpline.pressing.ledger import Ledger, stands, sump_fill
from tumpline.pressing.linear import dot, solved
from tumpline.pressing.params import LineParams, ResidenceParams
from tumpline.pressing.quantities import Estimate, normal
from tumpline.pressing.residence import BIN, Transport, aligned, configured

WINDOW = 1440
"""Bins that are looked at: two hours."""
EVERY = 120
"""Bins between two looks: ten minutes."""
_AROUND = 30
"""Bins before and after for which the yield counts as the same."""
_DECIDED = 720
"""Bins after which the form of the buffer is settled for the shift."""
_PACE, _U_PACE = 0.6, 0.4
"""How closely a line that keeps pace does so, before anything is known (own rule)."""
_CHANGES = (1.0, 1.0, 1.0, 0.05)
"""Steps of the numbers in which slopes are taken: s, s, s, and the pace."""
_STEPS, _SMALL_GAIN = 6, 1.0
"""Most Gauss-Newton steps at once, and the gain in (twice) log likelihood below which no more are made."""
_UNDER_WAY = 90
"""Bins after which all fruit from before them has become juice."""
_LEAST = 60
"""Bins with fruit before there is anything to learn from."""
_CYCLES = 8
"""The same in pump cycles."""
_GUESS_MEAN, _GUESS_SPREAD = 0.35, 0.60
"""Standard uncertainty of the settings' guess, as a share of it (common practice, no source)."""
_FORM_MEAN, _FORM_SPREAD = 0.025, 0.10
"""What the simple form of the way costs, whatever the readings, as a share (own trials on simulated shifts)."""
_ODD = 6.0
"""Times the median residual: what lies further off, as where belts stood while a sump filled, counts as just that."""
_FORM_PUMPED = 2.5
"""Times as much where a pump's starts and stops are all there is to learn from (the same trials)."""
_AGED = 0.10
"""By how much a site may change from one shift to the next, as a share (own rule)."""
_SURE = 0.35
"""Learned is what is at most this share of the guess's uncertainty."""


class Learned(Struct, frozen=True):
    """What is known of the way from mill to juice meter."""

    transport: Transport
    u_mean: float
    """Standard uncertainty of its mean, s."""
    u_spread: float
    learned: bool = False
    bins: int = 0
    """Bins it was learned from."""

    def older(self) -> Learned:
        """The same at the start of another shift: belts, speeds and hoses may have been changed since."""
        if not self.learned:
            return self
        t = self.transport
        return msgspec.structs.replace(
            self,
            u_mean=math.hypot(self.u_mean, _AGED * t.mean),
            u_spread=math.hypot(self.u_spread, _AGED * t.sd),
        )

    def record(self, feed: float) -> Residence:
        """The record of it at a feed, given as a share of the rated one."""
        t = self.transport
        if self.learned:
            why = f"learned from {self.bins * BIN / 60.0:.0f} minutes of fruit and juice"
        else:
            why = "from the settings: there was no start, stop or dip yet to learn it from"
        mean = Estimate(t.mean_at(feed), (normal("residence time", self.u_mean),))
        return Residence(mean, Estimate(t.sd_at(feed), (normal("residence time", self.u_spread),)), self.learned, why)


def guessed(guess: ResidenceParams) -> Learned:
    """What the settings say."""
    transport = configured(guess)
    return Learned(transport, _GUESS_MEAN * transport.mean, _GUESS_SPREAD * guess.spread)


class Juice(NamedTuple):
    """Juice over stretches of time that follow each other."""

    amounts: Sequence[float]
    """m³ in each stretch."""
    skip: int = 0
    """Bins of fruit before the first stretch."""
    edges: Sequence[float] | None = None
    """Where the stretches begin and end, in bins of the fruit; None where they are the bins themselves."""


def juice_of(ledger: Ledger, params: LineParams, *, pumped: bool) -> tuple[list[float], Juice]:
    """
    The last two hours in which the line ran: fruit by bin, and juice by bin or between pump marks. Time in which the
    line stood is left out.
    """
    ran = [j for j in range(ledger.bins) if not stands(ledger, j, params, pumped=pumped)]
    running = len(ran) > WINDOW or ran[:1] == [0]  # then there is juice of fruit from before
    ran = ran[-WINDOW:]
    skip = _UNDER_WAY if running else 0
    fruit = [ledger.fruit.amounts[j] for j in ran]
    if not pumped:
        return fruit, Juice([ledger.juice.amounts[j] for j in ran[skip:]], skip)
    began = ran[skip] if skip < len(ran) else ledger.bins
    marks = [m for m in ledger.marks if m.bin >= began]
    sump = sump_fill(marks)
    amounts = [
        sump if not a.on and b.on else b.metered - a.metered - (sump if a.on and not b.on else 0.0)
        for a, b in pairwise(marks)
    ]
    return fruit, Juice(amounts, skip, [bisect_left(ran, int(m.bin)) + m.bin % 1.0 for m in marks])


def worth_a_look(ledger: Ledger) -> bool:
    """True where the last ten minutes held a start, a stop or a dip: steady fruit teaches nothing."""
    recent = ledger.fruit.amounts[-EVERY - 3 * _AROUND :]
    return min(recent, default=0.0) < 0.7 * max(recent, default=0.0)


def learn(fruit: list[float], juice: Juice, prior: Learned, rated: float, *, now: Learned) -> Learned:
    """
    The residence time from fruit by bin (kg) and juice by stretch, `prior` being what was known before this fruit and
    `now` where to start from. Returns `prior` where there is nothing to learn from. `rated` in kg/s.
    """
    if sum(1 for kg in fruit if kg > 0.3 * BIN * rated) < _LEAST or len(juice.amounts) < _CYCLES:
        return prior
    fits = [_fit(fruit, juice, prior, rated, start) for start in _starts(prior, now)]
    best = min(fits, key=lambda fit: fit.cost)
    t = best.transport
    # Where quite another way explains the readings nearly as well, the doubt reaches as far as that.
    others = [(math.exp(0.5 * (best.cost - f.cost)), f.transport) for f in fits]
    whole = sum(weight for weight, _ in others)
    apart_mean = sum(w * (other.mean - t.mean) ** 2 for w, other in others) / whole
    apart_spread = sum(w * (other.sd - t.sd) ** 2 for w, other in others) / whole
    form = 1.0 if juice.edges is None else _FORM_PUMPED
    u_mean = math.sqrt(best.u[0] ** 2 + (form * _FORM_MEAN * t.mean) ** 2 + apart_mean)
    u_spread = math.sqrt(best.u[1] ** 2 + (form * _FORM_SPREAD * t.sd) ** 2 + apart_spread)
    sure = u_mean < _SURE * _GUESS_MEAN * prior.transport.mean or (prior.learned and u_mean <= prior.u_mean)
    return Learned(t, u_mean, u_spread, learned=True, bins=len(fruit)) if sure else prior


def _starts(prior: Learned, now: Learned) -> list[Transport]:
    """Where to look for the best fit from: every form of the way, until one is settled for the shift."""
    t = now.transport
    if now.learned and now.bins > _DECIDED:
        return [t]
    even = msgspec.structs.replace(t, follows=False, pace=0.0)
    guess = prior.transport
    paced = msgspec.structs.replace(even, pace=0.6)
    quick = Transport(0.6 * guess.delay, 0.6 * guess.spread, 0.6 * guess.hold, pace=0.6)
    return [even, msgspec.structs.replace(even, follows=True), paced, quick]


class _Fit(NamedTuple):
    transport: Transport
    cost: float
    u: tuple[float, float]
    """Standard uncertainties of the mean and of the standard deviation, s."""


def _fit(fruit: list[float], juice: Juice, prior: Learned, rated: float, start: Transport) -> _Fit:
    problem = _Problem(fruit, juice, prior, rated, start)
    x = problem.within([start.delay, start.spread, start.hold, start.pace][: problem.free])
    at = problem.at(x)
    for _ in range(_STEPS):
        step, information = problem.step(x, at)
        for _ in range(4):
            tried = problem.within([a + d for a, d in zip(x, step, strict=True)])
            found = problem.at(tried)
            if found.cost < at.cost:
                break
            step = [0.5 * d for d in step]
        else:
            break
        gained = at.cost - found.cost
        x, at = tried, found
        if gained < _SMALL_GAIN:
            break
    return _Fit(problem.transport(x), at.cost, problem.uncertainty(x, information))


class _At(NamedTuple):
    cost: float
    """Twice the negative log posterior, noise level profiled out."""
    residuals: list[float]
    """m³ by stretch."""
    counted: list[float]
    """The same, between pump marks no more than is not odd."""


class _Problem:
    """Least squares for one form of the buffer."""

    def __init__(self, fruit: list[float], juice: Juice, prior: Learned, rated: float, form: Transport) -> None:
        self._fruit, self._juice, self._prior = fruit, juice, prior
        self._rated, self._form = rated, form
        self.free = 4 if form.pace else 3
        """How many numbers are fitted: delay, spread, hold, and pace where the line keeps one."""
        edges = juice.edges
        n = len(juice.amounts)
        self._around = _AROUND if edges is None else max(2, round(_AROUND * n / (edges[-1] - edges[0])))
        self._juice_near = self._near(juice.amounts)

    def transport(self, x: Sequence[float]) -> Transport:
        """The way that these numbers stand for."""
        return Transport(x[0], x[1], x[2], self._form.follows, x[3] if self.free == 4 else 0.0)

    def within(self, x: Sequence[float]) -> list[float]:
        """The nearest numbers that are possible."""
        sd, mean = self._prior.transport.sd, self._prior.transport.mean
        highs = (3.0 * mean, 3.0 * sd, 3.0 * sd, 1.2)
        return [min(max(v, low), high) for v, low, high in zip(x, (0.0, 2.0, 0.0, 0.02), highs, strict=False)]

    def at(self, x: Sequence[float]) -> _At:
        """How well these numbers do."""
        r = self._residuals(x)
        counted = r if self._juice.edges is None else _not_odd(r)
        return _At(self._data_cost(counted) + sum(v * v for v in self._pulls(x)), r, counted)

    def step(self, x: list[float], at: _At) -> tuple[list[float], list[list[float]]]:
        """The Gauss-Newton step from here, and the information it rests on: the inverse of the covariance."""
        noise = max(dot(at.counted, at.counted) / len(at.counted) * _correlated(at.counted), 1e-30)
        rows, pulls, pulled = self._jacobian(x, at), self._pulls(x), self._pull_rows(x)
        information = [
            [dot(a, b) / noise + sum(p[i] * p[k] for p in pulled) for k, b in enumerate(rows)]
            for i, a in enumerate(rows)
        ]
        slope = [
            -dot(a, at.counted) / noise - sum(p[i] * v for p, v in zip(pulled, pulls, strict=True))
            for i, a in enumerate(rows)
        ]
        return solved(information, slope), information

    def uncertainty(self, x: list[float], information: list[list[float]]) -> tuple[float, float]:
        """Standard uncertainties of the mean and of the standard deviation of the time, s."""
        sd = max(self.transport(x).sd, 1.0)
        no_pace = [0.0] * (self.free - 3)
        of_mean, of_spread = [1.0, math.sqrt(2.0), 1.0, *no_pace], [0.0, x[1] / sd, x[2] / sd, *no_pace]
        return (
            math.sqrt(max(0.0, dot(of_mean, solved(information, of_mean)))),
            math.sqrt(max(0.0, dot(of_spread, solved(information, of_spread)))),
        )

    def _jacobian(self, x: list[float], at: _At) -> list[list[float]]:
        rows = []
        for i, change in enumerate(_CHANGES[: self.free]):
            moved = list(x)
            moved[i] += change
            pairs = zip(at.residuals, at.counted, self._residuals(moved), strict=True)
            rows.append([(b - a) / change if a == counted else 0.0 for a, counted, b in pairs])
        return rows

    def _pulls(self, x: Sequence[float]) -> tuple[float, ...]:
        """How far these numbers are from what was known before, in its standard uncertainties."""
        t, prior = self.transport(x), self._prior
        return (
            (t.mean - prior.transport.mean) / prior.u_mean,
            (t.sd - prior.transport.sd) / prior.u_spread,
            (t.hold - prior.transport.hold) / max(prior.u_spread, 5.0),
            *([(t.pace - _PACE) / _U_PACE] if self.free == 4 else []),
        )

    def _pull_rows(self, x: list[float]) -> list[tuple[float, ...]]:
        base = self._pulls(x)
        columns = []
        for i, change in enumerate(_CHANGES[: self.free]):
            moved = list(x)
            moved[i] += change
            columns.append([(b - a) / change for a, b in zip(base, self._pulls(moved), strict=True)])
        return list(zip(*columns, strict=True))

    def _data_cost(self, r: list[float]) -> float:
        effective = len(r) / _correlated(r)
        return effective * math.log(max(dot(r, r) / len(r), 1e-30))

    def _residuals(self, x: Sequence[float]) -> list[float]:
        """Juice less aligned fruit times the yield around it, less what the layer's thickness explains."""
        milled = aligned(self._fruit, self.transport(x), self._rated)
        edges, juice = self._juice.edges, self._juice.amounts
        usual = max(milled) or 1.0
        thin = [kg * (1.0 - kg / usual) for kg in milled]
        if edges is None:
            milled, thin = milled[self._juice.skip :], thin[self._juice.skip :]
        else:
            milled, thin = _over(milled, edges), _over(thin, edges)
        fruit_near = [kg or 1.0 for kg in self._near(milled)]
        ratios = list(map(truediv, self._juice_near, fruit_near))
        r = [v - q * kg for v, q, kg in zip(juice, ratios, milled, strict=True)]
        layer = [
            q * (t - n / f * kg)
            for q, t, n, f, kg in zip(ratios, thin, self._near(thin), fruit_near, milled, strict=True)
        ]
        square = dot(layer, layer)
        if square <= 0.0:
            return r
        share = max(dot(layer, r) / square, 0.0)
        return [a - share * b for a, b in zip(r, layer, strict=True)]

    def _near(self, amounts: Sequence[float]) -> list[float]:
        """Of each stretch, the sum over it and those around it."""
        sums = list(accumulate(amounts, initial=0.0))
        n, around = len(amounts), min(self._around, len(amounts) - 1)
        low = [0.0] * around + sums[: n - around]
        high = sums[around + 1 :] + [sums[-1]] * around
        return list(map(sub, high, low))


def _over(amounts: list[float], edges: Sequence[float]) -> list[float]:
    """Amounts by bin as amounts by stretch."""
    sums = list(accumulate(amounts, initial=0.0))

    def until(edge: float) -> float:
        j = min(int(edge), len(amounts) - 1)
        return sums[j] + (edge - j) * amounts[j]

    heads = [until(edge) for edge in edges]
    return [b - a for a, b in pairwise(heads)]


def _not_odd(r: list[float]) -> list[float]:
    """Residuals cut where they lie far further off than most."""
    most = _ODD * median(map(abs, r))
    return [min(max(v, -most), most) for v in r]


def _correlated(r: list[float]) -> float:
    """By how much correlation makes a sum of residuals wider than independent ones: (1 + ρ)/(1 - ρ), 1 to 20."""
    square = dot(r, r)
    if square <= 0.0:
        return 1.0
    rho = dot(r[1:], r[:-1]) / square
    return min(max((1.0 + rho) / max(1.0 - rho, 0.05), 1.0), 20.0)
