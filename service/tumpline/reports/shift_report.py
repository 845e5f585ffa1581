"""The report of a shift: two pages to pin on the wall."""

from collections.abc import Iterator

from tumpline.reports.balance_picture import balance_picture, balance_words
from tumpline.reports.bars import pareto, stop_bars
from tumpline.reports.drawing import shortened
from tumpline.reports.load_table import load_table, loads_compared
from tumpline.reports.remarks import basis, doubt, remarks
from tumpline.reports.sheet import (
    HALF,
    WIDTH,
    Column,
    Site,
    Tile,
    caution,
    figure_tile,
    gallons,
    header,
    paragraphs,
    sheet,
    side_by_side,
    table,
    tiles,
)
from tumpline.reports.time_plots import Trace, rates_plot, yield_plot
from tumpline.reports.vat_picture import vats_picture
from tumpline.reports.words import (
    Clock,
    Document,
    count_of,
    duration,
    number,
    value_of,
)
from tumpline.wire.markup import Child, Html, el

_LOADS_SHOWN = 11
_STOPS_SHOWN = 4


def shift_report(summary: Document, trace: Trace, site: Site) -> str:
    """The HTML file of a shift's summary document and the figures kept through it; prints on two A4 pages."""
    clock = Clock(site.timezone)
    title = f"Shift {shortened(summary['shift'], 40.0)}, {clock.day(summary['start'])}"
    return sheet(
        site,
        title,
        el("section", *_first_page(summary, trace, site, clock, title), class_="page"),
        el("section", *_second_page(summary, site, clock), class_="page"),
    )


def _first_page(summary: Document, trace: Trace, site: Site, clock: Clock, title: str) -> Iterator[Child]:
    crew = shortened(f", crew: {', '.join(summary['crew'])}", 90.0) if summary.get("crew") else ""
    when = clock.span(summary["start"], summary["end"])
    yield header(site, title, f"{summary['line']}, {when}{crew}")
    yield tiles(_figures(summary, site))
    yield el("h2", "Yield through the shift ", el("small", "litres of juice per tonne of the fruit it came from"))
    yield yield_plot(summary, trace, clock)
    yield el("h2", "Fruit in, juice out ", el("small", "means of a minute"))
    yield rates_plot(summary, trace, clock)
    yield el("h2", "Loads")
    yield load_table(summary["loads"], value_of(summary, "yield_l_per_t"), shown=_LOADS_SHOWN)
    yield paragraphs(filter(None, (loads_compared(summary), basis(summary))))


def _figures(summary: Document, site: Site) -> list[Tile]:
    available = summary["availability"]
    running = Tile(
        "Running",
        None if available is None else number(100.0 * available),
        "% of the shift",
        count_of(summary["stops_count"], "stop") if available is not None else summary.get("availability_unknown", ""),
    )
    return [
        figure_tile(
            "Yield", summary, "yield_l_per_t", "L/t", note=gallons(summary, "yield_l_per_t") if site.imperial else ""
        ),
        figure_tile("Fruit", summary, "fruit_kg", "kg"),
        figure_tile("Juice", summary, "juice_l", "L"),
        figure_tile("Pomace dry matter", summary, "pomace_dry_matter_pct", "%", 1),
        figure_tile("Potential alcohol", summary, "potential_alcohol_pct", "% vol", 1),
        running,
    ]


def _second_page(summary: Document, site: Site, clock: Clock) -> Iterator[Child]:
    running = f"Shift {shortened(summary['shift'], 40.0)}, {clock.day(summary['start'])}"
    yield el("p", f"{site.name}: {running}" if site.name else running, class_="running")
    yield el("h2", "Stops ", el("small", "stretches of not pressing longer than a minute"))
    stops = summary["stops"]
    reasons = stop_bars(stops, "reason", unnamed="no reason given")
    conditions = stop_bars(stops, "condition", unnamed="not known")
    yield side_by_side(
        pareto("reasons", "By reason", reasons, HALF),
        pareto("conditions", "By what the line was doing", conditions, HALF),
    )
    yield _stops(summary, clock)
    yield el("h2", "Vats ", el("small", "as the shift left them, by load"))
    yield vats_picture(summary, WIDTH)
    yield el(
        "h2",
        "Mass balance ",
        el("small", "the meters held against each other; bold is the best estimate of all together"),
    )
    yield balance_picture(summary, WIDTH)
    yield el("p", balance_words(summary), class_="note")
    yield doubt(summary)
    yield remarks(summary, clock)
    yield caution(summary["caution"])


def _stops(summary: Document, clock: Clock) -> Html | None:
    longest = sorted(summary["stops"], key=lambda stop: -(stop["duration_s"] or float("inf")))[:_STOPS_SHOWN]
    if not longest:
        return None
    columns = (Column("from"), Column("lasted"), Column("line was"), Column("reason"), Column("note"), Column("by"))
    rows = [
        (
            clock.minute(stop["start"]),
            "not over" if stop["duration_s"] is None else duration(stop["duration_s"]),
            stop["condition"],
            stop["reason"] or "no reason given",
            shortened(stop["note"] or "", 60.0),
            stop["by"] or "",
        )
        for stop in sorted(longest, key=lambda stop: str(stop["start"]))
    ]
    return table(columns, rows)
