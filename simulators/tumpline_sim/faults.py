"""What goes wrong, when, and what it does to the line. Faults only change causes; the physics shows the effects."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass, field
from math import exp, inf
from random import Random


@dataclass
class Effects:
    """What the faults of this second change; as built, nothing."""

    feed: float = 1.0
    """Share of the fruit that gets to the mill."""
    flume: float = 1.0
    flume_stopped: bool = False
    mill_current: float | None = None
    """Times the running current, where a jam or a trip decides it."""
    mill_spike: float = 1.0
    juice_lost: float = 0.0
    """Share of the juice that runs away before the meter."""
    cloth: float = 1.0
    air: float = 1.0
    juice_meter: float = 1.0
    juice_meter_noise: float = 0.0
    """Scatter of the juice meter besides its own, as a share of the reading."""
    pulp_held: bool = False
    """Milled fruit bridges in its hopper and nothing gets to the press."""
    mill_load: float = 1.0
    """Times the current that this fruit would need."""
    mill_stopped: bool = False
    belts: float = 1.0
    wash: float = 1.0
    stands: bool = False
    """All from the mill to the pomace conveyor stands still with what is in it."""
    trailer_change: bool = False
    silent: set[str] = field(default_factory=set)
    frozen: set[str] = field(default_factory=set)
    at_limit: set[str] = field(default_factory=set)


Act = Callable[[float, Effects], None]
"""Change the effects, given the seconds since the fault began."""


@dataclass
class Fault:
    """One fault: `lasts` seconds from when it begins; `at` is set then."""

    kind: str
    planned: float
    lasts: float
    act: Act
    signal: str | None = None
    how: str | None = None
    at: float | None = None
    felt: float | None = None
    """When its effect was there to be noticed, of those that set in slowly."""


def _blocked(rng: Random) -> tuple[float, Act, str | None]:
    collapse, jammed, high = rng.uniform(1.0, 4.0), rng.uniform(2.0, 4.0), rng.uniform(1.5, 2.5)
    crew_stops, lasts, lead = rng.uniform(20.0, 60.0), rng.uniform(240.0, 480.0), rng.uniform(15.0, 25.0)

    def act(since: float, effects: Effects) -> None:
        effects.feed = min(effects.feed, max(0.0, 1.0 - since / collapse))
        # The crew has the mill and the water running again a little before the fruit is back.
        if since < lasts - lead:
            effects.mill_current = high if since < jammed else 0.0
            effects.flume_stopped = effects.flume_stopped or since > crew_stops

    return lasts, act, None


def _starved(rng: Random) -> tuple[float, Act, str | None]:
    lasts, fall, rest = rng.uniform(180.0, 480.0), rng.uniform(5.0, 20.0), rng.uniform(0.0, 0.06)
    flume_fails, water = rng.random() < 0.5, rng.uniform(0.2, 0.45)

    def act(since: float, effects: Effects) -> None:
        effects.feed = min(effects.feed, max(rest, 1.0 - since / fall))
        if flume_fails:
            effects.flume = min(effects.flume, max(water, 1.0 - since / fall))

    return lasts, act, "flume pump" if flume_fails else "elevator"


def _juice_low(rng: Random) -> tuple[float, Act, str | None]:
    lasts, lost, cloth, leak = rng.uniform(300.0, 720.0), rng.uniform(0.25, 0.4), rng.uniform(0.6, 0.72), rng.random()

    def act(since: float, effects: Effects) -> None:
        if leak < 0.5:
            effects.juice_lost = min(lost, lost * since / 5.0)
        else:
            effects.cloth = min(effects.cloth, cloth)

    return lasts, act, "leak before the meter" if leak < 0.5 else "cloth suddenly blinded"


def _signal_lost(rng: Random) -> tuple[float, Act, str | None]:
    return rng.uniform(60.0, 300.0), lambda _since, _effects: None, None


def _frozen(rng: Random) -> tuple[float, Act, str | None]:
    return rng.uniform(120.0, 360.0), lambda _since, _effects: None, None


def _stone(rng: Random) -> tuple[float, Act, str | None]:
    high = rng.uniform(2.2, 3.0)

    def act(_since: float, effects: Effects) -> None:
        effects.mill_spike = high

    return rng.uniform(0.3, 0.9), act, None


def _air_lost(rng: Random) -> tuple[float, Act, str | None]:
    rest, sag = rng.uniform(0.55, 0.75), rng.uniform(60.0, 120.0)

    def act(since: float, effects: Effects) -> None:
        effects.air = rest + (1.0 - rest) * exp(-since / sag)

    return rng.uniform(240.0, 600.0), act, None


def _blinding(rng: Random) -> tuple[float, Act, str | None]:
    lasts, worst = rng.uniform(2400.0, 3600.0), rng.uniform(0.78, 0.86)

    def act(since: float, effects: Effects) -> None:
        effects.cloth = min(effects.cloth, 1.0 - (1.0 - worst) * since / lasts)

    return lasts, act, None


def _strainer(rng: Random) -> tuple[float, Act, str | None]:
    lasts, worst = rng.uniform(900.0, 1800.0), rng.uniform(0.4, 0.6)

    def act(since: float, effects: Effects) -> None:
        effects.flume = min(effects.flume, 1.0 - (1.0 - worst) * since / lasts)

    return lasts, act, None


def _meter_drift(rng: Random) -> tuple[float, Act, str | None]:
    end, over = rng.choice((-0.03, 0.03)), rng.uniform(1800.0, 3600.0)

    def act(since: float, effects: Effects) -> None:
        effects.juice_meter = 1.0 + end * min(1.0, since / over)

    return inf, act, None


def _yield_drift(rng: Random) -> tuple[float, Act, str | None]:
    over = rng.uniform(300.0, 900.0)

    def act(since: float, effects: Effects) -> None:
        effects.cloth = min(effects.cloth, 1.0 - (1.0 - _A_TENTH_LESS) * min(1.0, since / over))

    return inf, act, "cloth slowly blinded until a tenth of the juice is left in the pomace"


def _hopper_bridged(rng: Random) -> tuple[float, Act, str | None]:
    lasts, fall, of_pulp = rng.uniform(120.0, 360.0), rng.uniform(5.0, 15.0), rng.random() < 0.5

    def act(since: float, effects: Effects) -> None:
        if of_pulp:
            effects.pulp_held = True
        else:
            effects.feed = min(effects.feed, max(0.0, 1.0 - since / fall))

    return lasts, act, "pulp hopper" if of_pulp else "fruit hopper"


def _air_in_meter(rng: Random) -> tuple[float, Act, str | None]:
    high, noise = rng.uniform(1.03, 1.1), rng.uniform(0.04, 0.1)

    def act(_since: float, effects: Effects) -> None:
        effects.juice_meter *= high
        effects.juice_meter_noise = noise

    return rng.uniform(300.0, 1200.0), act, None


def _at_limit(rng: Random) -> tuple[float, Act, str | None]:
    return rng.uniform(120.0, 600.0), lambda _since, _effects: None, None


KINDS: dict[str, Callable[[Random], tuple[float, Act, str | None]]] = {
    "blocked": _blocked,
    "starved": _starved,
    "juice-low": _juice_low,
    "signal-lost": _signal_lost,
    "stone": _stone,
    "air-lost": _air_lost,
    "blinding": _blinding,
    "strainer": _strainer,
    "meter-drift": _meter_drift,
    "frozen": _frozen,
    "yield-drift": _yield_drift,
    "hopper-bridged": _hopper_bridged,
    "air-in-meter": _air_in_meter,
    "at-limit": _at_limit,
}
_AT_RANDOM = tuple(KINDS)[:10]
_OF_A_SENSOR = frozenset({"signal-lost", "frozen", "at-limit"})
_NEEDS_FRUIT = frozenset({"blocked", "starved", "juice-low", "stone", "frozen", "hopper-bridged", "at-limit"})
_NEEDS_A_GAP = frozenset({"washing"})
_STOPS_THE_LINE = frozenset({"break", "standstill", "trailer-change", "washing"})
_SLOW_S = 1500.0
_ONE_SENSOR = ", ".join(sorted(_OF_A_SENSOR))
_STEADY_S = 60.0


_A_TENTH_LESS = 0.896  # openness of the cloth that costs about a tenth of the juice


class FaultListError(ValueError):
    """A list of faults that cannot be read; the message says what would be accepted."""


def plan_faults(rng: Random, text: str, *, signals: Sequence[str], first: float, last: float) -> list[Fault]:
    """The faults `text` asks for; `random` spreads some over `first` to `last` (s)."""
    if text == "none":
        return []
    if text == "random":
        count = max(2, round(1.5 * (last - first) / 3600.0))
        slot = (last - first) / count
        often = range(count // len(_AT_RANDOM) + 1)
        kinds = [kind for _ in often for kind in rng.sample(list(_AT_RANDOM), len(_AT_RANDOM))]
        times = [first + slot * (n + rng.uniform(0.1, 0.6)) for n in range(count)]
        return [_fault(rng, kind, at, None, signals) for kind, at in zip(kinds, times, strict=False)]
    return sorted((_parse(rng, item.strip(), signals) for item in text.split(",")), key=lambda f: f.planned)


def _parse(rng: Random, item: str, signals: Sequence[str]) -> Fault:
    what, _, minutes = item.partition("@")
    kind, _, signal = what.partition(":")
    if kind not in KINDS:
        raise FaultListError(f"fault {item!r}: {kind!r} is not a fault; one of {', '.join(KINDS)}")
    if signal and (kind not in _OF_A_SENSOR or signal not in signals):
        raise FaultListError(f"fault {item!r}: only {_ONE_SENSOR} take a signal, one of {', '.join(signals)}")
    try:
        at = float(minutes) * 60.0
    except ValueError:
        at = -1.0
    if not 0.0 <= at < inf:
        raise FaultListError(f"fault {item!r}: write kind@minutes with minutes from the start, such as blocked@35")
    return _fault(rng, kind, at, signal or None, signals)


def _fault(rng: Random, kind: str, at: float, signal: str | None, signals: Sequence[str]) -> Fault:
    lasts, act, how = KINDS[kind](rng)
    chosen = rng.choice(list(signals))
    return Fault(kind, at, lasts, act, (signal or chosen) if kind in _OF_A_SENSOR else None, how)


class Troubles:
    """What happens in a shift as it goes, faults and the day's other events.

    One that needs fruit waits until the mill has run a minute, one that needs a gap until a load has run out; and
    nobody stops the line of his own accord while something short is wrong.
    """

    def __init__(self, planned: Sequence[Fault]) -> None:
        self._pending = list(planned)
        self.begun: list[Fault] = []

    def step(self, now: float, *, milling_s: float, between_loads: bool) -> Effects:
        """What is different in this second."""
        effects = Effects()
        lasting = [fault for fault in self.begun if now - (fault.at or 0.0) < fault.lasts]
        for fault in list(self._pending):
            if fault.planned <= now and _ready(fault, lasting, milling_s, between_loads):
                fault.at = now
                self._pending.remove(fault)
                self.begun.append(fault)
                lasting.append(fault)
        for fault in lasting:
            fault.act(now - (fault.at or 0.0), effects)
            if fault.signal:
                silenced = {"signal-lost": effects.silent, "frozen": effects.frozen, "at-limit": effects.at_limit}
                silenced[fault.kind].add(fault.signal)
        return effects

    def feel(self, kind: str, now: float) -> None:
        """Note that the effect of the faults of a kind is there."""
        for fault in self.begun:
            if fault.kind == kind and fault.felt is None and now - (fault.at or 0.0) < fault.lasts:
                fault.felt = now


def _ready(fault: Fault, lasting: Sequence[Fault], milling_s: float, between_loads: bool) -> bool:
    if fault.kind in _STOPS_THE_LINE and any(other.lasts < _SLOW_S for other in lasting):
        return False
    if fault.kind in _NEEDS_A_GAP:
        return between_loads
    return milling_s >= _STEADY_S or fault.kind not in _NEEDS_FRUIT
