"""The ledger of a shift: fruit, juice, pomace and water, bin by bin, and to whom each bin belongs.

A bin is closed when every metering signal has been heard past it by the lateness, so that late-but-allowed readings are
in. A lost signal holds the ledger for a while; then the bin is closed with what there is, and says how little that is.
"""

from __future__ import annotations

import math
from bisect import bisect_left
from collections.abc import Collection
from itertools import islice, takewhile
from statistics import median

from msgspec import Struct, field

from tumpline.pressing.params import LineParams, SignalParams
from tumpline.pressing.quantities import Estimate, limits, normal
from tumpline.pressing.residence import BIN
from tumpline.pressing.signals import Integral, Pumped, Signal, counter_increase

HOLD = 600.0
"""Seconds the fruit's or the juice's meter may be silent before the ledger goes on without it."""
SHORT_HOLD = 120.0
"""The same for the others, which fewer figures rest on."""

NOTHING, FULL = 0.1, 0.6
"""Share of the rated juice flow under which a pump stands, and over which it runs (common practice, no source)."""
_CREEP = 0.002
"""m/s below which belts stand: a twentieth of the slowest press's (common practice, no source)."""
_LATELY = 240
_STARTS, _STARTS_WITHIN = 4, 720
_ON_ITS_WAY = 36
"""Bins of fruit whose juice may come now: three minutes."""
_BY_FRUIT = 0.25
"""What juice that was not heard may differ from what its fruit gives, as a share (own rule)."""
_BEFORE, _FLOWS, _STUCK = 120, 0.1, 0.5
"""
Bins that say what a meter that is stuck would read, what share of its reading something flowed at then, and by what
share it may be off (own rule).
"""
_SHARP, _SHARPEST = 2.3, 4.0
"""Readings, and seconds at the least, within which a pump's start rises from nothing to full."""

UNHEARD = -273.15
"""°C that stand for a temperature that was not heard."""

TRACE = 0.02
"""Share of the rated flow below which a meter may only be showing its own zero (common practice, no source)."""


class Flow(Struct):
    """One metered quantity over a shift: SI amount per bin, and what its sum is worth."""

    amounts: list[float] = field(default_factory=list)
    of_reading: float = 0.0
    """Sum of (relative limits × amount)."""
    fixed: float = 0.0
    """Sum of (fixed limits × seconds flowing)."""
    scatter: float = 0.0
    gap: float = 0.0
    """Half-width of the gap going on; gaps are independent of each other."""
    gaps_squared: float = 0.0
    blind: int = 0
    """Bins closed without a reading in them or after them."""
    holes: dict[int, float] = field(default_factory=dict)
    """Half-width of what the missing time of a bin may have hidden, where there is any."""
    summed: int = 0
    """Bins in the sum so far."""
    so_far: float = 0.0

    def total(self) -> float:
        """Sum of the amounts, added up as they come."""
        bins = len(self.amounts)
        if self.summed < bins:
            self.so_far, self.summed = sum(self.amounts[self.summed :], self.so_far), bins
        return self.so_far

    @property
    def heard(self) -> bool:
        """False where every bin was closed blind: the sum is not zero then, it is not known."""
        return not self.amounts or self.blind < len(self.amounts)

    def add(self, part: Integral, meter: SignalParams) -> None:
        """Close one bin with this much."""
        self.amounts.append(part.value)
        self.of_reading += meter.accuracy.of_reading * abs(part.value)
        self.fixed += meter.accuracy.fixed * part.flowing
        self.scatter += part.scatter
        if part.fill > 0.0:
            self.gap += part.fill
            self.holes[len(self.amounts) - 1] = part.fill
        elif self.gap > 0.0:
            self.gaps_squared += self.gap * self.gap
            self.gap = 0.0

    def split(self, kept: int) -> Flow:
        """Take away all bins after the first `kept`; they take their share of what is not known with them."""
        heard, whole = self.heard, sum(self.amounts)
        taken = Flow(self.amounts[kept:], gap=self.gap)
        del self.amounts[kept:]
        self.summed, self.so_far = 0, 0.0
        share = sum(taken.amounts) / whole if whole > 0.0 else 0.0
        for name in ("of_reading", "fixed", "scatter", "gaps_squared"):
            part = share * getattr(self, name)
            setattr(taken, name, part)
            setattr(self, name, getattr(self, name) - part)
        self.gap = 0.0
        taken.holes = {j - kept: hidden for j, hidden in self.holes.items() if j >= kept}
        self.holes = {j: hidden for j, hidden in self.holes.items() if j < kept}
        self.blind = min(self.blind, kept)
        taken.blind = 0 if heard else len(taken.amounts)
        return taken

    def estimate(self, name: str, share: float = 1.0, *, hidden: float | None = None) -> Estimate:
        """
        The whole sum, or an exactly known share of it, with what is not known about it; `hidden` is the half-width of
        what missing time may have hidden of that share, where it is known.
        """
        amount = self.total() * share
        gaps = math.sqrt(self.gaps_squared + self.gap * self.gap) * share if hidden is None else hidden
        terms = [limits(f"accuracy of {name}", (self.of_reading + self.fixed) * share)]
        if self.scatter > 0.0:
            terms.append(normal(f"scatter of {name}", math.sqrt(self.scatter) * share))
        if gaps > 0.0:
            terms.append(limits(f"time without {name}", gaps))
        return Estimate(amount, tuple(t for t in terms if t.u > 0.0))


class PumpMark(Struct):
    """When the pump of a sump started or stopped: each at a level of its own, set by the float."""

    bin: float
    """Bins since the ledger began, whole and part."""
    metered: float
    """m³ metered from there to here."""
    on: bool


class Ledger(Struct):
    """All bins of one shift; bin i covers [start + 5 i, start + 5 (i + 1)) seconds."""

    start: float
    fruit: Flow = field(default_factory=Flow)
    juice: Flow = field(default_factory=Flow)
    pomace: Flow = field(default_factory=Flow)
    water: Flow = field(default_factory=Flow)
    brix: list[float] = field(default_factory=list)
    """Mean of the refractometer per bin, NaN-free: negative where it was not heard."""
    celsius: list[float] = field(default_factory=list)
    """Mean temperature of the juice per bin, °C: below -100 where it was not heard."""
    belts: list[float] = field(default_factory=list)
    """Mean speed of the press belts per bin, m/s: negative where it was not heard."""
    marks: list[PumpMark] = field(default_factory=list)
    """Where juice flow rose from nothing to full or fell back: of use where a float switch empties a sump."""
    short_end: float = 0.0
    """Seconds of the last bin, when the shift ended inside it."""

    @property
    def bins(self) -> int:
        """How many bins are closed."""
        return len(self.fruit.amounts)

    @property
    def starts(self) -> list[PumpMark]:
        """The pump starts among the marks."""
        return [mark for mark in self.marks if mark.on]

    @property
    def end(self) -> float:
        """Event time up to which the ledger is closed."""
        return (
            self.start + BIN * self.bins
            if self.short_end == 0.0
            else self.start + BIN * (self.bins - 1) + self.short_end
        )

    def split(self, at: float) -> Ledger:
        """Take away what lies after `at`, from the bin that `at` lies in; it is the beginning of the next ledger."""
        if at >= self.end:
            return Ledger(at)
        kept = max(0, math.floor((at - self.start) / BIN))
        flows = [flow.split(kept) for flow in (self.fruit, self.juice, self.pomace, self.water)]
        metered = sum(self.juice.amounts)
        taken = Ledger(self.start + BIN * kept, flows[0], flows[1], flows[2], flows[3], self.brix[kept:])
        taken.marks = [PumpMark(m.bin - kept, max(0.0, m.metered - metered), m.on) for m in self.marks if m.bin >= kept]
        self.marks = [m for m in self.marks if m.bin < kept]
        taken.celsius = self.celsius[kept:]
        taken.belts = self.belts[kept:]
        del self.brix[kept:], self.celsius[kept:], self.belts[kept:]
        return taken


def stands(ledger: Ledger, j: int, params: LineParams, *, pumped: bool) -> bool:
    """
    True where the line stood in bin j with whatever it held: the belts stand, or, where nobody tells their speed,
    neither fruit went in nor juice came out. Such time moves no fruit on. Juice pumped in bursts tells nothing here.
    """
    if j < len(ledger.belts) and ledger.belts[j] >= 0.0:
        return ledger.belts[j] < _CREEP
    trace = TRACE * BIN * params.rated_throughput
    fruit, juice = ledger.fruit.amounts[j], ledger.juice.amounts[j]
    return not pumped and fruit <= trace and juice <= trace * params.expected_yield


def sump_fill(marks: list[PumpMark]) -> float:
    """
    m³ between the levels at which the pump starts and stops: what a run pumps beyond what ran in meanwhile, taken as
    even over the cycle; the median over the cycles, 0 before there is one.
    """
    found = [
        (c.metered - a.metered) * (c.bin - b.bin) / (c.bin - a.bin)
        for a, b, c in zip(marks, marks[1:], marks[2:], strict=False)
        if a.on and not b.on and c.on
    ]
    return median(found) if found else 0.0


def may_be_bursts(ledger: Ledger) -> bool:
    """True where juice lately rose from nothing to full as with a pump's start, fruit going on, if not often yet."""
    lately = list(takewhile(lambda mark: mark.bin >= ledger.bins - _LATELY, reversed(ledger.marks)))
    return len(lately) >= 2 and any(mark.on for mark in lately)


def in_bursts(ledger: Ledger) -> bool:
    """
    True while juice comes in bursts, as from a sump that a float switch empties: four sharp starts in an hour.
    What a press gives rises and falls over half a minute.
    """
    newest = (mark.bin for mark in reversed(ledger.marks) if mark.on)
    return next(islice(newest, _STARTS - 1, None), -math.inf) >= ledger.bins - _STARTS_WITHIN


_METERS = (
    ("fruit", "mill/throughput", "mill/total"),
    ("juice", "juice/flow", "juice/total"),
    ("pomace", "pomace/flow", ""),  # a trailer's weight trembles: taken as a counter, only its rises would be counted
    ("water", "flume/flow", ""),
)


def due(ledger: Ledger, params: LineParams, signals: dict[str, Signal], clock: float) -> bool:
    """True when the next bin can be closed: each metering signal was heard past it, or has been silent too long."""
    to = ledger.start + BIN * (ledger.bins + 1) + params.lateness
    if clock < to:
        return False
    for column, flow, counter in _METERS:
        heard = max((signals[n].newest_at for n in (flow, counter) if n in signals), default=-math.inf)
        if heard < to and clock - heard <= (HOLD if column in ("fruit", "juice") else SHORT_HOLD):
            return False
    return True


def close_bin(
    ledger: Ledger, params: LineParams, signals: dict[str, Signal], end: float, stuck: Collection[str] = ()
) -> None:
    """
    Close the next bin at `end`: its full width, or less where the shift ends. Signals that are `stuck` tell nothing.
    """
    start = ledger.start + BIN * ledger.bins
    pumped = params.juice_pump == "on-off" or (params.juice_pump == "auto" and in_bursts(ledger))
    for column, flow_name, counter_name in _METERS:
        flow = getattr(ledger, column)
        bursts = _while_unheard(ledger) if column == "juice" and pumped and flow.amounts else None
        _close_flow(flow, params, signals, (flow_name, counter_name), (start, end), bursts, stuck)
    _note_marks(ledger, params, signals.get("juice/flow"), start, end)
    ledger.brix.append(_mean_of(signals.get("juice/brix"), start, end, -1.0))
    ledger.belts.append(_mean_of(signals.get("press/belt-speed"), start, end, -1.0))
    ledger.celsius.append(_mean_of(signals.get("juice/temperature"), start, end, UNHEARD))
    if end < start + BIN:
        ledger.short_end = end - start


def _while_unheard(ledger: Ledger) -> Pumped:
    """
    What juice from a sump comes to while it is not heard: between two readings of nothing a whole run of the pump may
    hide, and over minutes it is what the fruit of the last minutes gives, as long as that is heard itself.
    """
    juice, fruit = ledger.juice.amounts[-_STARTS_WITHIN:], ledger.fruit.amounts[-_STARTS_WITHIN:]
    most, fed = max(juice) / BIN, sum(fruit)
    mean = sum(juice) / (BIN * len(juice))
    if fed <= 0.0 or ledger.fruit.gap > 0.0:
        return Pumped(mean, most, mean)
    mean = sum(juice) / fed * sum(fruit[-_ON_ITS_WAY:]) / (BIN * len(fruit[-_ON_ITS_WAY:]))
    return Pumped(mean, most, _BY_FRUIT * mean)


def _as_before(flow: Flow, part: Integral) -> Integral:
    """
    What stands in for a bin of a meter that stands still or at the end of its range: what flowed before. It may have
    come back by the end of the bin: nothing is nothing.
    """
    recent = [amount for amount in flow.amounts[-_BEFORE:] if amount > _FLOWS * part.value]
    usual = sum(recent) / len(recent) if recent else part.value
    return Integral(usual, fill=max(_STUCK * usual, abs(part.value - usual))) if part.value > _FLOWS * usual else part


def _mean_of(signal: Signal | None, start: float, end: float, otherwise: float) -> float:
    mean = signal.mean(start, end) if signal is not None else None
    return otherwise if mean is None else mean


def _note_marks(ledger: Ledger, params: LineParams, signal: Signal | None, start: float, end: float) -> None:
    """Note each rise of the juice flow from nothing to full in the bin just closed, and each fall back."""
    rated = params.rated_throughput * params.expected_yield
    if signal is None:
        return
    times, values = signal.times, signal.values
    for i in range(bisect_left(times, start), bisect_left(times, end)):
        on = values[i] >= FULL * rated
        if not on and values[i] > NOTHING * rated:
            continue
        sharp = times[i] - max(_SHARPEST, _SHARP * min(times[i] - times[max(i - 1, 0)], _SHARPEST))
        since = range(i - 1, bisect_left(times, sharp) - 1, -1)
        before = next((k for k in since if _level(values[k], rated) is not None), None)
        if before is None or _level(values[before], rated) is on:
            continue
        at = max(start, 0.5 * (times[before] + times[i]))
        whole = signal.integral(start, end, end - start).value
        share = signal.integral(start, at, end - start).value / whole if whole > 0.0 else 0.0
        metered = sum(ledger.juice.amounts[:-1]) + min(share, 1.0) * ledger.juice.amounts[-1]
        ledger.marks.append(PumpMark((at - ledger.start) / BIN, metered, on))


def _level(flow: float, rated: float) -> bool | None:
    """True where a pump at this flow runs, False where it stands, None between."""
    return True if flow >= FULL * rated else False if flow <= NOTHING * rated else None


def _close_flow(
    flow: Flow,
    params: LineParams,
    signals: dict[str, Signal],
    names: tuple[str, str],
    stretch: tuple[float, float],
    bursts: Pumped | None,
    stuck: Collection[str],
) -> None:
    """A counter wins over an integrated flow; where it does not cover the stretch, the flow bridges it."""
    flow_name, counter_name = names
    start, end = stretch
    counter, meter = signals.get(counter_name), params.signal(counter_name)
    if counter is not None and meter is not None and counter_name not in stuck:
        increase = counter_increase(counter, start, end, meter.rollover, meter.stale_after)
        if increase is not None:
            flow.add(increase, _relative_only(meter))
            return
    signal, meter = signals.get(flow_name), params.signal(flow_name)
    if signal is None or meter is None:
        flow.amounts.append(0.0)
        flow.blind += 1
        return
    flow.blind += signal.newest_at < start
    part = signal.integral(start, end, meter.stale_after, bursts)
    if flow_name in stuck:
        part = _as_before(flow, part)
    elif bursts is None and end - signal.newest_at > meter.stale_after:
        # Closed without it: anything from nothing to twice the last rate.
        part.fill += abs(signal.newest) * (end - max(start, signal.newest_at))
    flow.add(part, meter)


def _relative_only(meter: SignalParams) -> SignalParams:
    """A counter's fixed limits belong to its increase, not to its seconds; they are small against a shift's sum."""
    return SignalParams(
        meter.name, meter.quantity, meter.low, meter.high, type(meter.accuracy)(of_reading=meter.accuracy.of_reading)
    )


def extent(ledger: Ledger, params: LineParams) -> tuple[float, float]:
    """From the first fruit to the last juice."""
    trace = TRACE * BIN * params.rated_throughput
    fruit = [i for i, a in enumerate(ledger.fruit.amounts) if a > trace]
    juice = [i for i, a in enumerate(ledger.juice.amounts) if a > trace * params.expected_yield]
    if not fruit:
        return ledger.start, ledger.start
    last = max(juice[-1] if juice else fruit[-1], fruit[-1])
    return ledger.start + BIN * fruit[0], ledger.start + BIN * (last + 1)
