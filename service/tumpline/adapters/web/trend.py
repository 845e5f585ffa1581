"""The last half hour as drawings: fruit in, and juice per tonne with its interval.

Lines are drawn in a box of seconds by thousandths that stretches with the page; words stand outside that box, so they
keep their size.
"""

import math
from collections.abc import Callable, Sequence

from msgspec import Struct

from tumpline.adapters.web.words import Clock, duration, number
from tumpline.runtime.board import TREND_SECONDS, LineBoard, Stood, TrendPoint
from tumpline.wire.markup import Html, el, join

WIDTH = int(TREND_SECONDS)
HEIGHT = 1000
GAP = 16.0
"""Seconds between two points, above which the line is broken: three missed figures."""

Run = list[tuple[float, float]]


class Panel(Struct, frozen=True):
    """One drawing: what is drawn, and how it is named."""

    key: str
    name: str
    unit: str
    decimals: int
    runs: Sequence[Run]
    """Unbroken stretches of (time, value)."""
    band: Sequence[tuple[Run, Run]]
    """The interval: unbroken stretches of its lower and upper ends."""
    low: float
    high: float


def draw(board: LineBoard, clock: Clock) -> Html:
    """Heading, both drawings, and the times under them."""
    points = board.trend
    title = el("h2", "Last 30 minutes")
    if not points:
        return join(title, el("p", "No figures yet.", class_="note"))
    end = points[-1].at
    panels = [_fruit(points), _juice_per_tonne(points)]
    marks = [clock.minute(end - TREND_SECONDS * share) for share in (1.0, 0.5, 0.0)]
    times = el("p", *(el("span", mark) for mark in marks), class_="times", aria_hidden="true")
    return join(title, *(_panel(panel, board.stood, end, clock) for panel in panels), times)


def _fruit(points: Sequence[TrendPoint]) -> Panel:
    runs = _runs(points, "throughput_t_per_h")
    top = max((value for run in runs for _, value in run), default=0.0)
    return Panel("fruit", "fruit in", "t/h", 1, runs, (), 0.0, _round_up(max(top, 1.0)))


def _juice_per_tonne(points: Sequence[TrendPoint]) -> Panel:
    runs, lows, highs = (_runs(points, key) for key in ("yield_l_per_t", "yield_low", "yield_high"))
    values = [value for runs_ in (runs, lows, highs) for run in runs_ for _, value in run] or [600.0, 800.0]
    step = _round_up((max(values) - min(values)) / 4.0, at_least=25.0)
    low, high = math.floor(min(values) / step) * step, math.ceil(max(values) / step) * step
    band = list(zip(lows, highs, strict=True)) if len(lows) == len(highs) else []
    return Panel("yield", "juice per tonne", "L/t", 0, runs, band, max(0.0, low), high if high > low else low + step)


def _runs(points: Sequence[TrendPoint], key: str) -> list[Run]:
    runs: list[Run] = []
    before = -math.inf
    for point in points:
        value = point.figures.get(key)
        if value is None:
            continue
        if point.at - before > GAP:
            runs.append([])
        runs[-1].append((point.at, value))
        before = point.at
    return runs


def _round_up(value: float, *, at_least: float = 0.0) -> float:
    """The next number of 1, 2, 2.5 or 5 times a power of ten."""
    value = max(value, at_least)
    power: float = 10.0 ** math.floor(math.log10(value))
    return next(step * power for step in (1.0, 2.0, 2.5, 5.0, 10.0) if step * power >= value * (1.0 - 1e-9))


def _panel(panel: Panel, stood: Sequence[Stood], end: float, clock: Clock) -> Html:
    start = end - TREND_SECONDS

    def place(at: float, value: float) -> tuple[int, int]:
        share = (value - panel.low) / (panel.high - panel.low)
        return round(at - start), round(HEIGHT * (1.0 - min(1.0, max(0.0, share))))

    lines = el(
        "svg",
        *(_stood_box(stop, start, end) for stop in stood),
        el("path", d="M0 500H1800", class_="grid"),
        *(el("path", d=_outline(low, high, place), class_="interval") for low, high in panel.band),
        *(el("path", d=_path(run, place), class_="line") for run in panel.runs),
        viewBox=f"0 0 {WIDTH} {HEIGHT}",
        preserveAspectRatio="none",
        width="100%",
        height="100%",
        aria_hidden="true",
    )
    drawing = el(
        "svg",
        el("title", f"{panel.name.capitalize()}, {panel.unit}, last 30 minutes", id=f"{panel.key}-title"),
        el("desc", _described(panel, stood, clock), id=f"{panel.key}-desc"),
        lines,
        *(_stood_name(stop, start, end) for stop in stood if panel.key == "fruit"),
        class_="plot",
        role="img",
        aria_labelledby=f"{panel.key}-title",
        aria_describedby=f"{panel.key}-desc",
    )
    return el("div", _scale(panel), drawing, _end(panel, end, place), class_=f"panel {panel.key}")


def _scale(panel: Panel) -> Html:
    decimals = 0 if panel.high == round(panel.high) and panel.low == round(panel.low) else 1
    marks = (el("span", number(value, decimals)) for value in (panel.high, panel.low))
    return el("div", *marks, class_="scale", aria_hidden="true")


def _end(panel: Panel, end: float, place: Callable[[float, float], tuple[int, int]]) -> Html:
    """The line's name and newest value, level with where the line ends; above the drawing where there is no room."""
    last = panel.runs[-1][-1] if panel.runs else None
    if last is None or end - last[0] > GAP:
        value, level = "not known now", 40.0
    else:
        value = f"{number(last[1], panel.decimals)} {panel.unit}"
        level = min(72.0, max(18.0, place(*last)[1] / HEIGHT * 100.0))
    words = el("tspan", panel.name, x="0.4em"), el("tspan", value, x="0.4em", dy="1.2em")
    return join(
        el("svg", el("text", *words, y=f"{level:.0f}%"), class_="end", aria_hidden="true"),
        el("p", f"{panel.name}: {value}", class_="above", aria_hidden="true"),
    )


def _stood_box(stop: Stood, start: float, end: float) -> Html:
    left, right = max(start, stop.start), end if stop.end is None else min(end, stop.end)
    return el("rect", x=round(left - start), y=0, width=max(0, round(right - left)), height=HEIGHT, class_="stood")


def _stood_name(stop: Stood, start: float, end: float) -> Html | None:
    left, right = max(start, stop.start), end if stop.end is None else min(end, stop.end)
    if right - left < 0.16 * TREND_SECONDS:
        return None
    middle = (0.5 * (left + right) - start) / TREND_SECONDS
    words = f"stood {duration(right - stop.start)}"
    return el("text", words, x=f"{100 * middle:.1f}%", y="1.2em", class_="stood-name", aria_hidden="true")


def _path(run: Run, place: Callable[[float, float], tuple[int, int]]) -> str:
    """Relative steps: half the bytes of absolute places."""
    places = [place(*point) for point in run]
    (x, y), *rest = places
    steps = [f"M{x} {y}l1 0" if not rest else f"M{x} {y}"]
    for left, top in rest:
        steps.append(f"l{left - x} {top - y}")
        x, y = left, top
    return "".join(steps)


def _outline(low: Run, high: Run, place: Callable[[float, float], tuple[int, int]]) -> str:
    return _path([*low, *reversed(high)], place) + "z"


def _described(panel: Panel, stood: Sequence[Stood], clock: Clock) -> str:
    values = [value for run in panel.runs for _, value in run]
    if not values:
        return "Not known in this time."
    lowest, highest, last = (number(value, panel.decimals) for value in (min(values), max(values), values[-1]))
    stops = [
        f"stood from {clock.minute(stop.start)}" + (f" to {clock.minute(stop.end)}" if stop.end else "")
        for stop in stood
    ]
    return f"Lowest {lowest}, highest {highest}, last {last} {panel.unit}; {'; '.join(stops) or 'no stops'}."
