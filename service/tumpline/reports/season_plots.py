"""A season drawn: shift after shift, where the hours went, and what the rate does to the yield."""

from collections.abc import Sequence

from msgspec import Struct

from tumpline.pressing.charts import ControlLimits
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
    Key,
    Scale,
    area_key,
    drawing,
    fits,
    hatch,
    legend,
    line,
    path,
    rect,
    rounded_range,
    shortened,
    steps,
    stroke_key,
    text,
    value_axis,
)
from tumpline.reports.sheet import HALF, WIDTH
from tumpline.reports.words import Document, number
from tumpline.wire.markup import Html, el, join

_LEFT, _RIGHT = 11.0, 14.0


class Dot(Struct, frozen=True):
    """One shift on a control chart."""

    figure: Document
    """`value`, `low`, `high`."""
    week: str


def control_chart(dots: Sequence[Dot], limits: ControlLimits | None, mean: float, means: Document) -> Html:
    """
    Yields of shifts in their order, with their intervals and the limits within which they scatter by chance.

    `mean` of all, `means` by week. A shift outside the limits is ringed.
    """
    box = Box(_LEFT, 11.0, WIDTH - _LEFT - _RIGHT, 42.0)
    ends = [dot.figure[end] for dot in dots for end in ("low", "high")]
    ends += [*(limits or ()), *means.values()]
    low, high, step = rounded_range(min(ends), max(ends), count=5)
    up, across = Scale(low, high, box.bottom, box.y), Scale(-0.5, len(dots) - 0.5, box.x, box.right)
    keys = [
        Key(
            "shift, with its 95 % interval", lambda b: _dot(b.x + 2.5, b.y - 0.2, b.y + 0.5 * b.height, b.bottom + 0.2)
        ),
        stroke_key("week", stroke=GREEN, stroke_width=0.7),
        Key("limits: beyond them more than chance", lambda b: _dashes(b.x, b.right, b.y + 0.5 * b.height, INK)),
    ]
    lines = [_level(box, up(mean), f"mean {number(mean)}", SOFT)]
    if limits is not None:
        lines += [_level(box, up(value), number(value), INK, dashed=True) for value in limits]
    return drawing(
        "control",
        WIDTH,
        60.0,
        legend(_LEFT, 2.6, keys),
        _weeks(dots, means, box, across, up),
        value_axis(box, up, step, "L/t"),
        *lines,
        *(
            _dot(across(i), up(d.figure["high"]), up(d.figure["value"]), up(d.figure["low"]), ring=_outside(d, limits))
            for i, d in enumerate(dots)
        ),
        line(box.x, box.bottom, box.right, box.bottom, stroke=SOFT, stroke_width=0.25),
        title="Yield of every shift of the season, litres per tonne, with control limits",
    )


def _outside(dot: Dot, limits: ControlLimits | None) -> bool:
    return limits is not None and not limits.low <= dot.figure["value"] <= limits.high


def _dot(x: float, top: float, middle: float, bottom: float, *, ring: bool = False) -> Html:
    return join(
        line(x, top, x, bottom, stroke=SOFT, stroke_width=0.3),
        el("circle", cx=x, cy=middle, r=1.8, fill="none", stroke=INK, stroke_width=0.35) if ring else None,
        el("circle", cx=x, cy=middle, r=0.8, fill=INK),
    )


def _level(box: Box, y: float, words: str, stroke: str, *, dashed: bool = False) -> Html:
    return join(
        _dashes(box.x, box.right, y, stroke) if dashed else line(box.x, y, box.right, y, stroke=stroke),
        text(box.right + 1.0, y + 0.36 * LETTER, words, fill=stroke),
    )


def _dashes(left: float, right: float, y: float, stroke: str) -> Html:
    d = path([(left, y), (right, y)])
    return el("path", d=d, fill="none", stroke=stroke, stroke_width=0.25, stroke_dasharray="1.6 1")


def _weeks(dots: Sequence[Dot], means: Document, box: Box, across: Scale, up: Scale) -> Html:
    """Every other week on a tint, its name below and its yield as a line."""
    parts = []
    for index, week in enumerate(dict.fromkeys(dot.week for dot in dots)):
        places = [i for i, dot in enumerate(dots) if dot.week == week]
        left, right = across(places[0] - 0.5), across(places[-1] + 0.5)
        parts.append(rect(Box(left, box.y, right - left, box.height), fill=FAINT if index % 2 == 0 else WHITE))
        name = week if fits(week, right - left) else week.removeprefix("week ")
        parts.append(text(0.5 * (left + right), box.bottom + 0.9 + LETTER, name, anchor="middle", fill=SOFT))
        if week in means:
            y = up(means[week])
            parts.append(line(left + 0.5, y, right - 0.5, y, stroke=GREEN, stroke_width=0.7))
    return join(*parts)


def rate_plot(points: Sequence[tuple[float, float]], fit: tuple[float, float] | None) -> Html:
    """Every load's yield over the throughput it was pressed at; `fit` is the line's height at 0 and its slope."""
    box = Box(_LEFT, 6.0, HALF - _LEFT - 3.0, 38.0)
    (left, right, x_step), (low, high, y_step) = (
        rounded_range(min(p[axis] for p in points), max(p[axis] for p in points)) for axis in (0, 1)
    )
    across, up = Scale(left, right, box.x, box.right), Scale(low, high, box.bottom, box.y)
    marks = [
        text(across(value), box.bottom + 0.9 + LETTER, f"{value:.4g}", anchor="middle", fill=SOFT)
        for value in steps(left, right, x_step)
    ]
    drawn: Html | None = None
    if fit is not None:
        ends = [(across(x), up(fit[0] + fit[1] * x)) for x in (min(p[0] for p in points), max(p[0] for p in points))]
        drawn = line(*ends[0], *ends[1], stroke=GREEN, stroke_width=0.5)
    return drawing(
        "rate",
        HALF,
        54.0,
        value_axis(box, up, y_step, "L/t"),
        *marks,
        text(box.right, box.bottom + 2.2 + 2.0 * LETTER, "throughput, t/h", anchor="end", fill=SOFT),
        drawn,
        *(el("circle", cx=across(x), cy=up(y), r=0.8, fill="none", stroke=INK, stroke_width=0.3) for x, y in points),
        line(box.x, box.bottom, box.right, box.bottom, stroke=SOFT, stroke_width=0.25),
        title="Yield of every load over the throughput it was pressed at",
    )


_HOURS = (
    ("pressing", ("pressing_s", "slow_s"), LEAF),
    ("filling, draining", ("filling_s", "draining_s"), "url(#hours-a)"),
    ("washing", ("washing_s",), "#e4ddc8"),
    ("no fruit", ("starved_s",), "url(#hours-b)"),
    ("blocked", ("blocked_s",), INK),
    ("stopped", ("stopped_s",), SOFT),
    ("not known", ("unknown_s",), WHITE),
)
_ROW = 4.6


def hours_plot(weeks: Sequence[tuple[str, Document]]) -> Html:
    """By week, the hours the line spent in each condition: `time` documents added up."""
    box = Box(14.0, 9.0, HALF - 17.0, _ROW * len(weeks))
    longest = max((sum(time.values()) for _, time in weeks), default=3600.0) / 3600.0
    low, high, step = rounded_range(0.0, longest, count=6)
    along = Scale(low, high, box.x, box.right)
    parts: list[Html] = []
    for index, (week, time) in enumerate(weeks):
        y, x = box.y + _ROW * index, 0.0
        parts.append(text(box.x - 1.0, y + 0.5 * _ROW + 0.36 * LETTER, shortened(week, 14.0), anchor="end"))
        for _, parts_of, fill in _HOURS:
            hours = sum(time.get(key, 0.0) for key in parts_of) / 3600.0
            if hours > 0.0:
                bar = Box(along(x), y + 0.7, along(x + hours) - along(x), _ROW - 1.4)
                parts.append(rect(bar, fill=fill, stroke=INK, stroke_width=0.1))
            x += hours
    for value in steps(low, high, step):
        parts.append(text(along(value), box.bottom + 0.9 + LETTER, f"{value:.4g}", anchor="middle", fill=SOFT))
    keys = [area_key(name, fill=fill, stroke=INK, stroke_width=0.1) for name, _, fill in _HOURS]
    return drawing(
        "hours",
        HALF,
        box.bottom + 7.5,
        el("defs", hatch("hours-a", stroke=GREEN), hatch("hours-b", step=0.8)),
        legend(0.0, 2.6, keys[:4]),
        legend(0.0, 6.4, keys[4:]),
        *(line(along(value), box.y, along(value), box.bottom, stroke=RULE) for value in steps(low, high, step)),
        *parts,
        text(box.right, box.bottom + 1.4 + 2.0 * LETTER, "hours", anchor="end", fill=SOFT),
        title="Hours in each condition, by week",
    )
