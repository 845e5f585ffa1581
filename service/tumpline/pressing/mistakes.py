"""What cannot be so, by what the book already has: said in a sentence, so that whoever wrote it can write it right."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tumpline.pressing.entries import Dip, Draw, Entry, Load, LoadOff, LoadOn, Sample, Transfer, Vat, VatKnown
from tumpline.pressing.stock import Stock

_NAMED = 6


def mistake(
    entry: Entry, *, growers: Mapping[str, str], capacities: Mapping[str, float], stocks: Mapping[str, Stock]
) -> str | None:
    """
    What is wrong with an entry, or None. `growers` of the loads the book has, `capacities` (m³) of the vats where they
    are known, `stocks` what the vats held at the time of the entry.
    """
    match entry:
        case Load() if entry.load in growers and growers[entry.load] != entry.grower:
            return (
                f"Load {entry.load} is in the book already, from {growers[entry.load]}; "
                "another number is accepted, or a correction of that entry."
            )
        case LoadOn(load=load) | LoadOff(load=load) if load not in growers:
            return _no_load(load, growers)
        case Sample(load=str(load)) if load not in growers:
            return _no_load(load, growers)
        case (
            Vat(vat=vat, capacity_l=None, contents_l=float(litres))
            | VatKnown(vat=vat, capacity_l=None, contents_l=float(litres))
            | Dip(vat=vat, volume_l=litres)
        ):
            return _too_much(vat, litres, capacities.get(vat))
        case Draw(vat=vat, volume_l=litres):
            return _not_in_it(vat, litres, stocks.get(vat))
        case Transfer():
            there = stocks.get(entry.to_vat)
            return _not_in_it(entry.from_vat, entry.volume_l, stocks.get(entry.from_vat)) or _too_much(
                entry.to_vat, entry.volume_l, capacities.get(entry.to_vat), there if there and there.whole else None
            )
    return None


def _no_load(load: str, known: Iterable[str]) -> str:
    names = list(known)[-_NAMED:]
    there = f"the last ones are {', '.join(names)}" if names else "there is none yet"
    return f"There is no load {load} in the book; {there}. Weigh it in first, or write its number as it was weighed in."


def _too_much(vat: str, litres: float, capacity: float | None, there: Stock | None = None) -> str | None:
    """More than a vat holds, with the least that may be in it already; 0.1 % over is rounding."""
    if capacity is None:
        return None
    inside = max(0.0, there.volume.figure().low) if there else 0.0
    if litres / 1000.0 + inside <= 1.001 * capacity:
        return None
    already = f" and has about {1000.0 * inside:.0f} L in it" if inside > 0.0 else ""
    return (
        f"Vat {vat} holds {1000.0 * capacity:.0f} L{already}: {litres:.0f} L does not go in; "
        "up to what it has room for is accepted."
    )


def _not_in_it(vat: str, litres: float, stock: Stock | None) -> str | None:
    if stock is None or not stock.whole:
        return f"Nobody has said how much vat {vat} held before; write a dip of it first, then what left it."
    _, low, high = stock.volume.figure(floor=0.0)
    if litres / 1000.0 > high:
        return (
            f"Vat {vat} held {1000.0 * low:.0f} to {1000.0 * high:.0f} L, so {litres:.0f} L cannot have left it; "
            "up to that is accepted, or a dip that says more."
        )
    return None
