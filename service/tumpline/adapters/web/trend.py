"""Fruit in and juice per tonne over time, as drawings with the interval, the stops and the loads.

Lines are drawn in a box of thousandths that stretches with the page; words stand outside that box, so they keep their
size.
"""

import math
from collections.abc import Callable, Sequence
from enum import Enum
from statistics import median
from typing import NamedTuple

import msgspec
from msgspec import Struct

from tumpline.adapters.web.scales import si
from tumpline.adapters.web.words import Style, Words, duration
from tumpline.pressing.records import StopRecord
from tumpline.runtime.board import LineBoard
from tumpline.runtime.trend import FINE_SECONDS, LONGEST_SECONDS, TrendPoint
from tumpline.wire.markup import Html, el, join

SIZE = 1000
SETTLED = 2.0
"""Times the usual width of an interval: a wider one may be cut by the edge of the drawing, for it would flatten it."""
APART = 170
"""Thousandths of the width that a name above a drawing needs."""
FINE_GAP, COARSE_GAP = 16.0, 200.0
"""Seconds between two points, above which the line is broken: three missed figures."""

Run = list[tuple[float, float]]
Place = Callable[[float, float], tuple[int, int]]


class Span(Enum):
    """How far back a trend goes."""

    HALF_HOUR = "30min"
    TWO_HOURS = "2h"
    SHIFT = "shift"


class Window(Struct, frozen=True):
    """The stretch of time a drawing covers."""

    start: float
    end: float
    words: str
    """`last 30 minutes`."""
    gap: float = FINE_GAP
    """Seconds without a figure that break a line."""

    @property
    def seconds(self) -> float:
        """Its length."""
        return self.end - self.start

    def x(self, at: float) -> int:
        """Thousandths of the width."""
        return round(SIZE * (min(self.end, max(self.start, at)) - self.start) / self.seconds)


class Cut(NamedTuple):
    """A stretch of an interval that reaches over the edge of its drawing."""

    edge: int
    """Thousandths from the top."""
    start: float
    end: float


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

    @property
    def cuts(self) -> Sequence[Cut]:
        """Where the interval reaches over an edge of the drawing."""
        ends = (
            (0, [[at for at, value in run if value > self.high] for _, run in self.band]),
            (SIZE, [[at for at, value in run if value < self.low] for run, _ in self.band]),
        )
        return [Cut(edge, times[0], times[-1]) for edge, runs in ends for times in runs if times]


def draw(board: LineBoard, style: Style, span: Span = Span.HALF_HOUR) -> Html:
    """Both drawings, and the times under them."""
    newest = board.trend.last(0.0)
    if not newest:
        return el("p", style.words("trend.none"), class_="note")
    window = window_of(board, span, newest[-1].at, style.words)
    return drawn(board, style, window)


def drawn(board: LineBoard, style: Style, window: Window, key: str = "", moment: float | None = None) -> Html:
    """The drawings of a stretch of time, marked at `moment`; `key` sets ids apart where there are several."""
    oldest = board.trend.last(0.0)[-1].at - window.start
    if oldest > FINE_SECONDS:
        window = msgspec.structs.replace(window, gap=COARSE_GAP)
    points = [point for point in board.trend.last(oldest) if point.at <= window.end]
    panels = [_fruit(points, window, style), _juice_per_tonne(points, window, style)]
    marks = [style.clock.minute(window.start + window.seconds * share) for share in (0.0, 0.5, 1.0)]
    times = el("p", *(el("span", mark) for mark in marks), class_="times", aria_hidden="true")
    cut = el("p", style.words("trend.cut"), class_="note") if any(panel.cuts for panel in panels) else None
    return join(*(_panel(panel, board, window, style, key, moment) for panel in panels), times, cut)


def window_of(board: LineBoard, span: Span, end: float, words: Words) -> Window:
    """The stretch of time that a span means now; the shift, or the time there are figures for where it is none."""
    seconds = {Span.HALF_HOUR: FINE_SECONDS, Span.TWO_HOURS: 7200.0}.get(span)
    if seconds is None:
        began = board.live.shift_start if board.live else None
        first = board.trend.last(LONGEST_SECONDS)[0].at
        start = max(first, began) if began is not None else first
        seconds = max(FINE_SECONDS, end - start)
    return Window(end - seconds, end, words(f"span.{span.value}"))


def _fruit(points: Sequence[TrendPoint], window: Window, style: Style) -> Panel:
    scale = style.scale("t/h")
    runs = _runs(points, "throughput_t_per_h", window, lambda value: scale.of(si(value, "t/h")))
    top = max((value for run in runs for _, value in run), default=0.0)
    name = style.words("trend.fruit")
    return Panel("fruit", name, scale.unit, scale.decimals, runs, (), 0.0, _round_up(max(top, 1.0)))


def _juice_per_tonne(points: Sequence[TrendPoint], window: Window, style: Style) -> Panel:
    scale = style.scale("L/t")
    keys = ("yield_l_per_t", "yield_low", "yield_high")
    runs, lows, highs = (_runs(points, key, window, lambda value: scale.of(si(value, "L/t"))) for key in keys)
    band = list(zip(lows, highs, strict=True)) if len(lows) == len(highs) else []
    least, most = _settled(runs, band) or (scale.of(6e-4), scale.of(8e-4))
    step = _round_up((most - least) / 4.0, at_least=_round_up(scale.of(2.5e-5)))
    low, high = math.floor(least / step) * step, math.ceil(most / step) * step
    high = high if high > low else low + step
    name = style.words("trend.yield-imperial" if style.imperial else "trend.yield")
    return Panel("yield", name, scale.unit, scale.decimals, runs, band, max(0.0, low), high)


def _settled(runs: Sequence[Run], band: Sequence[tuple[Run, Run]]) -> tuple[float, float] | None:
    """What a scale has to reach: the figures with their intervals, but for those that are far wider than usual."""
    ends = [(low, high) for lows, highs in band for (_, low), (_, high) in zip(lows, highs, strict=True)]
    if not ends:
        values = [value for run in runs for _, value in run]
        return (min(values), max(values)) if values else None
    usual = median(high - low for low, high in ends)
    settled = [(low, high) for low, high in ends if high - low <= SETTLED * usual]
    return min(low for low, _ in settled), max(high for _, high in settled)


def _runs(points: Sequence[TrendPoint], key: str, window: Window, shown: Callable[[float], float]) -> list[Run]:
    runs: list[Run] = []
    before = -math.inf
    for point in points:
        value = point.figures.get(key)
        if value is None:
            continue
        if point.at - before > window.gap:
            runs.append([])
        runs[-1].append((point.at, shown(value)))
        before = point.at
    return runs


def _round_up(value: float, *, at_least: float = 0.0) -> float:
    """The next number of 1, 2, 2.5 or 5 times a power of ten."""
    value = max(value, at_least)
    power: float = 10.0 ** math.floor(math.log10(value))
    return next(step * power for step in (1.0, 2.0, 2.5, 5.0, 10.0) if step * power >= value * (1.0 - 1e-9))


def _panel(panel: Panel, board: LineBoard, window: Window, style: Style, key: str, moment: float | None) -> Html:
    words, id_ = style.words, f"{key}{panel.key}"

    def place(at: float, value: float) -> tuple[int, int]:
        share = (value - panel.low) / (panel.high - panel.low)
        return window.x(at), round(SIZE * (1.0 - min(1.0, max(0.0, share))))

    stops = [stop for stop in board.stops if stop.end is None or stop.end > window.start]
    lots = [lot for lot in board.book.lots if lot.on is not None and window.start < lot.on < window.end]
    lines = el(
        "svg",
        *(_stood_box(stop, window) for stop in stops),
        el("path", d="M0 500H1000", class_="grid"),
        *(el("path", d=f"M{window.x(lot.on or 0.0)} 0V1000", class_="mark") for lot in lots),
        None if moment is None else el("path", d=f"M{window.x(moment)} 0V1000", class_="moment"),
        *(el("path", d=_outline(low, high, place), class_="interval") for low, high in panel.band),
        *(el("path", d=_path(run, place), class_="line") for run in panel.runs),
        *(el("path", d=f"M{window.x(c.start)} {c.edge}H{window.x(c.end) + 1}", class_="cut") for c in panel.cuts),
        viewBox=f"0 0 {SIZE} {SIZE}",
        preserveAspectRatio="none",
        width="100%",
        height="100%",
        aria_hidden="true",
    )
    title = words("trend.drawing", name=panel.name[:1].upper() + panel.name[1:], unit=panel.unit, span=window.words)
    if panel.key == "fruit":
        names = [(window.x(stop.start), _stood(stop, window, words)) for stop in stops]
    else:
        names = [(window.x(lot.on or 0.0), f"{lot.entry.load}, {lot.entry.grower}") for lot in lots]
    drawing = el(
        "svg",
        el("title", title, id=f"{id_}-title"),
        el("desc", _described(panel, stops, style), id=f"{id_}-desc"),
        lines,
        class_="plot",
        role="img",
        aria_labelledby=f"{id_}-title",
        aria_describedby=f"{id_}-desc",
    )
    drawn = el("div", _scale(panel, words), drawing, _end(panel, window, place, words), class_=f"panel {panel.key}")
    return join(_names(names), drawn)


def _stood(stop: StopRecord, window: Window, words: Words) -> str:
    return words("trend.stood", duration=duration((window.end if stop.end is None else stop.end) - stop.start))


def _scale(panel: Panel, words: Words) -> Html:
    decimals = 0 if panel.high == round(panel.high) and panel.low == round(panel.low) else 1
    marks = (el("span", words.number(value, decimals)) for value in (panel.high, panel.low))
    return el("div", *marks, class_="scale", aria_hidden="true")


def _end(panel: Panel, window: Window, place: Place, words: Words) -> Html:
    """The line's name and newest value, level with where the line ends; above the drawing where there is no room."""
    last = panel.runs[-1][-1] if panel.runs else None
    if last is None or window.end - last[0] > window.gap:
        value, level = words("trend.not-known-now"), 30.0
    else:
        value = f"{words.number(last[1], panel.decimals)} {panel.unit}"
        level = min(55.0, max(0.0, place(*last)[1] / SIZE * 100.0 - 18.0))
    push = el("svg", width=1, height=f"{level:.0f}%")
    return join(
        el("div", push, el("p", panel.name), el("p", value), class_="end", aria_hidden="true"),
        el("p", f"{panel.name}: {value}", class_="above", aria_hidden="true"),
    )


def _stood_box(stop: StopRecord, window: Window) -> Html:
    left, right = window.x(stop.start), SIZE if stop.end is None else window.x(stop.end)
    return el("rect", x=left, y=0, width=max(0, right - left), height=SIZE, class_="stood")


def _names(names: Sequence[tuple[int, str]]) -> Html | None:
    """Words above a drawing, each beginning at its place in thousandths of the width; of those too close, the first."""
    shown: list[Html] = []
    taken = -APART
    for x, text in sorted(names):
        if x - taken < APART:
            continue
        taken = x
        before = x > SIZE - APART
        push = el("svg", height=1, width=f"{(SIZE - x if before else x) / 10:.1f}%")
        shown.append(el("p", push, el("span", text), class_="before" if before else None))
    return el("div", *shown, class_="names", aria_hidden="true") if shown else None


def _path(run: Run, place: Place) -> str:
    """Relative steps: half the bytes of absolute places."""
    places = [place(*point) for point in run]
    (x, y), *rest = places
    steps = [f"M{x} {y}l1 0" if not rest else f"M{x} {y}"]
    for left, top in rest:
        steps.append(f"l{left - x} {top - y}")
        x, y = left, top
    return "".join(steps)


def _outline(low: Run, high: Run, place: Place) -> str:
    return _path([*low, *reversed(high)], place) + "z"


def _described(panel: Panel, stops: Sequence[StopRecord], style: Style) -> str:
    words, clock = style.words, style.clock
    values = [value for run in panel.runs for _, value in run]
    if not values:
        return words("trend.not-known")
    lowest, highest, last = (words.number(value, panel.decimals) for value in (min(values), max(values), values[-1]))
    stood = [
        words("trend.stood-from", start=clock.minute(stop.start), end=clock.minute(stop.end))
        if stop.end is not None
        else words("trend.stood-since", start=clock.minute(stop.start))
        for stop in stops
    ]
    told = "; ".join(stood) or words("trend.no-stops")
    said = words("trend.range", low=lowest, high=highest, last=last, unit=panel.unit, stops=told)
    return f"{said} {words('trend.cut')}" if panel.cuts else said
