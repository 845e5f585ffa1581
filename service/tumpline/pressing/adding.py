"""What a vat would be with a load that waits in the yard in it: information for whoever blends, and no advice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tumpline.pressing.blend import Bounds, Juice, blend
from tumpline.pressing.book import Book
from tumpline.pressing.records import AddingRecord, Unknown, VatRecord

OF_LOADS = {"acidity": "acidity_g_per_l", "tannin": "tannin_g_per_l", "brix": "brix"}
"""Figures of juice, as a load's entry names them; g/L are kg/m³."""
_SAID = {"acidity": ("acidity", " g/L"), "tannin": ("tannin", " g/L"), "brix": ("sugar", " °Bx"), "ph": ("pH", "")}


def adding_records(
    book: Book, vat: VatRecord, *, expected_yield: float, bounds: Iterable[Bounds]
) -> tuple[AddingRecord, ...]:
    """Each load that waits, with the juice it should give (at `expected_yield` m³/kg) in a vat of known contents."""
    if isinstance(vat.held, Unknown):
        return ()
    now = Juice(volume=vat.held.value, acidity=vat.acidity, tannin=vat.tannin, brix=vat.brix)
    known = {figure: book.of_juice(name) for figure, name in OF_LOADS.items()}
    limits = tuple(bounds)
    found = []
    for name, page in book.loads.items():
        if page.on is None:
            volume = page.entry.net_kg * expected_yield
            more = Juice(volume=volume, **{figure: loads.get(name) for figure, loads in known.items()})
            found.append(_record(name, vat, volume, blend((now, more)), limits))
    return tuple(found)


def _record(load: str, vat: VatRecord, volume: float, after: Juice, bounds: Iterable[Bounds]) -> AddingRecord:
    return AddingRecord(
        load=load,
        juice=volume,
        fits=None if vat.capacity is None else after.volume <= vat.capacity,
        brix=after.brix,
        acidity=after.acidity,
        tannin=after.tannin,
        fruit_class=after.fruit_class,
        outside=tuple(outside(bounds, {figure: getattr(after, figure) for figure in OF_LOADS})),
    )


def outside(bounds: Iterable[Bounds], figures: dict[str, float | None]) -> Iterator[str]:
    """A sentence for every figure (g/L, °Bx, pH) that lies outside the site's own bounds."""
    for bound in bounds:
        value, (word, unit) = figures.get(bound.figure), _SAID[bound.figure]
        if value is None:
            continue
        its = f"Its {word} of {value:.3g}{unit} lies"
        if bound.low is not None and value < bound.low:
            yield f"{its} below the {bound.low:g}{unit} that the site wants at the least."
        if bound.high is not None and value > bound.high:
            yield f"{its} above the {bound.high:g}{unit} that the site wants at the most."
