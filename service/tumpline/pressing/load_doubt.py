"""What may not be a load's at all: terms of its figures' doubt, and sentences for the summary."""

from __future__ import annotations

import math

from tumpline.pressing.attribution import Attribution, Portion
from tumpline.pressing.book import Book
from tumpline.pressing.edges import Edge, allowed
from tumpline.pressing.ledger import Ledger
from tumpline.pressing.quantities import Term, limits, normal
from tumpline.pressing.residence import BIN

_SAID = 0.005
"""Of a shift's juice, what must have come without fruit to be said: belts drip."""
_REACHED = 0.95
"""Of even limits, what a 95 % interval reaches."""


def terms(load: str, ledger: Ledger, attribution: Attribution, book: Book) -> tuple[Term, ...]:
    """Doubt of a load's fruit, kg: where its edges lie, by how much weights moved them, what is beyond its weight."""
    edges = attribution.edges.of(load)
    over = _over(load, ledger, attribution, book)
    return (
        normal("where one load ends in the flume", math.hypot(*(edge.u for edge in edges))),
        limits("an entry made late or early, by the weights", math.hypot(*(edge.moved for edge in edges))),
        limits("more milled than the load weighs", over / _REACHED),
    )


def unfounded(*portions: Portion) -> Term:
    """Doubt of juice, m³, that came when no fruit was left to give any."""
    return limits("juice with no fruit to come from", sum(portion.unfounded for portion in portions) / _REACHED)


def remarks(ledger: Ledger, attribution: Attribution, book: Book) -> list[str]:
    """What a summary says where entries and weights, or juice and fruit, do not fit together."""
    told = [_moved(edge, ledger) for edge in attribution.edges.edges if edge.moved != 0.0]
    for load, portion in attribution.portions.items():
        if _over(load, ledger, attribution, book) > 0.0:
            page = book.loads[load]
            percent = 100.0 * (page.milled + portion.fruit) / page.entry.net_kg
            told.append(
                f"Load {load} is milled to {percent:.0f} % of its weight: "
                "fruit of a load that nobody put on in the book may be in it."
            )
    portions = attribution.portions.values()
    water = sum(portion.unfounded for portion in portions)
    if water > _SAID * sum(portion.juice for portion in portions):
        told.append(
            f"The juice meter counted {1000.0 * water:.0f} L when no fruit was left to give any: "
            "it may be water, as when belts are washed."
        )
    return told


def _moved(edge: Edge, ledger: Ledger) -> str:
    load, early = edge.after, (edge.at - (ledger.start + BIN * edge.bin)) / 60.0
    if early > 0.0:
        return f"By the weights, load {load} came to the mill {early:.0f} min before its entry: it counts from there."
    return f"By the weights, load {load} came to the mill {-early:.0f} min after its entry: it counts from there."


def _over(load: str, ledger: Ledger, attribution: Attribution, book: Book) -> float:
    """
    kg of a load's fruit in this ledger that may be another's, by its weight; 0 while the mill's meter and the
    weighbridge may differ by what was milled too much.
    """
    page = book.loads.get(load)
    if page is None or not page.tickets:
        return 0.0
    net = page.entry.net_kg
    portion = attribution.portions[load]
    off, may = page.milled + portion.fruit - net, allowed(ledger, net, portion.fruit_hidden)
    return min(off + may, portion.fruit) if off > may else 0.0
