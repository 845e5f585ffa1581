"""The sheet that goes with a trailer of pomace to the farm: what is on it, and what to mind in feeding it."""

from collections.abc import Sequence
from typing import Any

from tumpline.reports.sheet import Column, Site, figure_tile, header, sheet, table, tiles
from tumpline.reports.sums import Figure, product, total
from tumpline.reports.words import Clock, Document, figure, interval, number, of_load, value_of, varieties
from tumpline.wire.markup import Html, el
from tumpline.wire.traces import trace_trailer
from tumpline.wire.words import Refused

POMACE = "tumpline.pomace/1"

FEEDING = (
    "Rations are for your nutritionist or vet. This sheet tells mass and an estimate of dry matter, nothing else.",
    "Pomace is low in protein and is not fit as the only feed; it is fed with a source of protein and of fibre.",
    (
        "Give no urea or biuret with it to pregnant cattle: calves were born small, deformed, weak or dead in a trial "
        "(Journal of Animal Science, 1977, on apple pomace with nonprotein nitrogen for gestating beef cows)."
    ),
    "Fresh pomace heats and ferments within a day or two: feed or clamp it soon (common practice, no source).",
    "Below about 22 to 25 % dry matter a clamp runs; keep its effluent out of drains and water (common practice).",
    "Seeds hold a compound that releases cyanide, and rotten fruit brings patulin: ask your vet where much is fed.",
    (
        "Ask the works what the orchards were sprayed with, and keep this sheet: feed must be traceable one step back "
        "and one step forward (Regulation (EC) 178/2002, Article 18)."
    ),
)
"""Cautions for whoever feeds it. They defer to the nutritionist or vet, and recommend no ration."""


def pomace_document(summaries: Sequence[Document], trailer: str) -> dict[str, Any] | Refused:
    """`tumpline.pomace/1`: what a trailer carried on its last trip in these shifts; Refused where there is none."""
    trace = trace_trailer(list(map(dict, summaries)), trailer)
    if isinstance(trace, Refused):
        return trace
    trip = trace["trips"][-1]
    shifts = [(shift["line"], shift["shift"], shift["start"]) for shift in trip["shifts"]]
    filled = [
        one
        for summary in summaries
        for one in summary["trailers"]
        if one["trailer"] == trailer and (summary["line"], summary["shift"], summary["start"]) in shifts
    ]
    weighed, pomace, dry = trip["weighed_kg"], total(filled, "pomace_kg"), _dry_matter(filled)
    mass = {"value": weighed, "low": weighed, "high": weighed} if weighed else pomace
    return {
        "schema": POMACE,
        "trailer": trailer,
        "shifts": trip["shifts"],
        "taken_by": trip["taken_by"],
        "weighed_kg": weighed,
        "pomace_kg": pomace,
        "pomace_kg_unknown": filled[-1].get("pomace_kg_unknown"),
        "dry_matter_pct": dry,
        "dry_matter_pct_unknown": filled[-1].get("dry_matter_pct_unknown"),
        "dry_mass_kg": product(mass, dry, 0.01),
        "dry_mass_kg_unknown": filled[-1].get("dry_matter_pct_unknown" if mass else "pomace_kg_unknown"),
        "from": trace["loads"],
        "caution": list(FEEDING),
    }


def _dry_matter(filled: Sequence[Document]) -> Figure | None:
    """Of all shifts that filled it, weighted by what each put on; by shifts alone where that is not known."""
    known = [one for one in filled if one["dry_matter_pct"]]
    if not known:
        return None
    weights = [value_of(one, "pomace_kg") or 0.0 for one in known]
    weights = weights if sum(weights) > 0.0 else [1.0] * len(known)
    ends = ("value", "low", "high")
    return {
        end: sum(w * one["dry_matter_pct"][end] for w, one in zip(weights, known, strict=True)) / sum(weights)
        for end in ends
    }


def pomace_sheet(document: Document, site: Site) -> str:
    """The HTML file of a `tumpline.pomace/1`."""
    clock = Clock(site.timezone)
    day = clock.day(document["shifts"][0]["start"])
    shifts = ", ".join(shift["shift"] for shift in document["shifts"])
    to = document["taken_by"] or "______________________"
    weighed = document["weighed_kg"] is not None
    shown = {"weighed_kg": document["weighed_kg"], "weighed_kg_unknown": "the trailer has no weigh ticket"}
    return sheet(
        site,
        f"pomace, trailer {document['trailer']}, {day}",
        header(site, f"Pomace, trailer {document['trailer']}", f"filled from {day}, shift {shifts}"),
        tiles(
            [
                figure_tile("Weighed", shown, "weighed_kg", "kg"),
                figure_tile("By the works' meter", document, "pomace_kg", "kg"),
                figure_tile("Dry matter, estimated", document, "dry_matter_pct", "%", 1),
                figure_tile("Dry mass, estimated", document, "dry_mass_kg", "kg"),
            ]
        ),
        el("p", _basis(document, weighed=weighed), class_="note"),
        el("h2", "What it came from"),
        _origins(document),
        el("h2", "Before you feed it"),
        el("ul", *(el("li", sentence) for sentence in document["caution"])),
        el("h2", "Handed over"),
        el("p", f"To: {to}    On: ______________    By: ______________________", class_="note"),
    )


def _origins(document: Document) -> Html:
    columns = (
        Column("load"),
        Column("grower"),
        Column("varieties"),
        Column("pomace, kg", number=True),
        Column("95 % interval", number=True),
        Column("share", number=True),
    )
    rows = [
        (
            of_load(share["load"]),
            share["grower"] or "not named",
            varieties(share),
            figure(share, "pomace_kg"),
            interval(share, "pomace_kg"),
            "" if share["share_pct"] is None else f"{number(share['share_pct'])} %",
        )
        for share in document["from"]
    ]
    return table(columns, rows)


def _basis(document: Document, *, weighed: bool) -> str:
    mass, taken = ("the weigh ticket", ", the ticket taken as exact") if weighed else ("the works' meter", "")
    return (
        f"Dry mass is {mass} times the estimated dry matter{taken}. Dry matter is worked out from fruit, juice and "
        "sugar, not measured on this trailer; a sample dried in an oven tells it better."
    )
