"""Shifts for the score's tests: made up by hand, with round numbers, and one that truly went through the engine."""

from __future__ import annotations

from functools import cache
from typing import Any

from msgspec.structs import replace

from records import LOAD, SUMMARY, VAT
from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.records import Share, Summary, Unknown
from tumpline_score.alarms import judged
from tumpline_score.delays import Delay
from tumpline_score.draw import Draw
from tumpline_score.engine import Heard, Minute, Raised, hear
from tumpline_score.figures import compared
from tumpline_score.meters import balanced
from tumpline_score.recent import Recent
from tumpline_score.scored import Scored
from tumpline_sim import Options


def draw(*labels: str, number: int = 0, **options: Any) -> Draw:
    """A shift of an hour and a half, drawn by hand."""
    chosen = frozenset(labels or {"biased", "normal", "expected", "steady", "told"})
    return Draw(number=number, options=Options(**{"hours": 1.5, **options}), pump="auto", labels=chosen)


def truth(**facts: Any) -> dict[str, Any]:
    """From 300 s to 7500 s a kilogram of fruit a second, and 0.7 L of juice from it a minute and a half later."""
    rows = [[t, *_passed(float(t))] for t in range(10, 8000, 10)]
    return {
        "fruit_kg": 7200.0,
        "juice_l": 5040.0,
        "juice_lost_l": 0.0,
        "yield_l_per_t": 700.0,
        "pomace_kg": 2000.0,
        "pomace_dry_matter_pct": 24.0,
        "end": 8000.0,
        "edges": [300.0, 7500.0],
        "gaps": [],
        "faults": [],
        "events": [],
        "dropouts": [],
        "filled": [],
        "pump_starts": [],
        "meter_biases": {"mill/throughput": {"of_reading": 0.01}, "juice/flow": {"of_reading": -0.01}},
        "passed": {"columns": ["at", "milled_kg", "juice_fruit_kg", "juice_l", "metered_l"], "rows": rows},
        "mill_to_juice_by_minute": [
            {"at": t, "fruit_kg": 60.0, "mean_s": 90.0, "spread_s": 40.0} for t in range(420, 7500, 60)
        ],
        "loads": [
            {
                "load": "L-7",
                "fruit_kg": 7200.0,
                "juice_l": 5040.0,
                "yield_l_per_t": 700.0,
                "pomace_dry_matter_pct": 24.0,
            }
            | {"juice_from": 390.0}
        ],
        "vats": [{"vat": "V1", "from": [{"load": "L-7", "juice_l": 5040.0}]}],
        **facts,
    }


def _passed(at: float) -> tuple[float, float, float, float]:
    milled = min(max(at - 300.0, 0.0), 7200.0)
    come = min(max(at - 390.0, 0.0), 7200.0)
    return milled, come, 0.7 * come, 0.7 * come


def fault(kind: str, at: float, until: float, **more: str) -> dict[str, Any]:
    """One fault of a truth."""
    return {"kind": kind, "at": at, "until": until, **more}


def _of(value: float, share: float = 0.015) -> Estimate:
    return Estimate(value, (limits("accuracy of a meter", share * value),))


def summary(**figures: Any) -> Summary:
    """The summary of that truth, every figure 1 % too high with limits of 1.5 %."""
    load = replace(
        LOAD, milled=_of(7272.0), juice=_of(5.0904), extraction=_of(7.07e-4), pomace_dry_matter=Unknown("no sample")
    )
    return replace(
        SUMMARY,
        **{
            "fruit": _of(7272.0),
            "juice": _of(5.0904),
            "extraction": _of(7.07e-4),
            "pomace": _of(2020.0),
            "pomace_dry_matter": _of(0.2424),
            "loads": (load,),
            "vats": (replace(VAT, juice=_of(5.0904), shares=(Share("L-7", _of(5.0904)),)),),
            **figures,
        },
    )


def heard(
    *,
    minutes: list[Minute] | None = None,
    raised: list[Raised] | None = None,
    of: Draw | None = None,
    told: Summary | None = None,
    **facts: Any,
) -> Heard:
    """What a service said of that shift."""
    return Heard(
        draw=of or draw(),
        summary=told or summary(),
        minutes=minutes or [],
        raised=raised or [],
        truth=truth(**facts),
    )


def score(
    of: Heard, recents: list[Recent] | None = None, delay: Delay | None = None, shown: float | None = None
) -> Scored:
    """The score of a shift made up by hand, two hours long."""
    return Scored(
        draw=of.draw,
        hours=2.0,
        compared=compared(of.summary, of.truth),
        recents=recents or [],
        delay=delay,
        balanced=balanced(of),
        alarms=judged(of),
        shown=shown,
    )


@cache
def pressed() -> Heard:
    """A shift of half an hour with a blocked mill, through the engine."""
    return hear(draw(hours=0.5, faults="blocked@12", seed=4, tidy=True, life="full"))
