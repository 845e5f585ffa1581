"""Slow drift of a meter: every quarter of an hour the meters are held against each other, and what is off adds up.

The vat's level says how much juice came, against the juice meter; fruit less juice says how much pomace should come,
against the pomace weigher. Meters may be off by their makers' limits from the start, so two sums run beside each other
(tabular CUSUM, NIST/SEMATECH e-Handbook 6.3.2.3): of what lies outside the limits, and of what has moved since the
first half hour. The zero of a level drops out of a rise.
"""

from __future__ import annotations

import math
from itertools import pairwise
from typing import Literal

import msgspec
from msgspec import Struct, field

from tumpline.pressing.attribution import Attribution
from tumpline.pressing.charts import Cusum
from tumpline.pressing.juice import density
from tumpline.pressing.ledger import UNHEARD, Flow, Ledger
from tumpline.pressing.params import LineParams, SignalParams
from tumpline.pressing.records import Balance
from tumpline.pressing.residence import BIN, POMACE_LATER
from tumpline.pressing.watches import QUIET, Verdict

WINDOW = 180
"""Bins that are compared at once: a quarter of an hour."""
_ENDS = 12
"""Bins at either end over which a level is averaged: a minute."""
_FIRST = 2
"""Windows that say what is usual."""
_LEVELS = 120
"""Bins for which fruit has to have come before: until then what waits before the press may still level out."""
_TOLD = 36
"""Bins after which a loss of juice would have been told by its own alarm: three minutes."""
_MOVED = 0.5
"""Per cent by which a meter has to have moved for what it said at first to be worth a sentence."""
_USED = 0.15
"""A vat whose level is off by more than this share has been drawn from or filled by other means."""
_UNEVEN = 0.0035
"""Share of the fruit a quarter of an hour is off by chance: pomace takes another way than juice (own trials)."""
_HIDDEN = 0.003
"""Share of a quarter of an hour's fruit, juice or pomace that may be hidden by time without readings."""
_USUAL, _COOL = 1050.0, 12.0
"""kg/m³ of juice, within 1.5 % from 10 to 16 °Bx, and °C of it, where nobody measures them."""
_CARRIED = 0.015
"""Water on the fruit, a share of its mass; from load to load it differs by about a third (values from memory)."""


class Sums(Struct):
    """The two sums of one comparison; all as shares of what should be."""

    usual: list[float] = field(default_factory=list)
    """What the first windows were off by."""
    outside: Cusum | None = None
    moved: Cusum | None = None
    latest: float = 0.0
    """What the last window was off by."""

    def take(self, off: float, *, allowed: float, scatter: float) -> None:
        """One window more; `allowed` are the limits of the meters together, `scatter` its own standard uncertainty."""
        self.latest = off
        if self.outside is None:
            self.outside = Cusum(target=0.0, slack=allowed + scatter, decision=0.006 + 3.0 * scatter)
        self.outside.update(off)
        if len(self.usual) < _FIRST:
            self.usual.append(off)
            return
        if self.moved is None:
            usual = sum(self.usual) / len(self.usual)
            self.moved = Cusum(target=usual, slack=0.003 + scatter, decision=0.012 + 4.0 * scatter)
        self.moved.update(off)

    @property
    def way(self) -> Literal["up", "down"] | None:
        """Which way it has drifted."""
        return next((c.drift for c in (self.outside, self.moved) if c is not None and c.drift is not None), None)


class Drift(Struct):
    """What is remembered of one shift's meters against each other."""

    vat: str = ""
    levels: list[float] = field(default_factory=list)
    """m³ in the vat that gets juice, by bin of the window going on."""
    metered: list[float] = field(default_factory=list)
    """m³ by the juice meter up to the middle of the same bins."""
    passed: float = 0.0
    silent: int = 0
    """Bins since the level was last heard."""
    by_vat: Sums = field(default_factory=Sums)
    """Rise of the vat over metered juice, less one."""
    by_pomace: Sums = field(default_factory=Sums)
    """Fruit and water less juice and pomace, a share of the fruit."""
    weighed_to: int = 0
    """Bin up to which the pomace was compared."""
    upset: int = -1
    """Last bin in which juice was known to be lost."""

    def bin_closed(
        self,
        ledger: Ledger,
        attribution: Attribution,
        params: LineParams,
        vat: str,
        level: float | None,
        *,
        lost: bool = False,
    ) -> bool:
        """
        A bin was closed while juice ran to `vat`, its mean level `level` m³, and was `lost` as another alarm says;
        True where a window is over.
        """
        if lost:
            self.upset = ledger.bins - 1
        return self._by_vat(ledger, params, vat, level) | self._by_pomace(ledger, attribution, params)

    def _by_vat(self, ledger: Ledger, params: LineParams, vat: str, level: float | None) -> bool:
        volume = ledger.juice.amounts[-1]
        self.passed += volume
        meter, gauge = params.signal("juice/flow"), params.signal(f"vat/{vat}/volume")
        if meter is None or gauge is None:
            return False
        self.silent = 0 if level is not None else self.silent + 1
        if vat != self.vat or self.silent > _ENDS or ledger.juice.gap > 0.0:
            self._begin(vat)
        if level is None:
            return False
        self.levels.append(level)
        self.metered.append(self.passed - 0.5 * volume)
        if len(self.levels) < WINDOW + _ENDS:
            return False
        juice = _mean(self.metered[-_ENDS:]) - _mean(self.metered[:_ENDS])
        rise = _mean(self.levels[-_ENDS:]) - _mean(self.levels[:_ENDS])
        scatter = _scatter(self.levels, self.metered)
        del self.levels[:WINDOW], self.metered[:WINDOW]
        expected = params.rated_throughput * params.expected_yield * BIN * WINDOW
        if juice < 0.3 * expected or abs(rise / juice - 1.0) > _USED:
            return False
        allowed = meter.accuracy.of_reading + gauge.accuracy.of_reading + gauge.accuracy.fixed / gauge.span
        self.by_vat.take(rise / juice - 1.0, allowed=allowed, scatter=scatter * math.sqrt(2.0 / _ENDS) / juice)
        return True

    def _begin(self, vat: str) -> None:
        self.vat = vat
        self.levels.clear()
        self.metered.clear()

    def _by_pomace(self, ledger: Ledger, attribution: Attribution, params: LineParams) -> bool:
        meters = [params.signal(name) for name in ("mill/throughput", "juice/flow", "pomace/flow")]
        start, end = self.weighed_to, self.weighed_to + WINDOW
        if None in meters or not ledger.pomace.heard or attribution.given < end or ledger.bins < end + _TOLD:
            return False
        # Only where the fruit is steady does the press hold as much at the end as at the beginning.
        aligned = attribution.aligned[start:end]
        least, most = min(aligned), max(aligned)
        before = min(attribution.aligned[max(0, start - _LEVELS) : start], default=0.0)
        flows = (ledger.fruit, start), (ledger.juice, start), (ledger.pomace, start + POMACE_LATER)
        level = start >= _LEVELS and before > 0.3 * most
        if least <= 0.6 * most or not level or any(_may_hide(flow, at) for flow, at in flows):
            self.weighed_to = start + _ENDS
            return False
        if self.upset >= start:
            self.weighed_to = self.upset + 1
            return False
        self.weighed_to = end
        fruit = sum(aligned)
        juice = sum(_juice_kg(ledger, attribution, j) for j in range(start, end))
        pomace = sum(ledger.pomace.amounts[start + POMACE_LATER : end + POMACE_LATER])
        shares = (1.0, juice / fruit, pomace / fruit)
        allowed = math.sqrt(sum((_share(m) * s) ** 2 for m, s in zip(meters, shares, strict=True)) + 0.006**2)
        off = (fruit * (1.0 + _CARRIED) - juice - pomace) / fruit
        self.by_pomace.take(off, allowed=allowed, scatter=_UNEVEN)
        return True

    def verdict(self) -> Verdict:
        """`balance-open` as it stands."""
        if self.by_vat.way is not None:
            return self._juice_meter()
        if self.by_pomace.way is None:
            return QUIET
        percent = 100.0 * self.by_pomace.latest
        more = "more" if percent > 0.0 else "less"
        tell = "" if self.by_vat.usual else " A dip of the vat before and after would tell."
        return Verdict(
            True,
            percent,
            0.0,
            "%",
            f"{abs(percent):.1f} % of the fruit {more} goes in than comes out as juice and pomace. The meters of "
            f"fruit, juice and pomace cannot tell which of them has drifted, or whether something is lost.{tell}",
        )

    def settle(self, found: Balance) -> Balance:
        """The balance of the whole shift, with what drifted during it."""
        verdict = self.verdict()
        if not verdict.active:
            return found
        suspect = verdict.subjects[0] if verdict.subjects else None
        advice = verdict.cause if found.advice is None or suspect else f"{verdict.cause} {found.advice}"
        return msgspec.structs.replace(found, suspect=suspect, isolable=suspect is not None, advice=advice)

    def _juice_meter(self) -> Verdict:
        percent = -100.0 * self.by_vat.latest
        says, first = _more_or_less(percent), -100.0 * _mean(self.by_vat.usual)
        also = ""
        if abs(percent - first) > _MOVED:
            also = f" In the first half hour it said {abs(first):.1f} % {_more_or_less(first)}."
        if self.by_pomace.way is not None:
            also += " Fruit less pomace says the same."
        cause = (
            f"The juice meter says {abs(percent):.1f} % {says} than vat {self.vat} rises: it has probably "
            f"drifted.{also} The zero of the level has no share in this; its scale might have: a dip would tell."
        )
        return Verdict(True, percent, 0.0, "%", cause, ("juice/flow",))


def _more_or_less(percent: float) -> str:
    return "more" if percent > 0.0 else "less"


def _may_hide(flow: Flow, start: int) -> bool:
    """Whether time without readings may hide too much of the window from there."""
    window = range(start, start + WINDOW)
    return sum(flow.holes.get(j, 0.0) for j in window) > _HIDDEN * sum(flow.amounts[start : start + WINDOW])


def _juice_kg(ledger: Ledger, attribution: Attribution, j: int) -> float:
    """Juice that came in bin j."""
    brix, celsius = ledger.brix[j], ledger.celsius[j]
    found = density(brix, celsius if celsius > UNHEARD else _COOL) if brix > 1.0 else _USUAL
    return attribution.juice[j] * (found if isinstance(found, float) else _USUAL)


def _share(meter: SignalParams | None) -> float:
    """A meter's limits as a share of what it usually reads, a third of its span."""
    if meter is None:
        return 0.0
    return meter.accuracy.of_reading + meter.accuracy.fixed / (meter.span / 3.0)


def _mean(values: list[float]) -> float:
    return sum(values) / len(values)


def _scatter(levels: list[float], metered: list[float]) -> float:
    """Standard deviation of the levels around what was metered, from one bin to the next, m³."""
    above = [level - m for level, m in zip(levels, metered, strict=True)]
    steps = [b - a for a, b in pairwise(above)]
    return math.sqrt(sum(s * s for s in steps) / len(steps) / 2.0)
