"""Bars that lie: what took the time, largest first, and what the doubt is made of."""

from collections.abc import Iterable, Sequence

from msgspec import Struct

from tumpline.reports.drawing import (
    GREEN,
    INK,
    LEAF,
    LETTER,
    SOFT,
    WHITE,
    Box,
    Scale,
    drawing,
    hatch,
    line,
    path,
    rect,
    rounded_range,
    shortened,
    steps,
    text,
)
from tumpline.reports.words import Document, count_of, duration, number
from tumpline.wire.markup import Html, el
from tumpline.wire.stop_documents import stops_by

_ROW = 5.4
_SHOWN = 5


class Bar(Struct, frozen=True):
    """One cause and what it took."""

    words: str
    size: float
    note: str


def stop_bars(stops: Iterable[Document], key: str, *, unnamed: str) -> list[Bar]:
    """Stops gathered by their `reason` or `condition`, the longest in all first; sizes are minutes."""
    return [
        Bar(
            rank[key] or unnamed,
            rank["duration_s"] / 60.0,
            f"{duration(rank['duration_s'])}, {count_of(rank['count'], 'stop')}",
        )
        for rank in stops_by(key, map(dict, stops))
    ]


def pareto(name: str, title: str, bars: Sequence[Bar], width: float, *, unit: str = "min") -> Html:
    """Bars from the largest down, with the share that those so far make together; what is beyond five goes into one."""
    shown = list(bars[:_SHOWN])
    if len(bars) > _SHOWN:
        rest = bars[_SHOWN - 1 :]
        shown = [*bars[: _SHOWN - 1], Bar(f"{len(rest)} others", sum(bar.size for bar in rest), "")]
    whole = sum(bar.size for bar in shown) or 1.0
    box = Box(0.34 * width, 6.5, 0.38 * width, _ROW * max(1, len(shown)))
    low, high, step = rounded_range(0.0, max((bar.size for bar in shown), default=1.0), count=3)
    along, share = Scale(low, high, box.x, box.right), Scale(0.0, 1.0, box.x, box.right)
    rows: list[Html] = []
    points, so_far = [], 0.0
    for index, bar in enumerate(shown):
        y, so_far = box.y + _ROW * index, so_far + bar.size
        points.append((share(so_far / whole), y + 0.5 * _ROW))
        rows.append(
            rect(Box(box.x, y + 0.9, along(bar.size) - box.x, _ROW - 1.8), fill=LEAF, stroke=GREEN, stroke_width=0.2)
        )
        base = y + 0.5 * _ROW + 0.36 * LETTER
        rows.append(text(box.x - 1.2, base, shortened(bar.words, box.x - 1.5), anchor="end"))
        rows.append(text(box.right + 2.0, base, bar.note, fill=SOFT))
    marks = [el("circle", cx=x, cy=y, r=0.7, fill=WHITE, stroke=INK, stroke_width=0.25) for x, y in points]
    axis = [
        part
        for value in steps(low, high, step)
        for part in (
            line(along(value), box.y, along(value), box.bottom),
            text(
                along(value),
                box.bottom + 3.2,
                number(value) + (f" {unit}" if value == high else ""),
                anchor="middle",
                fill=SOFT,
            ),
        )
    ]
    return drawing(
        name,
        width,
        box.bottom + 4.5,
        text(0.0, 2.6, title, font_weight="bold"),
        text(box.right, 5.4, "together, 0 to 100 %", anchor="end", fill=SOFT),
        *axis,
        *rows,
        el("path", d=path(points), fill="none", stroke=INK, stroke_width=0.25) if len(points) > 1 else None,
        *marks,
        None if shown else text(box.x, box.y + 3.6, "no stop", fill=SOFT),
        title=title,
        described="; ".join(f"{bar.words}: {bar.note or number(bar.size) + ' ' + unit}" for bar in shown),
    )


def share_bar(name: str, share: float, width: float, *, solid: bool) -> Html:
    """A part of a whole (0 to 1) as a bar for a row of a table, with the per cent beside it."""
    along = Scale(0.0, 1.0, 0.2, width - 9.0)
    return drawing(
        name,
        width,
        3.6,
        el("defs", hatch(f"{name}-hatch", stroke=GREEN, width=0.3)) if not solid else None,
        rect(
            Box(0.2, 0.6, along(share) - 0.2, 2.4),
            fill=GREEN if solid else f"url(#{name}-hatch)",
            stroke=GREEN,
            stroke_width=0.2,
        ),
        text(along(share) + 1.2, 1.8 + 0.36 * LETTER, f"{number(100.0 * share)} %"),
        title=f"{number(100.0 * share)} per cent",
    )
