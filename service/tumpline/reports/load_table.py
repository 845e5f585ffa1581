"""Loads below each other: whose fruit, how much, and what it gave, with how sure that is."""

from collections.abc import Sequence

from tumpline.pressing.comparison import Mean, difference
from tumpline.reports.drawing import shortened
from tumpline.reports.interval_plots import common_scale, interval_mark
from tumpline.reports.sheet import Column, table
from tumpline.reports.words import Document, count_of, figure, interval, number, of_load, varieties
from tumpline.wire.markup import Html, el

OWN = "yield_own_u_l_per_t"
"""Key of a load's standard uncertainty without what all loads of the shift share."""


def load_table(loads: Sequence[Document], whole: float | None, *, shown: int) -> Html:
    """The first so many of these loads; each yield is drawn beside that of the whole, in L/t."""
    left_out = loads[shown:]
    loads = loads[:shown]
    if not loads:
        return el("p", "No load was named in this shift.", class_="quiet")
    columns = (
        Column("load", short=True),
        Column("grower", short=True),
        Column("varieties", short=True),
        Column("weighed, kg", number=True),
        Column("milled, kg", number=True),
        Column("juice, L", number=True),
        Column("L/t", number=True),
        Column("95 % interval", number=True),
        Column("beside the shift's"),
        Column("dry matter, %", number=True),
    )
    scale = common_scale([load["yield_l_per_t"] for load in loads], 30.0)
    rows = [
        (
            shortened(of_load(load["load"]), 17.0),
            shortened(load["grower"], 22.0),
            shortened(varieties(load), 36.0),
            number(load["net_kg"]) if load["net_kg"] else "not weighed",
            figure(load, "fruit_kg"),
            figure(load, "juice_l"),
            figure(load, "yield_l_per_t"),
            interval(load, "yield_l_per_t"),
            interval_mark(f"load-{index}", load["yield_l_per_t"], scale, whole, own=load.get(OWN)),
            figure(load, "pomace_dry_matter_pct", 1),
        )
        for index, load in enumerate(loads)
    ]
    more = el("p", f"{count_of(len(left_out), 'more load')} in the table of this shift (CSV).", class_="quiet")
    return el("div", table(columns, rows), more if left_out else None)


def loads_compared(summary: Document) -> str:
    """
    How sure the difference between the best and the poorest load is; empty where there are no two to compare.

    What the shift's meters read wrong is in both alike and cancels: only each load's own doubt counts.
    """
    known = [load for load in summary["loads"] if load["yield_l_per_t"] and load.get(OWN) is not None]
    if len(known) < 2:
        return ""
    most, least = (pick(known, key=lambda load: float(load["yield_l_per_t"]["value"])) for pick in (max, min))
    found = difference(*(Mean(load["yield_l_per_t"]["value"], load[OWN]) for load in (most, least)))
    return (
        f"{of_load(most['load'])} gave {number(found.value)} L/t more than {of_load(least['load'])} "
        f"(95 % interval {number(found.low)} to {number(found.high)}). An error of the meters is in all loads alike "
        "and cancels between them; the thick part of a bar is what is left: loads whose thick parts do not meet differ."
    )
