"""Fruit in and juice per tonne over time, as drawings with the interval, the stops and the loads.

Lines are drawn in a box of thousandths that stretches with the page; words stand outside that box, so they keep their
size.
"""

from collections.abc import Callable, Sequence

import msgspec

from tumpline.adapters.web.panels import COARSE_GAP, SIZE, Panel, Run, Span, Window, fruit, juice_per_tonne, window_of
from tumpline.adapters.web.words import Style, Words, duration
from tumpline.pressing.records import StopRecord
from tumpline.runtime.board import LineBoard
from tumpline.runtime.trend import FINE_SECONDS
from tumpline.wire.markup import Html, el, join

APART = 170
"""Thousandths of the width that a name above a drawing needs."""

Place = Callable[[float, float], tuple[int, int]]


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
    panels = [fruit(points, window, style), juice_per_tonne(points, window, style)]
    marks = [style.clock.minute(window.start + window.seconds * share) for share in (0.0, 0.5, 1.0)]
    times = el("p", *(el("span", mark) for mark in marks), class_="times", aria_hidden="true")
    cut = el("p", style.words("trend.cut"), class_="note") if any(panel.cuts for panel in panels) else None
    return join(*(_panel(panel, board, window, style, key, moment) for panel in panels), times, cut)


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
        before = x > SIZE - APART  # it ends there instead, and has to keep off the one that begins before it
        if x - taken < (2 * APART if before else APART):
            continue
        taken = x
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
