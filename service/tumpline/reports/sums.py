"""
Figures of several shifts or loads added up.

The intervals take the meters to err alike in all of them, which is the worst that can be: an error that is the same
every day does not average out.
"""

from collections.abc import Iterable, Sequence

from tumpline.reports.words import Document, seconds_of

Figure = dict[str, float]
"""`value`, `low`, `high`."""
_PARTS = ("value", "low", "high")


def totals(summaries: Sequence[Document]) -> Document:
    """Fruit, juice, yield, flume water per tonne and availability of several shifts; null where not known."""
    fruit, juice, water = (total(summaries, key) for key in ("fruit_kg", "juice_l", "flume_water_l"))
    seconds = [(s["availability"], seconds_of(s["end"]) - seconds_of(s["start"])) for s in summaries]
    known = [(share, lasted) for share, lasted in seconds if share is not None]
    lasted = sum(lasted for _, lasted in known)
    return {
        "fruit_kg": fruit,
        "juice_l": juice,
        "yield_l_per_t": overall_yield(summaries),
        "water_m3_per_t": water["value"] / fruit["value"] if fruit and water and fruit["value"] > 0.0 else None,
        "availability": sum(share * s for share, s in known) / lasted if lasted > 0.0 else None,
    }


def total(parts: Iterable[Document], key: str) -> Figure | None:
    """The sum of what is known under this key; None where nothing is."""
    known = [part[key] for part in parts if part[key]]
    return {end: sum(figure[end] for figure in known) for end in _PARTS} if known else None


def overall_yield(parts: Iterable[Document]) -> Figure | None:
    """The yields of these shifts or loads weighted by their fruit, which is juice over fruit of all together."""
    known = [part for part in parts if part["fruit_kg"] and part["yield_l_per_t"]]
    fruit = sum(part["fruit_kg"]["value"] for part in known)
    if fruit <= 0.0:
        return None
    return {end: sum(p["fruit_kg"]["value"] * p["yield_l_per_t"][end] for p in known) / fruit for end in _PARTS}


def product(one: Figure | None, other: Figure | None, factor: float = 1.0) -> Figure | None:
    """one × other × factor, their relative doubts in quadrature (GUM 5.1.6); None where either is not known."""
    if one is None or other is None or not one["value"] or not other["value"]:
        return None
    value = one["value"] * other["value"] * factor
    down, up = (
        abs(value) * sum(((figure[end] - figure["value"]) / figure["value"]) ** 2 for figure in (one, other)) ** 0.5
        for end in ("low", "high")
    )
    return {"value": value, "low": max(0.0, value - down), "high": value + up}
