"""The score as tables for people."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Any

from tumpline_score.figures import FIGURES
from tumpline_score.totals import GROUPS, OUTSIDE

Row = Sequence[object]


def text(document: dict[str, Any], *, each: bool) -> str:
    """Every table, one under the other; with `each`, what went wrong shift by shift."""
    parts = [
        f"{document['shifts']} shifts, {document['hours']:.0f} h, seed {document['seed']}, {document['conditions']}",
        _figures(document["figures"]),
        _by_condition(document["figures"]),
        _recent(document["recent_yield"]),
        _residence(document["residence"]),
        _balance(document["balance"]),
        _alarms(document["alarms"], document["false_per_100_h"]),
        _faults(document["faults"]),
        _low_juice(document["low_juice"]),
        _raised(document["raised_during"]),
    ]
    return "\n\n".join(parts + ([_each(document["each"])] if each else [])) + "\n"


def table(title: str, head: Row, rows: Iterable[Row]) -> str:
    """Columns as wide as they need to be: words to the left, numbers to the right."""
    cells = [[_cell(value) for value in row] for row in (head, *rows)]
    if len(cells) == 1:
        return f"{title}\n  nothing to tell"
    widths = [max(len(row[n]) for row in cells) for n in range(len(head))]
    left = [any(isinstance(row[n], str) for row in rows) for n in range(len(head))] if isinstance(rows, list) else []
    lines = [
        "  ".join(
            cell.ljust(width) if n < len(left) and left[n] else cell.rjust(width)
            for n, (cell, width) in enumerate(zip(row, widths, strict=True))
        ).rstrip()
        for row in cells
    ]
    return "\n".join([title, *(f"  {line}" for line in lines)])


def _cell(value: object) -> str:
    if value is None:
        return "-"
    return f"{value:.2f}" if isinstance(value, float) else str(value)


def _figures(rows: list[dict[str, Any]]) -> str:
    return table(
        "Figures against truth (meters biased within their limits)",
        ("figure", "n", "unknown", "mean %", "sd %", "worst %", "within 3 %", "inside", "coverage %"),
        [
            (
                r["figure"],
                r["n"],
                r["unknown"],
                r["mean_pct"],
                r["sd_pct"],
                r["worst_pct"],
                r["within_3_pct"],
                r["inside"],
                r["coverage_pct"],
            )
            for r in rows
            if r["condition"] == "all"
        ],
    )


def _by_condition(rows: list[dict[str, Any]]) -> str:
    """Coverage with its count by condition; of unbiased meters and broken promises the mean error."""
    by = {(r["figure"], r["condition"]): r for r in rows}
    groups = [name for name in GROUPS if name not in ("all", "unbiased meters")]

    def covered(row: dict[str, Any]) -> str:
        return "-" if row["coverage_pct"] is None else f"{row['coverage_pct']:.1f} ({row['n']})"

    def mean(row: dict[str, Any]) -> str:
        return "-" if row["mean_pct"] is None else f"{row['mean_pct']:+.3f} ({row['n']})"

    return table(
        "Coverage % (n) by condition; mean error % (n) with unbiased meters, and where nothing was promised",
        ("figure", *groups, "unbiased: mean", f"{OUTSIDE}: mean"),
        [
            (
                figure,
                *(covered(by[figure, group]) for group in groups),
                mean(by[figure, "unbiased meters"]),
                mean(by[figure, OUTSIDE]),
            )
            for figure in FIGURES
        ],
    )


def _recent(rows: list[dict[str, Any]]) -> str:
    return table(
        "Ten-minute yield, the meters' bias taken out",
        ("when", "pump", "n", "not stated", "mean %", "rms %", "worst %", "within 1 %", "plain ratio rms %"),
        [
            (
                r["when"],
                r["pump"],
                r["n"],
                r["not_stated"],
                r["mean_pct"],
                r["rms_pct"],
                r["worst_pct"],
                r["within_1_pct"],
                r["plain_rms_pct"],
            )
            for r in rows
        ],
    )


def _residence(rows: list[dict[str, Any]]) -> str:
    return table(
        "Learned way from mill to juice after an hour of pressing",
        (
            "pump",
            "shifts",
            "learned",
            "mean error s",
            "worst s",
            "within 5 s",
            "inside",
            "spread ratio",
            "within 25 %",
            "inside",
        ),
        [
            (
                r["pump"],
                r["shifts"],
                r["learned"],
                r["mean_error_s"],
                r["worst_s"],
                r["mean_within_5_s"],
                r["mean_inside"],
                r["spread_ratio"],
                r["spread_within_25_pct"],
                r["spread_inside"],
            )
            for r in rows
        ],
    )


def _balance(rows: list[dict[str, Any]]) -> str:
    return table(
        "Balance of the meters",
        ("case", "besides", "shifts", "found", "juice meter named", "other named", "isolable"),
        [
            (
                r["case"],
                r["meters"],
                r["shifts"],
                r["found"],
                r["juice_meter_named"],
                r["other_named"],
                r["isolable"],
            )
            for r in rows
        ],
    )


def _alarms(rows: list[dict[str, Any]], false_per_100_h: float | None) -> str:
    return table(
        f"Alarms ({_cell(false_per_100_h)} false per 100 h all together)",
        ("alarm", "deserved", "missed", "p50 s", "p95 s", "raised", "again", "excused", "false", "false/100 h"),
        [
            (
                r["alarm"],
                r["deserved"],
                r["missed"],
                r["delay_p50_s"],
                r["delay_p95_s"],
                r["raised"],
                r["again"],
                r["excused"],
                r["false"],
                r["false_per_100_h"],
            )
            for r in rows
        ],
    )


def _faults(rows: list[dict[str, Any]]) -> str:
    return table(
        "Faults and the alarm each deserves",
        ("fault", "condition", "alarm", "deserved", "missed", "p50 s", "p95 s"),
        [
            (
                r["fault"],
                r["condition"],
                r["alarm"],
                r["deserved"],
                r["missed"],
                r["delay_p50_s"],
                r["delay_p95_s"],
            )
            for r in rows
        ],
    )


def _low_juice(rows: list[dict[str, Any]]) -> str:
    return table(
        "Low juice: until the juice meter first reads other than without it, and from there until it is told",
        ("condition", "n", "shows p50 s", "p95 s", "told after p50 s", "p95 s"),
        [
            (
                r["condition"],
                r["n"],
                r["shown_p50_s"],
                r["shown_p95_s"],
                r["told_after_p50_s"],
                r["told_after_p95_s"],
            )
            for r in rows
        ],
    )


def _raised(rows: list[dict[str, Any]]) -> str:
    return table(
        "What was raised during what",
        ("during", "alarm", "verdict", "count"),
        [(r["during"], r["alarm"], r["verdict"], r["count"]) for r in rows],
    )


def _each(rows: list[dict[str, Any]]) -> str:
    told = []
    for r in rows:
        wrong = [f"outside: {', '.join(r['outside'])}"] if r["outside"] else []
        wrong += [f"missed {m['fault']} at {m['at']:.0f} s" for m in r["missed"]]
        wrong += [f"false {f['alarm']} at {f['at']:.0f} s ({f['during']})" for f in r["false"]]
        if wrong:
            told.append(f"  shift {r['number']} ({', '.join(r['labels'])}): {'; '.join(wrong)}")
    return "\n".join(["Shift by shift", *(told or ["  nothing to tell"])])
