"""The vats of a shift that is over, as what the book says now makes them."""

from __future__ import annotations

from collections.abc import Set

from msgspec import structs

from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.cellar_records import Vats, vat_record
from tumpline.pressing.entries import Dip, Entry, Sample, Vat, VatKnown
from tumpline.pressing.params import LineParams
from tumpline.pressing.records import Summary, VatRecord


def vats_in(entry: Entry) -> set[str]:
    """The vats that an entry speaks of, where it is one that moves no juice from vat to vat."""
    match entry:
        case Vat(vat=vat) | VatKnown(vat=vat) | Dip(vat=vat) | Sample(vat=str(vat)):
            return {vat}
        case _:
            return set()


def vats_anew(summary: Summary, book: Book, params: LineParams, names: Set[str]) -> tuple[VatRecord, ...] | None:
    """
    The shift's vats with those of these names reckoned anew; the others stay as they were told.

    None where the shift had nothing to do with them, or where its juice is no longer known stretch by stretch.
    """
    cellar = book.cellar
    starts = ((pours, pours.stretches[0].since) for pours in cellar.pours if pours.stretches)
    pours = next((p for p, since in starts if summary.start <= since <= summary.end), None)
    if pours is None:
        return None
    before = {vat.vat: vat for vat in summary.vats}
    now = dict.fromkeys(stretch.vat for stretch in pours.stretches if stretch.vat != UNNAMED)
    if names.isdisjoint({*before, *now}):
        return None
    said = {telling.vat for telling in cellar.told if summary.start <= telling.at <= summary.end}
    stocks = cellar.stocks_then(summary.end)
    vats = Vats(book, pours, stocks, pours.meter.scaled, params.expected_yield, params.vat_bounds)
    kept = [name for name in dict.fromkeys([*before, *now]) if name not in names or name in now or name in said]
    return tuple(
        structs.replace(vat_record(vats, name), adding=()) if name in names else before[name]
        for name in kept
        if name in names or name in before
    )
