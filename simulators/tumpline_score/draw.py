"""Which shifts are scored: everything about a shift is drawn from the seed and the shift's number, and nothing else."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from math import exp, log
from random import Random

from tumpline_sim import Options
from tumpline_sim.sensors import EXPECTED, SENSORS

CONDITIONS = ("normal", "faults", "both")

_ALL = tuple(sensor.name for sensor in SENSORS)
_SIGNALS = {
    "expected": EXPECTED,
    "all": _ALL,
    "no-vat": tuple(name for name in _ALL if not name.startswith("vat/")),
    "some": (*EXPECTED, "mill/current", "pomace/flow", "juice/brix"),
}
_WEIGHTS = (6, 6, 4, 4)
_DRIFT_WEIGHTS = (1, 4, 3, 2)

LABELS = frozenset({"normal", "faults", "steady", "sump", "told", "auto", "biased", "unbiased", *_SIGNALS})
"""All that can be said of a shift before it is run."""

_SLOW_MIN = {"blinding": 60.0, "yield-drift": 60.0, "meter-drift": 0.0}
"""Those that need their time come first, and leave so many minutes more to themselves."""
_MACHINE = {
    "blocked": 4,
    "starved": 3,
    "hopper-bridged": 2,
    "juice-low": 3,
    "stone": 3,
    "air-lost": 3,
    "strainer": 2,
    "yield-drift": 3,
    "blinding": 1,
    "signal-lost": 2,
}
_METER = {"frozen": 2, "at-limit": 1, "air-in-meter": 1}
_BESIDE_DRIFT = {"blocked": 1, "starved": 1, "stone": 1, "air-lost": 1}
"""What may go wrong beside a drifting juice meter: nothing that touches the balance of the meters."""
_GROUPS = {"machine": 7, "meter": 1, "drift": 2}
"""How often each is drawn."""
_WATCHED = ("flume/flow", "mill/throughput", "press/pressure", "juice/flow")
_APART_MIN = 20.0


@dataclass(frozen=True, kw_only=True)
class Draw:
    """One shift to be scored."""

    number: int
    options: Options
    pump: str
    """What the settings say of the juice pump: `steady`, `on-off` or `auto`."""
    labels: frozenset[str]
    """`normal` or `faults`; `expected`, `all`, `no-vat` or `some` signals; `steady` or `sump`, `told` or `auto` of the
    pump; `biased` or `unbiased` meters."""


def draws(seed: int, *, conditions: str = "both", only: frozenset[str] = frozenset(), first: int = 0) -> Iterator[Draw]:
    """Shifts without end, from number `first`: those under `conditions` that carry every label of `only`."""
    number = first
    while True:
        found = drawn(seed, number, conditions)
        number += 1
        if only <= found.labels:
            yield found


def drawn(seed: int, number: int, conditions: str = "both") -> Draw:
    """The shift of that number."""
    rng = Random(f"{seed}/{number}")
    sump, told, unbiased, faulty = (rng.random() < share for share in (0.5, 0.5, 0.2, 0.5))
    faulty = {"normal": False, "faults": True}.get(conditions, faulty)
    hours = rng.uniform(1.8, 2.7)
    group = rng.choices(list(_GROUPS), weights=list(_GROUPS.values()))[0]
    faults = _faults(rng, hours, group)
    weights = _DRIFT_WEIGHTS if faulty and group == "drift" else _WEIGHTS
    fitted = rng.choices(list(_SIGNALS), weights=weights)[0]
    options = Options(
        seed=rng.randrange(1_000_000_000),
        hours=hours,
        rate=round(exp(rng.uniform(log(1.5), log(10.0))), 1),
        faults=faults if faulty else "none",
        life="full",
        signals=",".join(_SIGNALS[fitted]),
        sump=sump,
        unbiased=unbiased,
    )
    labels = (
        "faults" if faulty else "normal",
        fitted,
        "sump" if sump else "steady",
        "told" if told else "auto",
        "unbiased" if unbiased else "biased",
    )
    pump = ("on-off" if sump else "steady") if told else "auto"
    return Draw(number=number, options=options, pump=pump, labels=frozenset(labels))


def _faults(rng: Random, hours: float, group: str) -> str:
    """A list of faults: a slow one first, because it needs its time, then others far enough apart to be told apart."""
    usual = _BESIDE_DRIFT if group == "drift" else _MACHINE
    kinds = rng.choices(list(usual), weights=list(usual.values()), k=8)
    if group == "drift":
        kinds[0] = "meter-drift"
    elif group == "meter":
        kinds[0] = rng.choices(list(_METER), weights=list(_METER.values()))[0]
    kinds.sort(key=lambda kind: kind not in _SLOW_MIN)
    at = rng.uniform(16.0, 30.0)
    planned = []
    for kind in dict.fromkeys(kinds):
        if at > 60.0 * hours - 12.0:
            break
        sensor = f":{rng.choice(_WATCHED)}" if kind in ("frozen", "at-limit", "signal-lost") else ""
        planned.append(f"{kind}{sensor}@{at:.1f}")
        at += _APART_MIN + rng.uniform(0.0, 10.0) + _SLOW_MIN.get(kind, 0.0)
    return ",".join(planned)
