"""
When low juice first shows: the first reading of the juice meter that is other than it would have been without the loss.

The shift is simulated twice more, with the loss and without it and all that comes later: sensors draw from streams of
their own, so every other reading is the same. Nobody who looks at that meter could know of the loss any sooner. Behind
a sump it reads as ever until its pump stops too soon, or should have started.
"""

from __future__ import annotations

import json
from dataclasses import replace
from typing import Any

from tumpline_sim import Options, shift

_KIND = "juice-low"
_DIFFERS = 0.1
"""Share of the greater reading by which the two have to differ: more than any meter's scatter."""


def first_shown(options: Options, truth: dict[str, Any]) -> float | None:
    """Seconds since the shift began; None where there was no such loss, or it never showed while it lasted."""
    planned = options.faults.split(",")
    place = next((n for n, item in enumerate(planned) if item.startswith(f"{_KIND}@")), None)
    fault = next((fault for fault in truth["faults"] if fault["kind"] == _KIND), None)
    if place is None or fault is None:
        return None
    with_it = _juice(replace(options, faults=",".join(planned[: place + 1])))
    without = _juice(replace(options, faults=",".join(planned[:place]) or "none"))
    differ = (at for at in sorted(with_it) if _differ(with_it[at], without.get(at, with_it[at])))
    return next((at for at in differ if fault["at"] <= at <= fault["until"]), None)


def _differ(one: float, other: float) -> bool:
    return abs(one - other) > _DIFFERS * max(one, other)


def _juice(options: Options) -> dict[float, float]:
    """What the juice meter read, by the time of the reading in s since the shift began."""
    simulated = shift(replace(options, payload="senml"))
    found = {}
    for message in simulated:
        if message.topic.endswith("/signal/juice/flow"):
            (reading,) = json.loads(message.payload)
            found[round(reading["t"] - simulated.start, 3)] = float(reading["v"])
    return found
