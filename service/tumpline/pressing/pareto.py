"""Where the time went: stops ranked by what they have in common, the longest first."""

from __future__ import annotations

from collections.abc import Iterable
from typing import NamedTuple


class Lost(NamedTuple):
    """One stop, as far as ranking it goes."""

    name: str | None
    """Its reason, or its condition; None where nobody has given one."""
    seconds: float
    fruit: float | None
    """kg not pressed; None where the rate before was not known."""


class Rank(NamedTuple):
    """All stops of one name."""

    name: str | None
    stops: int
    seconds: float
    share: float
    """Of the time of all stops, 0 to 1."""
    cumulative: float
    """The same of this and all before it."""
    fruit: float | None
    """kg; None where it is not known of every one of them."""


def pareto(stops: Iterable[Lost]) -> list[Rank]:
    """The names by the time their stops took together; equal ones by name, and what has no name last of these."""
    groups: dict[str | None, list[Lost]] = {}
    for stop in stops:
        groups.setdefault(stop.name, []).append(stop)
    whole = sum(stop.seconds for group in groups.values() for stop in group)
    ranks: list[Rank] = []
    so_far = 0.0
    for name, group in sorted(groups.items(), key=_place):
        seconds = sum(stop.seconds for stop in group)
        so_far += seconds
        known = [stop.fruit for stop in group if stop.fruit is not None]
        fruit = sum(known) if len(known) == len(group) else None
        share, cumulative = (seconds / whole, so_far / whole) if whole > 0.0 else (0.0, 0.0)
        ranks.append(Rank(name, len(group), seconds, share, cumulative, fruit))
    return ranks


def _place(group: tuple[str | None, list[Lost]]) -> tuple[float, bool, str]:
    name, stops = group
    return -sum(stop.seconds for stop in stops), name is None, name or ""
