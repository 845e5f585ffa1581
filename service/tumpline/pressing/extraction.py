"""Yield, with its interval, and where its uncertainty comes from.

A yield is a ratio of sums, litres of juice over the fruit that became it, never a mean of ratios. What is common to the
whole shift (the meters' limits) stands in the ledger's sums; what belongs to one window or load is added here.
"""

from __future__ import annotations

import math
from typing import NamedTuple

from tumpline.pressing.attribution import Attribution
from tumpline.pressing.learning import Learned
from tumpline.pressing.ledger import Flow, Ledger, may_be_bursts
from tumpline.pressing.quantities import Estimate, Term, normal, ratio
from tumpline.pressing.records import Known, Unknown
from tumpline.pressing.residence import BIN

WINDOW = 120
"""Bins of the live yield: ten minutes."""


_TELLS = 0.5
"""Standard uncertainty of a yield, as a share of it, at which it says nothing."""


def yield_of(juice: Known, fruit: Known) -> Known:
    """Juice per kg of fruit, or why not."""
    if isinstance(fruit, Unknown):
        return fruit
    if isinstance(juice, Unknown):
        return juice
    found = ratio(juice, fruit)
    if found is None:
        return Unknown("no fruit was milled")
    return found if found.u < _TELLS * found.value else Unknown("too little juice has come to tell")


def sum_of(flow: Flow, name: str) -> Known:
    """A flow's sum; unknown where its meter was not heard at all."""
    return flow.estimate(name) if flow.heard else Unknown(f"{name} was not heard in this shift")


def part_of(flow: Flow, name: str, amount: float, *, hidden: float | None = None) -> Known:
    """
    A part of a flow's sum: it shares the meter's relative uncertainty, which is common to the whole shift. `hidden` is
    the half-width of what missing time may have hidden of this part, where that is known.
    """
    if not flow.heard:
        return sum_of(flow, name)
    whole = flow.total()
    if whole <= 0.0:
        return Estimate(0.0)
    share = amount / whole
    return flow.estimate(name, share, hidden=hidden)


def recent_yield(ledger: Ledger, attribution: Attribution, u_residence: float, *, steady: bool = False) -> Known:
    """
    Yield of the last ten minutes; unknown while too little fruit has become juice in them. `u_residence` is the
    standard uncertainty of the mean time from mill to juice meter, s. Juice from a sump counts to the last pump start;
    `steady` where the settings say that there is none.
    """
    end = attribution.given
    start = max(0, end - WINDOW)
    if not steady and may_be_bursts(ledger) and not attribution.starts:
        return Unknown("juice may be coming in bursts; it is counted once a few of them were seen")
    aligned, juice = attribution.aligned[start:end], attribution.juice[start:end]
    fruit = sum(aligned)
    busiest = max(aligned, default=0.0)
    half = 0.5 * busiest
    if fruit <= 0.0 or len([m for m in aligned if m > half]) < 36:
        return Unknown("less than three minutes of pressing in the last ten")
    if aligned[-1] < 0.3 * busiest:
        return Unknown("the press is running empty")
    mean = fruit / len(aligned)
    wander = math.sqrt(sum([(m - mean) ** 2 for m in aligned]) / len(aligned))
    ends = aligned[-1] - aligned[0]
    moved = u_residence / BIN * math.hypot(ends, 0.5 * wander)
    milled = plus(part_of(ledger.fruit, "mill/throughput", fruit), normal("residence time", moved))
    return yield_of(part_of(ledger.juice, "juice/flow", sum(juice)), milled)


def plus(figure: Known, term: Term) -> Known:
    """The figure with one more source of doubt, where there is a figure and a doubt."""
    return figure if isinstance(figure, Unknown) or term.u == 0.0 else figure.plus(term)


def on_its_way(ledger: Ledger, ends: int, learned: Learned) -> float:
    """m³ of juice, standard uncertainty, that the time from mill to juice may give to the wrong load at its ends."""
    seconds = math.hypot(learned.u_mean, 0.5 * learned.u_spread)
    return math.sqrt(ends) * seconds * _steady_rate(ledger.juice)


def _steady_rate(flow: Flow) -> float:
    """Mean amount a second while anything flows."""
    flowing = [a for a in flow.amounts if a > 0.0]
    return sum(flowing) / (BIN * len(flowing)) if flowing else 0.0


_COMMON = "accuracy of "


def is_common(term: Term) -> bool:
    """True where the error is the same for all loads, such as a meter's: it drops out of their difference."""
    return term.source.startswith(_COMMON)


def own_of(figure: Known, load: str) -> Known:
    """The same figure, its own terms named after the load: they are independent of other loads' terms."""
    if isinstance(figure, Unknown):
        return figure
    terms = (t if is_common(t) else Term(f"{t.source}, load {load}", t.u, t.limits) for t in figure.terms)
    return Estimate(figure.value, tuple(terms))


class BudgetLine(NamedTuple):
    """One source of doubt about a figure."""

    source: str
    u: float
    """Standard uncertainty it causes, in the figure's unit."""
    share: float
    """Of the variance, 0 to 1."""
    common: bool


def budget(figure: Estimate) -> list[BudgetLine]:
    """Where a figure's uncertainty comes from, the largest part first (JCGM 100:2008, 4.1 and 5.1)."""
    by_source: dict[str, tuple[float, bool]] = {}
    for t in figure.terms:
        u, _ = by_source.get(t.source, (0.0, False))
        by_source[t.source] = (math.hypot(u, t.u), is_common(t))
    whole = sum(u * u for u, _ in by_source.values())
    lines = (BudgetLine(s, u, u * u / whole, common) for s, (u, common) in by_source.items() if u > 0.0)
    return sorted(lines, key=lambda line: -line.u)
