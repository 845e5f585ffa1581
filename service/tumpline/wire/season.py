"""A season: the shifts from one July to the next June, and a row for every load that was pressed in them."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from datetime import UTC, datetime
from typing import NamedTuple

from tumpline.wire.alarm_documents import season_alarms
from tumpline.wire.figures import Document, rounded_or_none
from tumpline.wire.stop_documents import stops_by
from tumpline.wire.times import from_rfc3339

SEASON = "tumpline.season/1"
_SEASON_STARTS = 7  # July: no works presses apples then
_RUNNING = 0.1
"""Share of a load's greatest throughput below which none of its fruit counts as running."""


class TracePoint(NamedTuple):
    """Computed figures of one moment; keys as in `effects.KeepFigures`, absent where unknown."""

    at: float
    figures: Mapping[str, float]


class Means(NamedTuple):
    """How a load was pressed, on average while its fruit ran; None where that was not read."""

    pressure: float | None = None
    """bar."""
    throughput: float | None = None
    """t/h."""


def season_of(at: float) -> int:
    """The year in which the season of this moment began."""
    day = datetime.fromtimestamp(at, tz=UTC)
    return day.year if day.month >= _SEASON_STARTS else day.year - 1


def season_span(year: int) -> tuple[float, float]:
    """From when (included) to when (not included) the season of this year lasts."""
    first, next_first = (datetime(y, _SEASON_STARTS, 1, tzinfo=UTC).timestamp() for y in (year, year + 1))
    return first, next_first


def load_times(summary: Document, start: float, end: float) -> dict[str, tuple[float, float]]:
    """By load: from when to when its fruit ran, as the crew wrote it, within a shift from `start` to `end`."""
    times = {}
    for load in summary.get("loads", ()):
        on, off = _at(load.get("on"), start), _at(load.get("off"), end)
        times[load["load"]] = (max(start, on), min(end, off))
    return times


def means_of(trace: Iterable[TracePoint]) -> Means:
    """How fruit was pressed over these moments, counting those in which it ran."""
    figures = [point.figures for point in trace if "throughput_t_per_h" in point.figures]
    greatest = max((f["throughput_t_per_h"] for f in figures), default=0.0)
    running = [f for f in figures if f["throughput_t_per_h"] > _RUNNING * greatest]
    return Means(_mean(running, "pressure_bar"), _mean(running, "throughput_t_per_h"))


def load_rows(summary: Document, means: Mapping[str, Means]) -> list[Document]:
    """
    The loads of a `tumpline.summary/1`, each with its shift, how it was pressed, and where its juice and pomace went.

    `means` by load; a load that is not in it has null there.
    """
    shift = {key: summary[key] for key in ("line", "shift", "start", "end")}
    rows = []
    for load in summary["loads"]:
        pressed = means.get(load["load"], Means())
        rows.append(
            {
                **shift,
                "day": summary["start"][:10],
                **load,
                "pressure_bar": rounded_or_none(pressed.pressure),
                "throughput_t_per_h": rounded_or_none(pressed.throughput),
                "vats": _parts(summary["vats"], "vat", "juice_l", load["load"]),
                "trailers": _parts(summary["trailers"], "trailer", "pomace_kg", load["load"]),
            }
        )
    return rows


def season_document(year: int, summaries: Sequence[Document], loads: Sequence[Document]) -> Document:
    """`tumpline.season/1`: every summary in the order of the shifts' ends, every load row, its stops and its alarms."""
    stops = [stop for summary in summaries for stop in summary["stops"]]
    return {
        "schema": SEASON,
        "season": year,
        "stops_by_reason": stops_by("reason", stops),
        "stops_by_condition": stops_by("condition", stops),
        "alarms": season_alarms(summaries),
        "summaries": list(summaries),
        "loads": list(loads),
    }


def _parts(whole: Iterable[Document], name: str, key: str, load: str) -> list[Document]:
    """What of these vats or trailers came from the load."""
    return [{name: one[name], key: share[key]} for one in whole for share in one["from"] if share["load"] == load]


def _mean(figures: Sequence[Mapping[str, float]], key: str) -> float | None:
    values = [f[key] for f in figures if key in f]
    return sum(values) / len(values) if values else None


def _at(text: str | None, otherwise: float) -> float:
    at = from_rfc3339(text) if text else None
    return otherwise if at is None else at
