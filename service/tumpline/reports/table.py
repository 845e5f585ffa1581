"""Shifts and loads as comma-separated values, a row each; figures as three columns: value, low, high."""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from typing import Any

from tumpline.reports.words import varieties
from tumpline.wire.flat import Cell, flat

_PLAIN = ("line", "shift", "start", "end")
_FIGURES = (
    "fruit_kg",
    "juice_l",
    "juice_kg",
    "yield_l_per_t",
    "mass_yield_pct",
    "pomace_kg",
    "pomace_dry_matter_pct",
    "flume_water_l",
    "potential_alcohol_pct",
)
_NUMBERS = ("availability", "effectiveness", "stops_count", "mean_time_between_stops_s", "mean_stop_s")
_PARTS = ("value", "low", "high")


def shifts_csv(summaries: Iterable[Mapping[str, Any]]) -> str:
    """A header and a row for every summary document; what is not known is an empty cell, never 0."""
    return _csv([_row(summary) for summary in summaries], _PLAIN)


def loads_csv(loads: Iterable[Mapping[str, Any]]) -> str:
    """A header and a row for every load, or part of one, with its varieties in words; empty where not known."""
    return _csv([flat(dict(load)) | {"varieties": varieties(load)} for load in loads], ("load", "grower"))


def rows_csv(documents: Iterable[Mapping[str, Any]]) -> str:
    """A header and a row for every document."""
    return _csv([flat(dict(document)) for document in documents], ())


def _csv(rows: Sequence[Mapping[str, Cell]], least: Sequence[str]) -> str:
    """These rows under all their columns, or the `least` of them where there are no rows."""
    names = list(dict.fromkeys(name for row in rows for name in row))
    text = io.StringIO()
    writer = csv.DictWriter(text, fieldnames=names or least, restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _row(summary: Mapping[str, Any]) -> dict[str, Cell]:
    row: dict[str, Cell] = {key: summary[key] for key in _PLAIN}
    for key in _FIGURES:
        figure = summary[key] or {}
        row |= {f"{key}_{part}": figure.get(part, "") for part in _PARTS}
    row |= {key: "" if summary[key] is None else summary[key] for key in _NUMBERS}
    row |= summary["time"]
    return row
