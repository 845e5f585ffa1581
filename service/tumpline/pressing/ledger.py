"""The ledger of a shift: fruit, juice, pomace and water, bin by bin, and to whom each bin belongs.

A bin is closed when every metering signal has been heard past it by the lateness, so that late-but-allowed readings are
in. A lost signal holds the ledger for a while; then the bin is closed with what there is, and says how little that is.
"""

from __future__ import annotations

import math

from msgspec import Struct, field

from tumpline.pressing.params import LineParams, SignalParams
from tumpline.pressing.quantities import Estimate, limits, normal
from tumpline.pressing.residence import BIN
from tumpline.pressing.signals import Integral, Signal, counter_increase

HOLD = 600.0
"""Seconds the fruit's or the juice's meter may be silent before the ledger goes on without it."""
SHORT_HOLD = 120.0
"""The same for the others, which fewer figures rest on."""

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
        elif self.gap > 0.0:
            self.gaps_squared += self.gap * self.gap
            self.gap = 0.0

    def split(self, kept: int) -> Flow:
        """Take away all bins after the first `kept`; they take their share of what is not known with them."""
        heard, whole = self.heard, sum(self.amounts)
        taken = Flow(self.amounts[kept:], gap=self.gap)
        del self.amounts[kept:]
        share = sum(taken.amounts) / whole if whole > 0.0 else 0.0
        for name in ("of_reading", "fixed", "scatter", "gaps_squared"):
            part = share * getattr(self, name)
            setattr(taken, name, part)
            setattr(self, name, getattr(self, name) - part)
        self.gap = 0.0
        self.blind = min(self.blind, kept)
        taken.blind = 0 if heard else len(taken.amounts)
        return taken

    def estimate(self, name: str, share: float = 1.0) -> Estimate:
        """The whole sum, or an exactly known share of it, with what is not known about it."""
        amount = sum(self.amounts) * share
        gaps = math.sqrt(self.gaps_squared + self.gap * self.gap)
        terms = [limits(f"accuracy of {name}", (self.of_reading + self.fixed) * share)]
        if self.scatter > 0.0:
            terms.append(normal(f"scatter of {name}", math.sqrt(self.scatter) * share))
        if gaps > 0.0:
            terms.append(limits(f"time without {name}", gaps * share))
        return Estimate(amount, tuple(t for t in terms if t.u > 0.0))


class Ledger(Struct):
    """All bins of one shift; bin i covers [start + 5 i, start + 5 (i + 1)) seconds."""

    start: float
    fruit: Flow = field(default_factory=Flow)
    juice: Flow = field(default_factory=Flow)
    pomace: Flow = field(default_factory=Flow)
    water: Flow = field(default_factory=Flow)
    brix: list[float] = field(default_factory=list)
    """Mean of the refractometer per bin, NaN-free: negative where it was not heard."""
    short_end: float = 0.0
    """Seconds of the last bin, when the shift ended inside it."""

    @property
    def bins(self) -> int:
        """How many bins are closed."""
        return len(self.fruit.amounts)

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
        taken = Ledger(self.start + BIN * kept, flows[0], flows[1], flows[2], flows[3], self.brix[kept:])
        del self.brix[kept:]
        return taken


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


def close_bin(ledger: Ledger, params: LineParams, signals: dict[str, Signal], end: float) -> None:
    """Close the next bin at `end`: its full width, or less where the shift ends."""
    start = ledger.start + BIN * ledger.bins
    for column, flow_name, counter_name in _METERS:
        flow = getattr(ledger, column)
        _close_flow(flow, params, signals, (flow_name, counter_name), (start, end))
    refractometer = signals.get("juice/brix")
    brix = refractometer.mean(start, end) if refractometer else None
    ledger.brix.append(-1.0 if brix is None else brix)
    if end < start + BIN:
        ledger.short_end = end - start


def _close_flow(
    flow: Flow,
    params: LineParams,
    signals: dict[str, Signal],
    names: tuple[str, str],
    stretch: tuple[float, float],
) -> None:
    """A counter wins over an integrated flow; where it does not cover the stretch, the flow bridges it."""
    flow_name, counter_name = names
    start, end = stretch
    counter, meter = signals.get(counter_name), params.signal(counter_name)
    if counter is not None and meter is not None:
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
    part = signal.integral(start, end, meter.stale_after)
    if end - signal.newest_at > meter.stale_after:  # closed without it: anything from nothing to twice the last rate
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
