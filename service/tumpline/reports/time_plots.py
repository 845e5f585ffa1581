"""A shift from its first minute to its last: the yield with what is in doubt about it, and the rates behind it."""

from collections.abc import Iterator, Mapping, Sequence
from typing import NamedTuple

from tumpline.reports.drawing import (
    FAINT,
    GREEN,
    INK,
    LEAF,
    LETTER,
    RULE,
    SOFT,
    WHITE,
    Box,
    Point,
    Scale,
    area_key,
    drawing,
    fits,
    haloed,
    hatch,
    legend,
    line,
    path,
    rect,
    rounded_range,
    shortened,
    stroke_key,
    text,
    time_axis,
    value_axis,
)
from tumpline.reports.sheet import WIDTH
from tumpline.reports.words import Clock, Document, number, of_load, seconds_of
from tumpline.wire.markup import Html, el, join

Trace = Sequence[tuple[float, Mapping[str, float]]]
"""The figures kept through a shift: seconds since 1970 and what was known then, by key."""


_LEFT, _RIGHT = 11.0, 2.0
_GAP = 16.0  # s without figures, after which a curve is broken: three were missed
_DRAWN = 700  # points of a curve; more cannot be told apart on paper
_UNSURE = 3.0  # times the usual interval: too little is known then to give it room
_OUTSIDE = 0.005  # of the readings at either end may run out of the picture, or one glitch flattens it


class Span(NamedTuple):
    """A stretch of the shift with a name."""

    start: float
    end: float
    words: str


def yield_plot(summary: Document, trace: Trace, clock: Clock) -> Html:
    """Juice per tonne through the shift: ten minutes at a time with its interval, and each load as a whole."""
    box = Box(_LEFT, 13.5, WIDTH - _LEFT - _RIGHT, 44.0)
    across = _across(summary, box)
    runs = _runs(trace, ("yield_l_per_t", "yield_low", "yield_high"))
    low, high, step = rounded_range(*_yield_range(summary, runs), count=5)
    up = Scale(low, high, box.bottom, box.y)
    band = [
        path([*((across(t), up(v[1])) for t, v in run), *((across(t), up(v[2])) for t, v in reversed(run))])
        for run in runs
    ]
    curve = [path([(across(t), up(v[0])) for t, v in run]) for run in runs]
    keys = (
        stroke_key("last ten minutes", stroke=GREEN, stroke_width=0.4),
        area_key("its 95 % interval", fill=LEAF),
        stroke_key("whole load, with its 95 % interval", stroke=INK, stroke_width=0.8),
        area_key("stop", fill="url(#yield-stop)", stroke=SOFT, stroke_width=0.15),
    )
    return drawing(
        "yield",
        WIDTH,
        62.0,
        el("defs", hatch("yield-stop"), el("clipPath", rect(box), id="yield-inside")),
        legend(_LEFT, 2.6, keys),
        _load_bands(summary, box, across),
        value_axis(box, up, step, "L/t"),
        el(
            "g",
            *(el("path", d=d + "Z", fill=LEAF, fill_opacity=0.85) for d in band),
            *(el("path", d=d, fill="none", stroke=GREEN, stroke_width=0.4, stroke_linejoin="round") for d in curve),
            clip_path="url(#yield-inside)",
        ),
        _stops(summary, box, across, "yield-stop"),
        *_load_yields(summary, across, up, box),
        time_axis(box, across, clock),
        title="Yield through the shift, litres of juice per tonne of fruit",
    )


def rates_plot(summary: Document, trace: Trace, clock: Clock) -> Html:
    """Fruit into the mill above juice from the press, minute by minute, on one time axis."""
    fruit = Box(_LEFT, 6.0, WIDTH - _LEFT - _RIGHT, 18.0)
    juice = Box(_LEFT, 31.0, WIDTH - _LEFT - _RIGHT, 18.0)
    across = _across(summary, fruit)
    return drawing(
        "rates",
        WIDTH,
        53.0,
        el("defs", hatch("rates-stop")),
        *_rate(summary, trace, fruit, across, "throughput_t_per_h", "t/h", "fruit into the mill"),
        time_axis(fruit, across, clock, words=False),
        *_rate(summary, trace, juice, across, "juice_l_per_min", "L/min", "juice from the press"),
        time_axis(juice, across, clock),
        title="Fruit into the mill in tonnes per hour, and juice from the press in litres per minute",
    )


def _rate(summary: Document, trace: Trace, box: Box, across: Scale, key: str, unit: str, name: str) -> Iterator[Html]:
    runs = [_by_minute(run) for run in _runs(trace, (key,), drawn=None)]
    top = max((value for run in runs for _, value in run), default=1.0)
    low, high, step = rounded_range(0.0, max(top, 1e-3), count=3)
    up = Scale(low, high, box.bottom, box.y)
    yield rect(box, fill=WHITE)
    yield value_axis(box, up, step, unit)
    for run in runs:
        points = [(across(at), up(value)) for at, value in run]
        ground = [(points[0][0], box.bottom), *points, (points[-1][0], box.bottom)]
        yield el("path", d=path(ground) + "Z", fill=LEAF)
        yield el("path", d=path(points), fill="none", stroke=GREEN, stroke_width=0.3, stroke_linejoin="round")
    yield _stops(summary, box, across, "rates-stop")
    yield text(box.x, box.y - 1.6, name, font_weight="bold")
    if not runs:
        yield text(box.x + 2.0, box.y + 0.5 * box.height, "not known in this shift", fill=SOFT)


def _across(summary: Document, box: Box) -> Scale:
    start, end = seconds_of(summary["start"]), seconds_of(summary["end"])
    return Scale(start, max(end, start + 60.0), box.x, box.right)


def _yield_range(summary: Document, runs: Sequence[Sequence[tuple[float, tuple[float, ...]]]]) -> tuple[float, float]:
    """Room for every load and for the curve, but not for moments in which hardly anything was known."""
    ends = [load["yield_l_per_t"][end] for load in summary["loads"] if load["yield_l_per_t"] for end in ("low", "high")]
    points = [values for run in runs for _, values in run]
    usual = sorted(high - low for _, low, high in points)[len(points) // 2] if points else 0.0
    sure = [(low, high) for _, low, high in points if high - low <= _UNSURE * usual]
    lows, highs = (sorted(point[end] for point in sure) for end in (0, 1))
    if lows:
        cut = int(_OUTSIDE * len(lows))
        ends += [lows[cut], highs[-1 - cut]]
    return (min(ends), max(ends)) if ends else (600.0, 800.0)


def _runs(trace: Trace, keys: Sequence[str], drawn: int | None = _DRAWN) -> list[list[tuple[float, tuple[float, ...]]]]:
    """Unbroken stretches of the moments at which all these figures are known."""
    every = 1 if drawn is None else max(1, len(trace) // drawn)
    runs: list[list[tuple[float, tuple[float, ...]]]] = []
    before, count = float("-inf"), 0
    for at, figures in trace:
        if any(key not in figures for key in keys):
            continue
        if at - before > _GAP:
            runs.append([])
            count = 0
        before = at
        if count % every == 0:
            runs[-1].append((at, tuple(figures[key] for key in keys)))
        count += 1
    return runs


def _by_minute(run: Sequence[tuple[float, tuple[float, ...]]]) -> list[Point]:
    """Means of a minute: single readings are all noise on this scale."""
    minutes: dict[float, list[float]] = {}
    for at, (value,) in run:
        minutes.setdefault(at // 60.0, []).append(value)
    means = [(60.0 * minute + 30.0, sum(values) / len(values)) for minute, values in minutes.items()]
    return [(min(max(at, run[0][0]), run[-1][0]), mean) for at, mean in means]


def _load_spans(summary: Document) -> Iterator[tuple[Span, Document]]:
    start, end = seconds_of(summary["start"]), seconds_of(summary["end"])
    for load in summary["loads"]:
        on = seconds_of(load["on"]) if load.get("on") else start
        off = seconds_of(load["off"]) if load.get("off") else end
        span = Span(max(start, on), min(end, off), of_load(load["load"]))
        if span.end > span.start:
            yield span, load


def _load_bands(summary: Document, box: Box, across: Scale) -> Html:
    """Every other load on a tint, its name and grower above it."""
    bands: list[Html] = []
    for index, (span, load) in enumerate(_load_spans(summary)):
        left, right = across(span.start), across(span.end)
        bands.append(rect(Box(left, box.y, right - left, box.height), fill=FAINT if index % 2 == 0 else WHITE))
        bands.append(line(left, box.y - 6.5, left, box.bottom, stroke=RULE))
        name = shortened(span.words, right - left - 1.5)
        bands.append(text(left + 0.8, box.y - 4.2, name, font_weight="bold"))
        bands.append(text(left + 0.8, box.y - 1.4, shortened(load["grower"], right - left - 1.5), fill=SOFT))
    return join(*bands)


def _load_yields(summary: Document, across: Scale, up: Scale, box: Box) -> Iterator[Html]:
    for span, load in _load_spans(summary):
        found = load["yield_l_per_t"]
        if found is None:
            continue
        left, right = across(span.start), across(span.end)
        middle = 0.5 * (left + right)
        yield line(middle, up(found["low"]), middle, up(found["high"]), stroke=INK, stroke_width=0.3)
        yield line(left + 0.4, up(found["value"]), right - 0.4, up(found["value"]), stroke=INK, stroke_width=0.8)
        words = number(found["value"])
        if fits(words, right - left):
            above = up(found["value"]) - 1.2
            y = above if above - LETTER > box.y else up(found["value"]) + 1.2 + 0.8 * LETTER
            yield haloed(left + 0.9, y, words)


def _stops(summary: Document, box: Box, across: Scale, pattern: str) -> Html:
    boxes = []
    for stop in summary["stops"]:
        left = across(seconds_of(stop["start"]))
        right = across(seconds_of(stop["end"] or summary["end"]))
        area = Box(left, box.y, max(0.4, right - left), box.height)
        boxes.append(rect(area, fill=f"url(#{pattern})", stroke=SOFT, stroke_width=0.15))
    return join(*boxes)
