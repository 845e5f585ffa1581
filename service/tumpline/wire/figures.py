"""Figures as documents write them: rounded once, with their interval, or null with the reason beside it."""

from __future__ import annotations

import math
from collections.abc import Mapping
from typing import Any

from tumpline.pressing.records import Known, Unknown
from tumpline.wire.times import to_rfc3339

Document = dict[str, Any]

PERCENT = 100.0
LITRES = 1000.0
"""L in a m³."""
LITRES_PER_TONNE = 1e6
"""L/t in a m³/kg."""


def rounded(value: float) -> float:
    """Six significant digits: more than any meter has, and the same text for the same figure."""
    return float(f"{value:.6g}") + 0.0  # + 0.0 makes a negative zero a zero


def rounded_or_none(value: float | None, factor: float = 1.0) -> float | None:
    """The same of a plain number that may be missing."""
    return None if value is None or not math.isfinite(value) else rounded(value * factor)


def seconds(value: float | None) -> float | None:
    """A duration to the millisecond."""
    return None if value is None else round(value, 3) + 0.0


def time_or_none(at: float | None) -> str | None:
    """A time as RFC 3339."""
    return None if at is None else to_rfc3339(at)


def figure(key: str, known: Known, factor: float = 1.0, *, floor: float = 0.0, ceiling: float = math.inf) -> Document:
    """`{key: {value, low, high}}`, or `{key: None, key_unknown: why}`; `factor` leads from SI to the key's unit."""
    if isinstance(known, Unknown):
        return {key: None, f"{key}_unknown": known.why}
    value, low, high = known.figure(factor, floor=floor, ceiling=ceiling)
    if not math.isfinite(value):
        return {key: None, f"{key}_unknown": "the readings give no number"}
    return {key: {"value": rounded(value), "low": rounded(low), "high": rounded(high)}}


def percentage(key: str, known: Known) -> Document:
    """A fraction as a figure in per cent, between 0 and 100."""
    return figure(key, known, PERCENT, ceiling=100.0)


def sources(figures: Mapping[str, Known]) -> Document:
    """Of every known figure, where its uncertainty comes from, the largest part first: meters by the signal's name."""
    return {
        key: [term.source for term in sorted(known.terms, key=lambda term: -term.u) if term.u > 0.0]
        for key, known in figures.items()
        if not isinstance(known, Unknown)
    }


def plain(key: str, value: float | None, why: str, factor: float = 1.0) -> Document:
    """A number without an interval, or null with the reason beside it."""
    number = rounded_or_none(value, factor)
    return {key: None, f"{key}_unknown": why} if number is None else {key: number}
