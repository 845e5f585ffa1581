"""The report of a season: what the fruit gave, by whose and how it was pressed, and where the hours went."""

from collections.abc import Iterable, Iterator, Sequence

from tumpline.pressing.charts import Individuals
from tumpline.pressing.comparison import slope
from tumpline.reports.groups import (
    Group,
    by_calendar,
    by_grower,
    by_setting,
    by_variety,
    by_week,
    grouped,
    verdict,
    week_of,
)
from tumpline.reports.interval_plots import common_scale, interval_mark
from tumpline.reports.season_hours import alarm_words, hours
from tumpline.reports.season_plots import Dot, control_chart, rate_plot
from tumpline.reports.sheet import (
    Column,
    Site,
    Tile,
    caution,
    figure_tile,
    gallons,
    header,
    sheet,
    side_by_side,
    table,
    tiles,
)
from tumpline.reports.sums import totals
from tumpline.reports.words import Clock, Document, count_of, duration, number, percent, value_of
from tumpline.wire.markup import Child, Html, el

_BY_CHANCE = (
    "More or less means that the 95 % interval of the difference does not hold nought. Of twenty differences that are "
    "none, one looks so by chance."
)
_MARK = 34.0  # mm, of an interval in a table
_SCATTER = "intervals tell how loads scatter; what the meters read wrong is in all of them alike"


def season_report(season: Document, site: Site) -> str:
    """The HTML file of a `tumpline.season/1` document with at least one shift."""
    clock = Clock(site.timezone)
    summaries, rows = season["summaries"], season["loads"]
    first, last = clock.day(summaries[0]["start"]), clock.day(summaries[-1]["end"])
    said = f"{first} to {last}: {count_of(len(summaries), 'shift')}, {count_of(len(rows), 'load')}"
    return sheet(
        site,
        f"season {season['season']}",
        header(site, f"Season {season['season']}", said),
        tiles(_figures(totals(summaries), site)),
        *_shifts(summaries, rows, clock),
        *_groups("Growers", grouped(rows, by_grower), _SCATTER),
        *_groups("Varieties", grouped(rows, by_variety), "a mixed load gives each of its varieties its own yield"),
        *_groups("Press setting", grouped(rows, by_setting), "mean press pressure while the load ran, to half a bar"),
        el("p", _BY_CHANCE, class_="note"),
        *_rates(rows),
        *hours(summaries, clock),
        alarm_words(summaries),
        caution(summaries[-1]["caution"]),
    )


def _figures(whole: Document, site: Site) -> list[Tile]:
    water, available = whole["water_m3_per_t"], whole["availability"]
    imperial = gallons(whole, "yield_l_per_t") if site.imperial else ""
    tonnes = {"t": {end: v / 1000.0 for end, v in whole["fruit_kg"].items()} if whole["fruit_kg"] else None}
    return [
        figure_tile("Yield", whole, "yield_l_per_t", "L/t", note=imperial),
        figure_tile("Fruit", tonnes, "t", "t", 1),
        figure_tile("Juice", whole, "juice_l", "L"),
        Tile("Flume water", None if water is None else number(water, 1), "m³/t", "moved past each tonne of fruit"),
        Tile("Running", None if available is None else number(100.0 * available), "% of the shifts", ""),
    ]


def _shifts(summaries: Sequence[Document], rows: Iterable[Document], clock: Clock) -> Iterator[Child]:
    """Every shift on a control chart, and the weeks in a table."""
    known = [summary for summary in summaries if summary["yield_l_per_t"]]
    weeks = {group.name: group for group in grouped(rows, by_week(clock))}
    yield el("h2", "Yield, shift by shift ", el("small", "individuals chart, limits from how much neighbours differ"))
    if len(known) > 1:
        chart = Individuals()
        for summary in known:
            chart.update(summary["yield_l_per_t"]["value"])
        dots = [Dot(summary["yield_l_per_t"], week_of(summary["start"], clock)) for summary in known]
        yield control_chart(dots, chart.limits(), chart.mean, {name: group.value for name, group in weeks.items()})
    yield _weeks(summaries, weeks, clock)


def _weeks(summaries: Sequence[Document], weeks: dict[str, Group], clock: Clock) -> Html:
    columns = (
        Column("week"),
        Column("shifts", number=True),
        Column("loads", number=True),
        Column("fruit, t", number=True),
        Column("juice, L", number=True),
        Column("L/t", number=True),
        Column("95 % interval", number=True),
        Column("flume water, m³/t", number=True),
        Column("running", number=True),
        Column("stops", number=True),
        Column("stopped for", number=True),
    )
    rows = []
    for week, shifts in by_calendar(summaries, clock).items():
        group, whole = weeks.get(week), totals(shifts)
        stops = [stop for shift in shifts for stop in shift["stops"]]
        rows.append(
            (
                week,
                str(len(shifts)),
                str(group.loads) if group else "0",
                number(group.fruit, 1) if group else "",
                number(group.juice) if group else "",
                number(group.value) if group else "",
                _interval(group),
                "" if whole["water_m3_per_t"] is None else number(whole["water_m3_per_t"], 1),
                percent(whole["availability"]),
                str(len(stops)),
                duration(sum(stop["duration_s"] or 0.0 for stop in stops)),
            )
        )
    return table(columns, rows)


def _groups(title: str, groups: Sequence[Group], remark: str = "") -> Iterator[Child]:
    """A table of groups, the highest yield first; each with how sure it is that it differs from the rest."""
    if len(groups) < 2:
        return
    groups = sorted(groups, key=lambda group: -group.value)
    figures = [group.mean.figure()._asdict() if group.mean else None for group in groups]
    scale = common_scale(figures, _MARK)
    whole = sum(group.juice for group in groups) / sum(group.fruit for group in groups)
    columns = (
        Column(title.lower()),
        Column("loads", number=True),
        Column("fruit, t", number=True),
        Column("L/t", number=True),
        Column("95 % interval", number=True),
        Column("beside all loads"),
        Column("apart from the others, L/t", number=True),
        Column("which is"),
    )
    rows = [
        (
            group.name,
            str(group.loads),
            number(group.fruit, 1),
            number(group.value),
            _interval(group),
            interval_mark(f"{title}-{index}".replace(" ", "-"), figures[index], scale, whole),
            "" if group.apart is None else _signed(group),
            verdict(group),
        )
        for index, group in enumerate(groups)
    ]
    yield el("section", el("h2", f"{title} ", el("small", remark)), table(columns, rows))


def _interval(group: Group | None) -> str:
    if group is None or group.mean is None:
        return "too few loads"
    figure = group.mean.figure()
    return f"{number(figure.low)} to {number(figure.high)}"


def _signed(group: Group) -> str:
    """`+12 (3 to 21)`."""
    if group.apart is None:
        return ""
    value, low, high = group.apart
    return f"{'+' if round(value) > 0 else ''}{number(value)} ({number(low)} to {number(high)})"


def _rates(rows: Iterable[Document]) -> Iterator[Child]:
    """What the rate does to the yield: from the loads as they ran, so other things may lie behind it."""
    points = [
        (float(row["throughput_t_per_h"]), value)
        for row in rows
        if row.get("throughput_t_per_h") is not None and (value := value_of(row, "yield_l_per_t")) is not None
    ]
    if len(points) < 2:
        return
    found = slope(points)
    if found is None:
        fit, words = None, "The loads ran at too much the same rate to say what another would give."
    else:
        x, y = (sum(point[axis] for point in points) / len(points) for axis in (0, 1))
        fit = (y - found.value * x, found.value)
        words = (
            f"One t/h more went with {number(found.value)} L/t (95 % interval {number(found.low)} to "
            f"{number(found.high)}). Loads were pressed as they came: fruit, pressure and cloth differed too, so this "
            "is what was seen together, not what the rate alone does."
        )
    yield el(
        "section",
        el("h2", "Throughput and litres per tonne ", el("small", "a ring for every load")),
        side_by_side(rate_plot(points, fit), el("p", words, class_="note")),
    )
