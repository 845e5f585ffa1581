"""What a line can see once a second: the newest values, while they are fresh."""

from __future__ import annotations

import math

from tumpline.pressing.condition import Seen
from tumpline.pressing.params import LineParams
from tumpline.pressing.residence import BIN
from tumpline.pressing.state import State
from tumpline.pressing.watches.look import Look

_FRUIT_ON, _FRUIT_OFF = 0.10, 0.06  # of the rated throughput: milling begins above the one and ends below the other
_JUICE_ON = 0.05  # of the juice that the rated throughput should give
_JUICE_HOLD = 5.0  # seconds for which juice still counts as flowing
_BETWEEN_BURSTS = 300.0  # the same while its fruit goes on: a float switch may be filling the sump (common practice)
_WASHING = 0.5e5  # Pa in the belt wash


def value(state: State, params: LineParams, name: str, now: float) -> float | None:
    """A signal's newest value, SI; None while it is not fitted, never heard or stale."""
    signal, meter = state.signals.get(name), params.signal(name)
    if signal is None or meter is None or not signal.fresh(now, meter.stale_after):
        return None
    return signal.newest


def level(state: State, params: LineParams, vat: str, end: float) -> float | None:
    """
    Mean level (m³) of a vat over the bin that ended at `end`; None where it was not heard, and near the bottom, where
    a gauge whose zero is off can only say that the vat is empty.
    """
    name = f"vat/{vat}/volume"
    signal, gauge = state.signals.get(name), params.signal(name)
    mean = signal.mean(end - BIN, end) if signal is not None else None
    if mean is None or gauge is None or mean < gauge.low + 2.0 * gauge.accuracy.fixed:
        return None
    return mean


def unheard(state: State, params: LineParams, now: float) -> list[str]:
    """Signals that were heard once and are not any more, for longer than they and their watch are patient."""
    signals, more = state.signals, params.watches["signal-lost"].delay
    return [
        m.name
        for m in params.signals
        if signals[m.name].newest_at > -math.inf and not signals[m.name].fresh(now, m.stale_after + more)
    ]


def look(state: State, params: LineParams, now: float) -> Look:
    """What the watches see; takes the current's peak since the last look with it."""
    current = state.signals.get("mill/current")
    peak = None
    if current is not None and current.peak > -math.inf:
        peak, current.peak = current.peak, -math.inf
    book = state.book
    page = book.loads.get(book.at_mill.at(now))
    left = net = None
    if page is not None:
        portion = state.attribution.portions.get(page.entry.load)
        net = page.entry.net_kg
        left = net - page.milled - (portion.fruit if portion else 0.0) - _not_in_a_bin(state)
    throughput = state.signals.get("mill/throughput")
    return Look(
        at=now,
        fruit=value(state, params, "mill/throughput", now),
        fruit_at=throughput.newest_at if throughput is not None else now,
        current=value(state, params, "mill/current", now),
        current_peak=peak,
        water=value(state, params, "flume/flow", now),
        juice=value(state, params, "juice/flow", now),
        pressure=value(state, params, "press/pressure", now),
        wash=value(state, params, "press/wash-pressure", now),
        pulp=value(state, params, "pulp/level", now),
        left=left,
        net=net,
        load_on=book.at_mill.times[-1] if book.at_mill.times else None,
        emergency_stop=(value(state, params, "line/emergency-stop", now) or 0.0) > 0.5,
    )


def _not_in_a_bin(state: State) -> float:
    """kg milled since the last bin, at the rate of the last minute: bins wait for meters that fell silent."""
    end = state.ledger.end if state.ledger is not None else state.second
    return state.throughput * max(0.0, state.watches.feed.flowed_at - end)


def observe(state: State, params: LineParams, now: float, *, blocked: bool, starved: bool) -> Seen:
    """What decides the condition; remembers whether the mill was taking fruit, and when juice last flowed."""
    rated = params.rated_throughput
    fruit, juice = value(state, params, "mill/throughput", now), value(state, params, "juice/flow", now)
    if fruit is not None:
        before = state.milling
        state.milling = fruit > (_FRUIT_OFF if before else _FRUIT_ON) * rated
        if state.milling and not before:
            state.milling_since = now
        if state.milling:
            state.throughput += (fruit - state.throughput) / (60.0 if state.throughput > 0.0 else 1.0)
    if juice is not None and juice > _JUICE_ON * rated * params.expected_yield:
        state.juiced_at = now
    in_bursts = state.milling and state.juiced_at >= state.milling_since
    wash = value(state, params, "press/wash-pressure", now)
    return Seen(
        fruit=fruit,
        juice=juice,
        wash=None if wash is None else wash > _WASHING,
        milling=state.milling,
        juicing=now - state.juiced_at <= (_BETWEEN_BURSTS if in_bursts else _JUICE_HOLD),
        slow=state.throughput < 0.5 * rated,
        blocked=blocked,
        starved=starved,
    )
