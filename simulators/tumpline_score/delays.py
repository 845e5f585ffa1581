"""The learned way from mill to juice against the true one.

The truth is the mean age and the spread of age of all juice that came in undisturbed pressing up to then, weighted by
its fruit, before any sump.
"""

from __future__ import annotations

from math import sqrt
from typing import Any, NamedTuple

from tumpline.pressing.quantities import Estimate
from tumpline_score.engine import Heard
from tumpline_score.passage import Passage, Peace

AFTER_S = 3600.0


class Delay(NamedTuple):
    """What was learned after an hour of pressing, beside the truth; s."""

    mean: float
    spread: float
    true_mean: float
    true_spread: float
    learned: bool
    """False while the configured guess is still in use."""
    mean_inside: bool
    spread_inside: bool
    """Whether the truth lies in the 95 % interval stated."""


def delay(heard: Heard) -> Delay | None:
    """None where the shift was shorter, or the view does not tell."""
    at = Passage(heard.truth).pressed_for(AFTER_S)
    if at is None:
        return None
    told = next((m.residence for m in heard.minutes if m.at >= at), None)
    true = true_residence(heard.truth, until=at)
    if told is None or true is None:
        return None
    return Delay(
        told.mean.value,
        told.spread.value,
        *true,
        learned=bool(told.learned),
        mean_inside=_inside(told.mean, true[0]),
        spread_inside=_inside(told.spread, true[1]),
    )


def _inside(told: Estimate, true: float) -> bool:
    figure = told.figure(floor=0.0)
    return figure.low <= true <= figure.high


def true_residence(truth: dict[str, Any], *, until: float) -> tuple[float, float] | None:
    """Mean and standard deviation of the time from mill to juice; s."""
    peace = Peace(truth)
    rows = [r for r in truth["mill_to_juice_by_minute"] if r["mean_s"] is not None and r["at"] <= until]
    rows = [r for r in rows if peace.held(r["at"] - 60.0, r["at"])]
    fruit = sum(r["fruit_kg"] for r in rows)
    if not fruit:
        return None
    mean = sum(r["fruit_kg"] * r["mean_s"] for r in rows) / fruit
    square = sum(r["fruit_kg"] * (r["spread_s"] ** 2 + r["mean_s"] ** 2) for r in rows) / fruit
    return mean, sqrt(max(0.0, square - mean * mean))
