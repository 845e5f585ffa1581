"""The vats as a document shows them: what went in, what they hold, whose it is and what it is like."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from typing import NamedTuple

from msgspec import structs

from tumpline.pressing.adding import OF_LOADS, adding_records, outside
from tumpline.pressing.blend import Bounds, fruit_class
from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.params import LineParams
from tumpline.pressing.quantities import Estimate, total
from tumpline.pressing.records import Holding, Known, MoveRecord, Share, Unknown, VatRecord
from tumpline.pressing.stock import Part, Stock, residence
from tumpline.pressing.vats import Pours


class Vats(NamedTuple):
    """Everything the records are made from."""

    book: Book
    pours: Pours
    stocks: dict[str, Stock]
    juice: Callable[[float], Known]
    """What so many m³ of this shift's juice are known to be."""
    expected_yield: float
    """m³/kg that a load not yet pressed should give."""
    bounds: tuple[Bounds, ...]
    """The site's own."""


def vats_of(book: Book, pours: Pours, juice: Callable[[float], Known], *, delay_u: float, params: LineParams) -> Vats:
    """The vats now; `delay_u` is the standard uncertainty of the time from a load's entry to its juice, s."""
    whole = sum(sum(stretch.parts.values()) for stretch in pours.stretches)
    metered = juice(whole)
    worth = metered.scaled(1.0 / whole) if isinstance(metered, Estimate) and whole > 0.0 else Estimate(1.0)
    pours = pours.worth(worth, delay_u)
    return Vats(book, pours, book.cellar.stocks(pours), juice, params.expected_yield, params.vat_bounds)


def vat_records(vats: Vats) -> tuple[VatRecord, ...]:
    """Every vat that got juice in this shift, or of which something was said."""
    poured = [stretch.vat for stretch in vats.pours.stretches]
    said = [name for t in vats.book.cellar.told_since_opening() for name in (t.vat, getattr(t, "to_vat", None)) if name]
    return tuple(vat_record(vats, name) for name in dict.fromkeys([*poured, *said]) if name != UNNAMED)


def vat_record(vats: Vats, name: str) -> VatRecord:
    """One vat."""
    stock = vats.stocks.get(name, Stock())
    into = vats.pours.into(name)
    figures = {
        figure: stock.figure(figure, vats.book.of_juice(OF_LOADS[figure]) if figure in OF_LOADS else {})
        for figure in (*OF_LOADS, "ph")
    }
    held = stock.volume if stock.whole else None
    record = VatRecord(
        vat=name,
        juice=vats.juice(sum(part.amount for part in into.values())),
        shares=tuple(Share(load, _part(vats, part)) for load, part in into.items()),
        contents=held.value if held else None,
        capacity=vats.book.cellar.capacities.get(name),
        brix=figures["brix"],
        acidity=figures["acidity"],
        tannin=figures["tannin"],
        ph=figures["ph"],
        fruit_class=fruit_class(figures["acidity"], figures["tannin"]),
        held=held or Unknown("nobody has said what was in it before"),
        holds=tuple(_holding(vats.book, stock, load) for load in stock.parts),
        outside=tuple(outside(vats.bounds, figures)),
    )
    added = adding_records(vats.book, record, expected_yield=vats.expected_yield, bounds=vats.bounds)
    return structs.replace(record, adding=added)


def _part(vats: Vats, part: Part) -> Known:
    metered = vats.juice(part.amount)
    return metered if isinstance(metered, Unknown) else metered.plus(*residence(part))


def by_grower(holds: Iterable[Holding]) -> dict[str, Known]:
    """m³ of each grower in what a vat holds."""
    parts: dict[str, list[Known]] = {}
    for part in holds:
        parts.setdefault(part.grower, []).append(part.amount)
    return {grower: _sum(amounts) for grower, amounts in parts.items()}


def _sum(amounts: list[Known]) -> Known:
    unknown = next((amount for amount in amounts if isinstance(amount, Unknown)), None)
    return unknown or total(amount for amount in amounts if isinstance(amount, Estimate))


def _holding(book: Book, stock: Stock, load: str) -> Holding:
    page = book.loads.get(load)
    return Holding(load, page.entry.grower if page else "", stock.part(load))


def moves(vats: Vats) -> tuple[MoveRecord, ...]:
    """Juice that left vats in this shift."""
    return tuple(
        MoveRecord(
            m.at, m.vat, m.to_vat, m.taken_by, gone.volume, tuple(Share(load, gone.part(load)) for load in gone.parts)
        )
        for m, gone in vats.book.cellar.moved(vats.pours)
    )
