"""The summary's figures held against the truth, and which of them no interval could have promised."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import Known, Summary, Unknown

FIGURES = (
    "shift fruit",
    "shift juice",
    "shift yield",
    "pomace mass",
    "pomace dry matter",
    "load fruit",
    "load juice",
    "load yield",
    "load dry matter",
    "load juice in vat",
    "small share of vat",
)
_LEFT_OVER = frozenset({"pomace mass", "pomace dry matter", "load dry matter"})
"""What is reckoned as the rest of the balance."""
_OF_FRUIT = frozenset(FIGURES) - {"shift juice", "load juice", "load juice in vat", "small share of vat"}
_OF_JUICE = frozenset(FIGURES) - {"shift fruit", "load fruit"}
_SMALL = 0.05
_METER_FAULTS = frozenset({"frozen", "at-limit", "meter-drift", "air-in-meter"})


class Compared(NamedTuple):
    """One figure of one shift beside its truth."""

    figure: str
    error_pct: float | None
    """Of the truth; of a small share of a vat (under a twentieth), of all the juice in the vat. None where unknown."""
    inside: bool
    """The truth lies in the 95 % interval."""
    promised: bool
    """False where a fault lies outside what an interval can promise: a meter beyond its maker's limits, frozen or at
    its limit, and for what is left over by the balance juice that ran away unseen."""
    why: str = ""
    """Of an unknown figure."""

    @property
    def outside(self) -> bool:
        """Whether the figure was stated and the truth lies outside its interval."""
        return self.error_pct is not None and not self.inside


def compared(summary: Summary, truth: dict[str, Any]) -> list[Compared]:
    """Every figure of a summary that the truth knows."""
    broken = unpromised(truth)
    return [
        Compared(name, *_held(known, true, unit, whole), promised=name not in broken, why=getattr(known, "why", ""))
        for name, known, true, unit, whole in _pairs(summary, truth)
    ]


def unpromised(truth: dict[str, Any]) -> frozenset[str]:
    """Figures that the shift's faults put outside every promise."""
    broken: frozenset[str] = frozenset()
    for fault in truth["faults"]:
        if fault["kind"] in _METER_FAULTS:
            broken |= _touched(fault.get("signal", "juice/flow"))
        elif fault.get("how", "").startswith("leak"):
            broken |= _LEFT_OVER
    return broken


def _touched(signal: str) -> frozenset[str]:
    station = signal.split("/")[0]
    return {"mill": _OF_FRUIT, "juice": _OF_JUICE, "pomace": _LEFT_OVER}.get(station, frozenset())


def _pairs(summary: Summary, truth: dict[str, Any]) -> Iterator[tuple[str, Known, float, float, float]]:
    """Name, figure, truth in the truth's unit, that unit in SI, and what 100 % of an error is."""

    def pair(name: str, known: Known, true: float, unit: float) -> tuple[str, Known, float, float, float]:
        return name, known, true, unit, true

    yield pair("shift fruit", summary.fruit, truth["fruit_kg"], 1.0)
    yield pair("shift juice", summary.juice, truth["juice_l"], 1e-3)
    yield pair("shift yield", summary.extraction, truth["yield_l_per_t"], 1e-6)
    yield pair("pomace mass", summary.pomace, truth["pomace_kg"], 1.0)
    yield pair("pomace dry matter", summary.pomace_dry_matter, truth["pomace_dry_matter_pct"], 1e-2)
    loads = {load["load"]: load for load in truth["loads"]}
    for load in summary.loads:
        true = loads.get(load.load)
        if true is None:
            continue  # fruit that came before the book named a load
        yield pair("load fruit", load.milled, true["fruit_kg"], 1.0)
        yield pair("load juice", load.juice, true["juice_l"], 1e-3)
        yield pair("load yield", load.extraction, true["yield_l_per_t"], 1e-6)
        yield pair("load dry matter", load.pomace_dry_matter, true["pomace_dry_matter_pct"], 1e-2)
    yield from _vat_pairs(summary, truth)


def _vat_pairs(summary: Summary, truth: dict[str, Any]) -> Iterator[tuple[str, Known, float, float, float]]:
    for vat in truth["vats"]:
        true = {share["load"]: share["juice_l"] for share in vat["from"]}
        shares = next((record.shares for record in summary.vats if record.vat == vat["vat"]), ())
        told = {share.load: share.amount for share in shares if share.load}
        whole = sum(true.values())
        for load in dict.fromkeys([*told, *true]):
            amount, litres = told.get(load, Unknown("not told")), true.get(load, 0.0)
            if litres >= _SMALL * whole:
                yield "load juice in vat", amount, litres, 1e-3, litres
            else:
                yield "small share of vat", amount, litres, 1e-3, whole


def _held(known: Known, true: float, unit: float, whole: float) -> tuple[float | None, bool]:
    if not isinstance(known, Estimate):
        return None, False
    figure = known.figure(floor=0.0)
    return 100.0 * (figure.value / unit - true) / whole, figure.low <= true * unit <= figure.high
