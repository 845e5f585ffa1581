"""What a line can see once a second: the newest values, while they are fresh."""

from __future__ import annotations

import math
from bisect import bisect_right

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
    if signal is None or meter is None or not signal.fresh(now - _behind(state, name), meter.stale_after):
        return None
    return signal.newest


def _behind(state: State, name: str) -> float:
    """Seconds by which a signal's own clock is behind the others: that is no silence."""
    check = state.checks.get(name)
    return check.behind if check is not None else 0.0


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


def look(state: State, params: LineParams, now: float) -> Look:
    """What the watches see; takes the current's peak since the last look with it."""
    heard, unheard = _hear(state, params, now)
    current = state.signals.get("mill/current")
    peak = None
    if current is not None and current.peak > -math.inf:
        peak, current.peak = current.peak, -math.inf
    on = state.book.at_mill.times
    left, net, hidden = _left(state, now)
    return Look(
        at=now,
        fruit=heard.get("mill/throughput"),
        fruit_taken=_fruit_taken(state),
        current=heard.get("mill/current"),
        current_peak=peak,
        water=heard.get("flume/flow"),
        juice=heard.get("juice/flow"),
        pressure=heard.get("press/pressure"),
        pressure_before=state.signals["press/pressure"].values[-2:][0] if "press/pressure" in heard else None,
        wash=heard.get("press/wash-pressure"),
        pulp=heard.get("pulp/level"),
        left=left,
        hidden=hidden,
        net=net,
        load_on=on[-1] if on else None,
        emergency_stop=heard.get("line/emergency-stop", 0.0) > 0.5,
        unheard=unheard,
    )


def _fruit_taken(state: State) -> tuple[tuple[float, float], ...]:
    """The fruit's readings that the watches have not seen yet."""
    throughput, seen = state.signals.get("mill/throughput"), state.watches.feed.lately
    if throughput is None:
        return ()
    first = bisect_right(throughput.times, seen[-1][0]) if seen else 0
    return tuple(zip(throughput.times[first:], throughput.values[first:], strict=True))


def _hear(state: State, params: LineParams, now: float) -> tuple[dict[str, float], tuple[str, ...]]:
    """The newest values that are fresh, and the signals that were heard once and are not any more."""
    signals, more = state.signals, params.watches["signal-lost"].delay
    heard, unheard = {}, []
    for meter in params.signals:
        signal = signals[meter.name]
        silent = now - signal.newest_at - _behind(state, meter.name)
        if silent <= meter.stale_after:
            heard[meter.name] = signal.newest
        elif meter.stale_after + more < silent < math.inf:
            unheard.append(meter.name)
    return heard, tuple(unheard)


def _left(state: State, now: float) -> tuple[float | None, float | None, float]:
    """kg of the load at the mill not milled yet, all of it, None where no load is known, and what may hide of it."""
    page = state.book.loads.get(state.book.at_mill.at(now))
    if page is None:
        return None, None, 0.0
    portion, net = state.attribution.portions.get(page.entry.load), page.entry.net_kg
    milled, hidden = (portion.fruit, portion.fruit_hidden) if portion else (0.0, 0.0)
    return net - page.milled - milled - _not_in_a_bin(state), net, hidden


def _not_in_a_bin(state: State) -> float:
    """kg milled since the last bin, at the rate of the last minute: bins wait for meters that fell silent."""
    end = state.ledger.end if state.ledger is not None else state.second
    return state.throughput * max(0.0, state.watches.feed.flowed_at - end)


def observe(state: State, params: LineParams, seen: Look, *, blocked: bool, starved: bool) -> Seen:
    """What decides the condition; remembers whether the mill was taking fruit, and when juice last flowed."""
    rated, fruit, juice = params.rated_throughput, seen.fruit, seen.juice
    if fruit is not None:
        before = state.milling
        state.milling = fruit > (_FRUIT_OFF if before else _FRUIT_ON) * rated
        if state.milling and not before:
            state.milling_since = seen.at
        if state.milling:
            state.throughput += (fruit - state.throughput) / (60.0 if state.throughput > 0.0 else 1.0)
    if juice is not None and juice > _JUICE_ON * rated * params.expected_yield:
        state.juiced_at = seen.at
    in_bursts = state.milling and state.juiced_at >= state.milling_since
    return Seen(
        fruit=fruit,
        juice=juice,
        wash=None if seen.wash is None else seen.wash > _WASHING,
        milling=state.milling,
        juicing=seen.at - state.juiced_at <= (_BETWEEN_BURSTS if in_bursts else _JUICE_HOLD),
        slow=state.throughput < 0.5 * rated,
        blocked=blocked,
        starved=starved,
    )
