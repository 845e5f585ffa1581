"""What each load of a shift is made of: sugar and temperature of its juice, dry matter of its fruit."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from tumpline.pressing import solids
from tumpline.pressing.attribution import Attribution, Portion
from tumpline.pressing.book import Book
from tumpline.pressing.entries import Sample
from tumpline.pressing.params import LineParams
from tumpline.pressing.quantities import Estimate, combined, limits
from tumpline.pressing.solids import (
    Anchor,
    Anchors,
    Evidence,
    anchored,
    dry_matter_of_fruit,
    from_pomace,
    sugar_from_solids,
    usual_sugar,
)

_HAND_BRIX = 0.5
"""°Bx, either way: one reading of a hand refractometer against the load's mean (common practice, no source)."""


class Making(NamedTuple):
    """What a load, or all of them together, is made of."""

    sugar: Estimate
    """°Bx of the juice."""
    sugar_known: bool
    """False where the usual range stands in for it."""
    celsius: Estimate | None
    """Temperature of the juice at the meter; None where nothing tells."""
    solids: Estimate
    """Dry matter of the fruit, kg/kg."""


def makings(
    params: LineParams, attribution: Attribution, book: Book, anchors: Mapping[str, Anchor]
) -> dict[str, Making]:
    """The makings of every load of the shift, `anchors` being what was known of the varieties before it."""
    samples, configured = list(book.samples), params.fruit_dry_matter
    after = learned_anchors(params, attribution, book, anchors)
    found: dict[str, Making] = {}
    for name, portion in attribution.portions.items():
        page = book.loads.get(name)
        entry = page.entry if page else None
        sugar = _sugar(params, portion, entry.brix if entry else None, name)
        own = solids.samples_of(samples, name, entry)
        guess = sugar.value if sugar is not None else usual_sugar(name).value
        own += _from_pomace(name, portion, samples, guess, alone=len(attribution.portions) == 1)
        fruit = dry_matter_of_fruit(name, entry.varieties if entry else (), own, after, configured, sugar)
        juice = sugar if sugar is not None else sugar_from_solids(name, fruit)
        found[name] = Making(juice, sugar is not None, _celsius(params, portion), fruit)
    return found


def learned_anchors(params: LineParams, attribution: Attribution, book: Book, anchors: Mapping[str, Anchor]) -> Anchors:
    """The anchors with the samples of this shift's loads."""
    samples = list(book.samples)
    evidence = []
    for name in attribution.portions:
        page = book.loads.get(name)
        if page is None or not page.entry.varieties:
            continue
        evidence += [Evidence(page.entry.varieties, v, u) for v, u in solids.samples_of(samples, name, page.entry)]
    return anchored(anchors, evidence, params.fruit_dry_matter)


def together(portions: Mapping[str, Portion], made: Mapping[str, Making]) -> Making:
    """The whole shift's: sugar and temperature by juice, dry matter by fruit."""
    loads = [name for name, p in portions.items() if name in made and (p.aligned > 0.0 or p.juice > 0.0)]
    if not loads:
        return Making(usual_sugar(""), False, None, dry_matter_of_fruit("", (), (), {}, None, None))
    known = [name for name in loads if made[name].sugar_known] or loads
    warm = [(made[name].celsius, portions[name].juice) for name in loads]
    told = [(c, v) for c, v in warm if c is not None]
    return Making(
        sugar=_mixed((made[name].sugar, portions[name].juice) for name in known),
        sugar_known=made[known[0]].sugar_known,
        celsius=_mixed(told) if told else None,
        solids=_mixed((made[name].solids, portions[name].aligned) for name in loads),
    )


def _mixed(parts: Iterable[tuple[Estimate, float]]) -> Estimate:
    """A mean by weights; where all weights are zero they count alike."""
    listed = list(parts)
    whole = sum(weight for _, weight in listed)
    if whole <= 0.0:
        return _mixed((part, 1.0) for part, _ in listed)
    return combined((part, weight / whole) for part, weight in listed)


def _sugar(params: LineParams, portion: Portion, told: float | None, load: str) -> Estimate | None:
    """°Bx by the refractometer on the line, else by hand when the load was weighed in."""
    meter = params.signal("juice/brix")
    if meter is not None and portion.sugar_juice > 0.0:
        value = portion.sugar / portion.sugar_juice
        return Estimate(value, (limits("accuracy of juice/brix", meter.accuracy.half_width(value)),))
    if told is not None:
        return Estimate(told, (limits(f"sugar of load {load}, read by hand", _HAND_BRIX),))
    return None


def _celsius(params: LineParams, portion: Portion) -> Estimate | None:
    meter = params.signal("juice/temperature")
    if meter is None or portion.warmth_juice <= 0.0:
        return None
    value = portion.warmth / portion.warmth_juice
    return Estimate(value, (limits("accuracy of juice/temperature", meter.accuracy.half_width(value)),))


def _from_pomace(
    name: str, portion: Portion, samples: Iterable[Sample], sugar: float, *, alone: bool
) -> list[tuple[float, float]]:
    """What oven samples of a load's pomace say of its fruit; one that names no load is of the only one there is."""
    if portion.aligned <= 0.0 or portion.juice <= 0.0:
        return []
    return [
        from_pomace(s.dry_matter_pct / 100.0, fruit=portion.aligned, juice=1050.0 * portion.juice, sugar=sugar)
        for s in samples
        if s.what == "pomace" and s.dry_matter_pct is not None and (s.load == name or (s.load is None and alone))
    ]
