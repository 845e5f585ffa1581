"""The sheet that goes with a trailer of pomace to the farm: what is on it, and what to mind in feeding it."""

from collections.abc import Mapping, Sequence
from typing import Any

from tumpline.reports.sheet import Column, Site, figure_tile, header, sheet, table, tiles
from tumpline.reports.sums import product
from tumpline.reports.words import Clock, Document, figure, interval, number, of_load, value_of, varieties
from tumpline.wire.markup import Html, el

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


def pomace_document(summary: Document, trailer: str) -> dict[str, Any] | None:
    """`tumpline.pomace/1`: a trailer as the shift's summary left it; None where the shift filled no such trailer."""
    found = next((one for one in summary["trailers"] if one["trailer"] == trailer), None)
    if found is None:
        return None
    weighed = found["weighed_kg"]
    mass = {"value": weighed, "low": weighed, "high": weighed} if weighed else found["pomace_kg"]
    loads = {load["load"]: load for load in summary["loads"]}
    return {
        "schema": POMACE,
        **{key: summary[key] for key in ("line", "shift", "start", "end")},
        **found,
        "dry_mass_kg": product(mass, found["dry_matter_pct"], 0.01),
        "dry_mass_kg_unknown": _why(found),
        "from": [{**share, **_origin(loads.get(share["load"]))} for share in found["from"]],
        "caution": list(FEEDING),
    }


def pomace_sheet(document: Document, site: Site) -> str:
    """The HTML file of a `tumpline.pomace/1`."""
    clock = Clock(site.timezone)
    day = clock.day(document["start"])
    weighed = document["weighed_kg"] is not None
    shown = {"weighed_kg": document["weighed_kg"], "weighed_kg_unknown": "the trailer has no weigh ticket"}
    return sheet(
        f"{site.name}: pomace, trailer {document['trailer']}, {day}",
        header(site, f"Pomace, trailer {document['trailer']}", f"filled on {day}, shift {document['shift']}"),
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
        el("p", "To: ______________________    On: ______________    By: ______________________", class_="note"),
    )


def _origins(document: Document) -> Html:
    whole = value_of(document, "pomace_kg") or 0.0
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
            share["grower"],
            varieties(share),
            figure(share, "pomace_kg"),
            interval(share, "pomace_kg"),
            f"{number(100.0 * part / whole)} %" if whole and (part := value_of(share, "pomace_kg")) is not None else "",
        )
        for share in document["from"]
    ]
    return table(columns, rows)


def _origin(load: Document | None) -> Mapping[str, str | Sequence[Document]]:
    return {"grower": load["grower"], "varieties": load["varieties"]} if load else {"grower": "", "varieties": []}


def _why(trailer: Document) -> str | None:
    """Why the dry mass is not known, where it is not."""
    for key in ("pomace_kg", "dry_matter_pct"):
        if trailer[key] is None and not (key == "pomace_kg" and trailer["weighed_kg"]):
            return str(trailer.get(f"{key}_unknown"))
    return None


def _basis(document: Document, *, weighed: bool) -> str:
    mass, taken = ("the weigh ticket", ", the ticket taken as exact") if weighed else ("the works' meter", "")
    return (
        f"Dry mass is {mass} times the estimated dry matter{taken}. Dry matter is worked out from fruit, juice and "
        "sugar, not measured on this trailer; a sample dried in an oven tells it better."
    )
