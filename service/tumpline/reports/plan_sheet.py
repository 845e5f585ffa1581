"""What is left of a season, on paper: a calculation with its assumptions, no forecast."""

from collections.abc import Sequence

from tumpline.reports.drawing import (
    GREEN,
    INK,
    LETTER,
    SOFT,
    Box,
    Scale,
    drawing,
    legend,
    line,
    path,
    rounded_range,
    steps,
    stroke_key,
    text,
    value_axis,
)
from tumpline.reports.sheet import WIDTH, Column, Site, Tile, figure_tile, header, sheet, table, tiles
from tumpline.reports.words import Document, figure, interval, number, reason, with_interval
from tumpline.wire.markup import Html, el

_ROWS = 6


def plan_sheet(document: Document, site: Site) -> str:
    """The HTML file of a `tumpline.plan/1`."""
    coming = f"{number(document['to_come_kg'] / 1000.0)} t in {document['days']} days"
    return sheet(
        site,
        "what is left of the season",
        header(site, "What is left of the season", f"fruit to come: {coming}; in the yard: {_tonnes(document)} t"),
        tiles(_figures(document)),
        el("p", _effect(document), class_="note"),
        el("h2", "Juice of the rest of the season over the rate ", el("small", "rates this line has pressed at")),
        _curve(document),
        _outcomes(document),
        el("h2", "What this rests on"),
        el("ul", *(el("li", sentence) for sentence in document["assumptions"])),
    )


def _tonnes(document: Document) -> str:
    return number(document["waiting_kg"] / 1000.0, 1)


def _figures(document: Document) -> list[Tile]:
    now, best = document["now"], document["best"]
    rate = number(document["mean_rate_t_per_h"], 2)
    gain = f"{with_interval(document, 'gain_l')} L more" if document["gain_l"] else reason(document, "gain_l")
    return [
        Tile(f"At {rate} t/h, as so far", number(now["juice_l"]), "L", f"in {number(now['shifts'], 1)} shifts"),
        Tile("Spoilt meanwhile", number(now["spoilt_kg"]), "kg", f"over {now['days']} days"),
        figure_tile("Vats full after", document, "vats_full_after_shifts", "shifts", 1),
        figure_tile("Room in the vats", document, "room_l", "L"),
        Tile("Most juice at", number(best["rate_t_per_h"], 2), "t/h", gain),
    ]


def _effect(document: Document) -> str:
    key = "yield_change_l_per_t_per_t_per_h"
    if document[key] is None:
        return f"What the rate does to the yield is not known: {reason(document, key)}."
    return (
        f"So far {figure(document, 'yield_l_per_t')} L/t ({interval(document, 'yield_l_per_t')}) at "
        f"{number(document['mean_rate_t_per_h'], 2)} t/h, and {with_interval(document, key)} L/t with each t/h more."
    )


def _curve(document: Document) -> Html | None:
    outcomes: Sequence[Document] = document["outcomes"]
    if len(outcomes) < 2:
        return None
    box = Box(16.0, 10.0, WIDTH - 20.0, 42.0)
    juices = [outcome["juice_l"] for outcome in outcomes]
    low, high, step = rounded_range(min(juices), max(juices))
    left, right, x_step = rounded_range(outcomes[0]["rate_t_per_h"], outcomes[-1]["rate_t_per_h"], count=8)
    up, across = Scale(low, high, box.bottom, box.y), Scale(left, right, box.x, box.right)
    points = [(across(outcome["rate_t_per_h"]), up(outcome["juice_l"])) for outcome in outcomes]
    now, best = ((across(document[key]["rate_t_per_h"]), up(document[key]["juice_l"])) for key in ("now", "best"))
    return drawing(
        "plan",
        WIDTH,
        60.0,
        legend(box.x, 2.6, [stroke_key("juice of the rest of the season", stroke=GREEN, stroke_width=0.5)]),
        value_axis(box, up, step, "L"),
        *(
            text(across(rate), box.bottom + 0.9 + LETTER, f"{rate:.4g}", anchor="middle", fill=SOFT)
            for rate in steps(left, right, x_step)
        ),
        text(box.right, box.bottom + 2.0 + 2.0 * LETTER, "throughput, t/h", anchor="end", fill=SOFT),
        line(box.x, box.bottom, box.right, box.bottom, stroke=SOFT, stroke_width=0.25),
        el("path", d=path(points), fill="none", stroke=GREEN, stroke_width=0.5),
        el("circle", cx=now[0], cy=now[1], r=1.2, fill=INK),
        text(now[0], now[1] - 2.0, "as so far", anchor="middle"),
        el("circle", cx=best[0], cy=best[1], r=1.6, fill="none", stroke=INK, stroke_width=0.4),
        title="Juice of the rest of the season over the throughput, litres",
    )


def _outcomes(document: Document) -> Html:
    every = max(1, len(document["outcomes"]) // _ROWS)
    columns = (
        Column("rate, t/h", number=True),
        Column("juice, L", number=True),
        Column("pressed, t", number=True),
        Column("spoilt, kg", number=True),
        Column("shifts", number=True),
        Column("days", number=True),
        Column("vats full after, shifts", number=True),
    )
    rows = [
        (
            number(outcome["rate_t_per_h"], 2),
            number(outcome["juice_l"]),
            number(outcome["pressed_kg"] / 1000.0, 1),
            number(outcome["spoilt_kg"]),
            number(outcome["shifts"], 1),
            str(outcome["days"]),
            "" if outcome["vats_full_after_shifts"] is None else number(outcome["vats_full_after_shifts"], 1),
        )
        for outcome in document["outcomes"][::every]
    ]
    return table(columns, rows)
