"""What a grower is told at the end of a season: every load, what it gave, and where it went."""

from collections.abc import Iterable, Iterator, Sequence
from typing import Any

from tumpline.pressing.quantities import Figure
from tumpline.reports.drawing import shortened
from tumpline.reports.groups import by_grower, grouped
from tumpline.reports.interval_plots import common_scale, interval_mark
from tumpline.reports.load_table import OWN
from tumpline.reports.remarks import corrected
from tumpline.reports.sheet import Column, Site, figure_tile, gallons, header, paragraphs, sheet, table, tiles
from tumpline.reports.sums import overall_yield, total
from tumpline.reports.words import (
    Clock,
    Document,
    count_of,
    figure,
    interval,
    number,
    of_load,
    value_of,
    varieties,
)
from tumpline.wire.markup import Html, el

STATEMENT = "tumpline.statement/1"
_MARK = 24.0  # mm
_CAUGHT = 0.02  # of a load


def statement_document(season: Document, grower: str) -> dict[str, Any]:
    """`tumpline.statement/1`: this grower's loads of the season, added up, and what was corrected in them."""
    loads = [load for load in season["loads"] if load["grower"] == grower]
    weighed = [load["net_kg"] for load in loads if load["net_kg"]]
    return {
        "schema": STATEMENT,
        "season": season["season"],
        "grower": grower,
        "net_kg": sum(weighed) if weighed else None,
        "fruit_kg": total(loads, "fruit_kg"),
        "juice_l": total(loads, "juice_l"),
        "yield_l_per_t": overall_yield(loads),
        "apart_l_per_t": _apart(season["loads"], grower),
        "loads": loads,
        "corrections": list(_corrections(season["summaries"], loads, grower)),
    }


def statement(document: Document, site: Site) -> str:
    """The HTML file of a `tumpline.statement/1`."""
    clock, season = Clock(site.timezone), document["season"]
    loads: Sequence[Document] = document["loads"]
    corrections = [corrected(correction, clock) for correction in document["corrections"]]
    return sheet(
        site,
        f"statement for {document['grower']}, season {season}",
        header(site, f"Statement for {document['grower']}", f"season {season}, {count_of(len(loads), 'load')} pressed"),
        tiles(
            [
                figure_tile("Weighed in", document, "net_kg", "kg"),
                figure_tile("Milled", document, "fruit_kg", "kg"),
                figure_tile("Juice", document, "juice_l", "L"),
                figure_tile("Yield", document, "yield_l_per_t", "L/t", note=_imperial(document, site)),
            ]
        ),
        el("p", _apart_words(document), class_="note"),
        el("h2", "Loads"),
        _loads(document, clock),
        el("section", el("h2", "Corrections"), paragraphs(corrections)) if corrections else None,
        el("h2", "What the figures mean"),
        paragraphs(_MEANING),
    )


_MEANING = (
    (
        "Weighed in is the weighbridge's; milled is by the works' own meter; juice is what its juice meter gave to "
        "this fruit, by the time fruit takes through the press."
    ),
    (
        "The interval beside a figure holds the true one in 19 cases of 20. In the sums the meters are taken to err "
        "alike for all loads, which is the worst that can be. The thick part of a bar is what is in doubt about that "
        "load alone: where the thick parts of two loads do not meet, the loads differ."
    ),
    "What is not known is said so; it is never counted as nothing.",
)


def _loads(document: Document, clock: Clock) -> Html:
    loads: Sequence[Document] = document["loads"]
    whole = value_of(document, "yield_l_per_t")
    scale = common_scale([load["yield_l_per_t"] for load in loads], _MARK)
    columns = (
        Column("day", short=True),
        Column("load", short=True),
        Column("varieties", short=True),
        Column("weighed in, kg", number=True),
        Column("milled, kg", number=True),
        Column("juice, L", number=True),
        Column("L/t", number=True),
        Column("95 % interval", number=True),
        Column("beside the season's"),
        Column("juice went to"),
    )
    rows = [
        (
            f"{(day := clock.local(load['start'])).day} {day:%b}",
            of_load(load["load"]),
            shortened(varieties(load), 50.0),
            number(load["net_kg"]) if load["net_kg"] else "not weighed",
            figure(load, "fruit_kg"),
            figure(load, "juice_l"),
            figure(load, "yield_l_per_t"),
            interval(load, "yield_l_per_t"),
            interval_mark(f"load-{index}", load["yield_l_per_t"], scale, whole, own=load.get(OWN)),
            _vats(load) or "not named",
        )
        for index, load in enumerate(loads)
    ]
    sums = (figure(document, key) for key in ("net_kg", "fruit_kg", "juice_l", "yield_l_per_t"))
    return table(columns, rows, total=("", "all", "", *sums, interval(document, "yield_l_per_t"), "", ""))


def _vats(load: Document) -> str:
    """The vats that its juice went to, without those that caught only the change from one load to the next."""
    juice = value_of(load, "juice_l") or 0.0
    return ", ".join(vat["vat"] for vat in load["vats"] if (value_of(vat, "juice_l") or 0.0) > _CAUGHT * juice)


def _imperial(document: Document, site: Site) -> str:
    return gallons(document, "yield_l_per_t") if site.imperial else ""


def _apart(rows: Iterable[Document], grower: str) -> dict[str, float] | None:
    """How much more this grower's loads gave than all others, in L/t; None where there are too few to say."""
    found = next((group.apart for group in grouped(rows, by_grower) if group.name == grower), None)
    return found._asdict() if isinstance(found, Figure) else None


def _apart_words(document: Document) -> str:
    apart = document["apart_l_per_t"]
    if apart is None:
        return "There are too few loads to hold these against those of others."
    words = f"{number(abs(apart['value']))} L/t {'more' if apart['value'] >= 0.0 else 'less'} than all other loads"
    ends = f"(the difference lies between {number(apart['low'])} and {number(apart['high'])} L/t)"
    sure = "" if apart["low"] > 0.0 or apart["high"] < 0.0 else ": too little to be told from chance"
    return f"These loads together gave {words} of the season {ends}{sure}."


def _corrections(summaries: Iterable[Document], loads: Sequence[Document], grower: str) -> Iterator[Document]:
    """Corrections of these loads' entries, and of loads that were this grower's before."""
    pressed = {(load["line"], load["shift"], load["start"], load["load"]) for load in loads}
    for summary in summaries:
        shift = (summary["line"], summary["shift"], summary["start"])
        for correction in summary.get("corrections", ()):
            ours = (*shift, correction.get("load")) in pressed or correction["was"].get("grower") == grower
            if ours and correction["kind"] == "load":
                yield correction
