"""Loads of a season taken together: by grower, variety, press setting or week, and how sure it is that they differ."""

from collections.abc import Callable, Iterable, Sequence

from msgspec import Struct

from tumpline.pressing.comparison import Batch, Mean, difference, mean_yield, pooled
from tumpline.pressing.quantities import Figure
from tumpline.reports.words import THIN, Clock, Document, number, value_of

Share = tuple[str, float]
"""What a load counts as, and how much of it does."""
_SETTING = 0.5  # bar; presses are set in such steps


class Group(Struct, frozen=True):
    """Loads of one kind. Fruit in t, juice in L, yields in L/t."""

    name: str
    loads: int
    fruit: float
    juice: float
    value: float
    mean: Mean | None
    """The yield with the uncertainty that comes from how its loads scatter; None where they are too few."""
    apart: Figure | None
    """How much more than all other loads together, with its 95 % interval; None where either are too few."""


def grouped(rows: Iterable[Document], kinds: Callable[[Document], Iterable[Share]]) -> list[Group]:
    """Groups in the order in which they appear; a load of several kinds counts for each with its share."""
    parts: list[tuple[str, Batch]] = []
    for row in rows:
        fruit, juice = value_of(row, "fruit_kg"), value_of(row, "juice_l")
        if fruit is None or juice is None or row["yield_l_per_t"] is None:
            continue
        parts += [(name, Batch(fruit * share / 1000.0, juice * share)) for name, share in kinds(row) if share > 0.0]
    return [group for name in dict.fromkeys(name for name, _ in parts) if (group := _group(name, parts)) is not None]


def _group(name: str, parts: Sequence[tuple[str, Batch]]) -> Group | None:
    own = [batch for kind, batch in parts if kind == name]
    value = pooled(own)
    if value is None:
        return None
    mean, rest = mean_yield(own), mean_yield([batch for kind, batch in parts if kind != name])
    return Group(
        name=name,
        loads=len(own),
        fruit=sum(batch.fruit for batch in own),
        juice=sum(batch.juice for batch in own),
        value=value,
        mean=mean,
        apart=difference(mean, rest) if mean is not None and rest is not None else None,
    )


def by_grower(row: Document) -> list[Share]:
    """The load's grower."""
    return [(row["grower"] or "not named", 1.0)]


def by_variety(row: Document) -> list[Share]:
    """
    Its varieties with their shares.

    A mixed load says nothing about which of its varieties gave the juice: each is given the load's yield.
    """
    return [(variety["name"], float(variety["share"])) for variety in row["varieties"]]


def by_setting(row: Document) -> list[Share]:
    """The press pressure to the nearest half bar."""
    pressure = row.get("pressure_bar")
    if pressure is None:
        return []
    return [(f"{number(_SETTING * round(pressure / _SETTING), 1)}{THIN}bar", 1.0)]


def by_week(clock: Clock) -> Callable[[Document], list[Share]]:
    """The week of the load's shift, by the calendar of the works."""
    return lambda row: [(week_of(row["start"], clock), 1.0)]


def week_of(start: str, clock: Clock) -> str:
    """`week 42`: ISO 8601, from Monday to Sunday."""
    return f"week {clock.local(start).isocalendar().week}"


def by_calendar(summaries: Iterable[Document], clock: Clock) -> dict[str, list[Document]]:
    """Shifts by their week, in the order given."""
    weeks: dict[str, list[Document]] = {}
    for summary in summaries:
        weeks.setdefault(week_of(summary["start"], clock), []).append(summary)
    return weeks


def verdict(group: Group) -> str:
    """How sure it is that these loads differ from all others, in words."""
    if group.apart is None:
        return "too few loads to say"
    if group.apart.low > 0.0:
        return "more"
    return "less" if group.apart.high < 0.0 else "not told apart"
