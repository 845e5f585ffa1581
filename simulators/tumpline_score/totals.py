"""Many shifts' scores added up: one JSON document."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Sequence
from math import ceil, inf, sqrt
from statistics import fmean, pstdev
from typing import Any

from tumpline_score.alarms import DESERVES, Wrong
from tumpline_score.delays import Delay
from tumpline_score.figures import FIGURES, Compared
from tumpline_score.scored import Scored

SCHEMA = "tumpline-score/1"

GROUPS: dict[str, Callable[[frozenset[str]], bool]] = {
    "all": lambda labels: "biased" in labels,
    "expected signals": lambda labels: {"biased", "expected"} <= labels,
    "all signals": lambda labels: {"biased", "all"} <= labels,
    "steady pump": lambda labels: {"biased", "steady"} <= labels,
    "sump": lambda labels: {"biased", "sump"} <= labels,
    "without faults": lambda labels: {"biased", "normal"} <= labels,
    "with faults": lambda labels: {"biased", "faults"} <= labels,
    "unbiased meters": lambda labels: "unbiased" in labels,
}
"""Conditions a figure is looked at under. Coverage is counted where biases are drawn as the makers' limits promise;
shifts with unbiased meters show the mean error alone."""
OUTSIDE = "outside the promise"
_SHOWN_IN_JUICE = frozenset({"juice-low", "yield-drift", "blinding", "meter-drift", "air-in-meter"})
_OF_JUICE = ("steady pump", "steady pump, line filling", "sump")
_OF_FRUIT = ("no current meter", "current meter")
_DELAY_S, _SPREAD = 5.0, 0.25


def document(scores: Sequence[Scored], *, seed: int, conditions: str) -> dict[str, Any]:
    """The whole score."""
    return {
        "schema": SCHEMA,
        "seed": seed,
        "conditions": conditions,
        "shifts": len(scores),
        "hours": sum(score.hours for score in scores),
        "figures": _figures(scores),
        "recent_yield": _recent(scores),
        "residence": _residence(scores),
        "balance": _balance(scores),
        "alarms": _alarms(scores),
        "faults": _faults(scores),
        "low_juice": _low_juice(scores),
        "raised_during": _raised_during(scores),
        "false_per_100_h": _per_100_h(sum(_false(score) for score in scores), scores),
        "each": [_each(score) for score in scores],
    }


def _figures(scores: Sequence[Scored]) -> list[dict[str, Any]]:
    rows = []
    for figure in FIGURES:
        for group, belongs in GROUPS.items():
            inside = [s for s in scores if belongs(s.draw.labels)]
            found = [c for s in inside for c in s.compared if c.figure == figure and c.promised]
            rows.append({"figure": figure, "condition": group, **_compared(found)})
        found = [c for s in scores for c in s.compared if c.figure == figure and not c.promised]
        rows.append({"figure": figure, "condition": OUTSIDE, **_compared(found)})
    return rows


def _compared(found: Sequence[Compared]) -> dict[str, Any]:
    errors = [c.error_pct for c in found if c.error_pct is not None]
    inside = sum(c.inside for c in found)
    return {
        **spread_of(errors),
        "unknown": len(found) - len(errors),
        "unknown_why": dict(Counter(c.why for c in found if c.error_pct is None).most_common(3)),
        "within_3_pct": sum(abs(error) <= 3.0 for error in errors),
        "inside": inside,
        "coverage_pct": 100.0 * inside / len(errors) if errors else None,
    }


def spread_of(errors: Sequence[float]) -> dict[str, Any]:
    """Count, mean, standard deviation, root mean square and the worst of some errors; None where there are none."""
    if not errors:
        return {"n": 0, "mean_pct": None, "sd_pct": None, "rms_pct": None, "worst_pct": None}
    return {
        "n": len(errors),
        "mean_pct": fmean(errors),
        "sd_pct": pstdev(errors),
        "rms_pct": sqrt(fmean(e * e for e in errors)),
        "worst_pct": max(errors, key=abs),
    }


def _recent(scores: Sequence[Scored]) -> list[dict[str, Any]]:
    rows = []
    for when in ("steady", "new load"):
        for pump in ("steady", "sump"):
            found = [r for s in scores if pump in s.draw.labels for r in s.recents if r.when == when]
            stated = [r for r in found if r.error_pct is not None]
            rows.append(
                {
                    "when": when,
                    "pump": pump,
                    **spread_of([r.error_pct for r in stated if r.error_pct is not None]),
                    "within_1_pct": sum(abs(r.error_pct or 0.0) <= 1.0 for r in stated),
                    "plain_rms_pct": spread_of([r.plain_pct for r in found])["rms_pct"],
                    "not_stated": len(found) - len(stated),
                }
            )
    return rows


def _residence(scores: Sequence[Scored]) -> list[dict[str, Any]]:
    rows = []
    for pump in ("steady", "sump"):
        found = [s.delay for s in scores if pump in s.draw.labels and s.delay is not None]
        rows.append(
            {
                "pump": pump,
                "shifts": len(found),
                "learned": sum(d.learned for d in found),
                "mean_error_s": fmean(d.mean - d.true_mean for d in found) if found else None,
                "mean_inside": sum(d.mean_inside for d in found),
                "spread_inside": sum(d.spread_inside for d in found),
                "mean_within_5_s": sum(abs(d.mean - d.true_mean) <= _DELAY_S for d in found),
                "spread_ratio": fmean(d.spread / d.true_spread for d in found) if found else None,
                "spread_within_25_pct": sum(_near(d) for d in found),
                "worst_s": max((d.mean - d.true_mean for d in found), key=abs, default=None),
            }
        )
    return rows


def _near(delay: Delay) -> bool:
    return abs(delay.spread / delay.true_spread - 1.0) <= _SPREAD


def _balance(scores: Sequence[Scored]) -> list[dict[str, Any]]:
    rows = []
    for case in ("drift", "other", "clean"):
        for meters in ("vat level", "pomace weigher", "neither"):
            found = [s.balanced for s in scores if s.balanced.case == case and s.balanced.meters == meters]
            rows.append(
                {
                    "case": case,
                    "meters": meters,
                    "shifts": len(found),
                    "found": sum(b.found for b in found),
                    "juice_meter_named": sum((b.suspect or "").startswith("juice") for b in found),
                    "other_named": sum(bool(b.suspect) and not str(b.suspect).startswith("juice") for b in found),
                    "isolable": sum(b.isolable for b in found),
                }
            )
    return rows


def _alarms(scores: Sequence[Scored]) -> list[dict[str, Any]]:
    judged = [alarm for score in scores for alarm in score.alarms.alarms]
    wrongs = [wrong for score in scores for wrong in score.alarms.faults if wrong.found is not None]
    names = dict.fromkeys([d.alarm for d in DESERVES.values() if d.alarm] + [alarm.name for alarm in judged])
    rows = []
    for name in names:
        deserved = [w for w in wrongs if DESERVES[w.kind].alarm == name]
        verdicts = Counter(alarm.verdict for alarm in judged if alarm.name == name)
        rows.append(
            {
                "alarm": name,
                **_detected([w.found is True for w in deserved], [w.delay for w in deserved]),
                "raised": verdicts.total(),
                "again": verdicts["again"],
                "excused": verdicts["excused"],
                "false": verdicts["false"],
                "false_per_100_h": _per_100_h(verdicts["false"], scores),
            }
        )
    return rows


def _faults(scores: Sequence[Scored]) -> list[dict[str, Any]]:
    rows = []
    for kind, deserves in DESERVES.items():
        for condition in _OF_JUICE if kind in _SHOWN_IN_JUICE else _OF_FRUIT:
            wrongs = [w for _, w in _asked(scores, kind, condition)]
            if wrongs:
                told = _detected([w.found is True for w in wrongs], [w.delay for w in wrongs])
                rows.append({"fault": kind, "condition": condition, "alarm": deserves.alarm, **told})
    return rows


def _asked(scores: Sequence[Scored], kind: str, condition: str) -> list[tuple[Scored, Wrong]]:
    """The faults of a kind that were asked about under a condition, each with its shift."""
    return [
        (score, wrong)
        for score in scores
        for wrong in score.alarms.faults
        if wrong.found is not None and wrong.kind == kind and _condition(score, wrong) == condition
    ]


def _condition(score: Scored, wrong: Wrong) -> str:
    """What the time to notice a fault depends on: how juice is pumped, or whether the mill's current is measured."""
    if wrong.kind not in _SHOWN_IN_JUICE:
        return _OF_FRUIT["mill/current" in score.draw.options.signals]
    filling = wrong.kind == "juice-low" and wrong.filling
    return _OF_JUICE[2 if score.draw.options.sump else int(filling)]


def _low_juice(scores: Sequence[Scored]) -> list[dict[str, Any]]:
    """How long low juice took to show in the juice meter at all, and from there until it was told."""
    rows = []
    for condition in _OF_JUICE:
        found = [(s.shown - w.at, w.delay) for s, w in _asked(scores, "juice-low", condition) if s.shown is not None]
        shown, after = sorted(s for s, _ in found), sorted(inf if d is None else max(0.0, d - s) for s, d in found)
        rows.append(
            {
                "condition": condition,
                "n": len(found),
                "shown_p50_s": _percentile(shown, 0.5),
                "shown_p95_s": _percentile(shown, 0.95),
                "told_after_p50_s": _percentile(after, 0.5),
                "told_after_p95_s": _percentile(after, 0.95),
            }
        )
    return rows


def _detected(found: Sequence[bool], delays: Iterable[float | None]) -> dict[str, Any]:
    waited = sorted(inf if delay is None else delay for delay in delays)
    return {
        "deserved": len(found),
        "missed": len(found) - sum(found),
        "delay_p50_s": _percentile(waited, 0.5),
        "delay_p95_s": _percentile(waited, 0.95),
    }


def _percentile(values: Sequence[float], share: float) -> float | None:
    """The smallest value that `share` of them do not exceed; None where so many were missed for ever."""
    value = values[max(0, ceil(share * len(values)) - 1)] if values else inf
    return value if value < inf else None


def _raised_during(scores: Sequence[Scored]) -> list[dict[str, Any]]:
    counted = Counter((a.during, a.name, a.verdict) for s in scores for a in s.alarms.alarms)
    return [
        {"during": during, "alarm": name, "verdict": verdict, "count": count}
        for (during, name, verdict), count in sorted(counted.items())
    ]


def _false(score: Scored) -> int:
    return sum(alarm.verdict == "false" for alarm in score.alarms.alarms)


def _per_100_h(count: int, scores: Sequence[Scored]) -> float | None:
    hours = sum(score.hours for score in scores)
    return 100.0 * count / hours if hours else None


def _each(score: Scored) -> dict[str, Any]:
    options = score.draw.options
    return {
        "number": score.draw.number,
        "labels": sorted(score.draw.labels),
        "options": {
            name: getattr(options, name) for name in ("seed", "hours", "rate", "faults", "signals", "sump", "unbiased")
        },
        "outside": sorted(
            {c.figure for c in score.compared if c.promised and c.error_pct is not None and not c.inside}
        ),
        "delay": score.delay._asdict() if score.delay else None,
        "recent_rms_pct": spread_of([r.error_pct for r in score.recents if r.error_pct is not None])["rms_pct"],
        "missed": [{"fault": w.kind, "at": w.at} for w in score.alarms.faults if w.found is False],
        "false": [
            {"alarm": a.name, "at": a.at, "during": a.during} for a in score.alarms.alarms if a.verdict == "false"
        ],
    }
