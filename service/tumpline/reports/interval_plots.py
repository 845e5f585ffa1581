"""Values with their intervals: one beside a row of a table, or many in a row with the limits they should keep."""

from collections.abc import Sequence

from tumpline.pressing.comparison import Mean
from tumpline.reports.drawing import (
    GREEN,
    INK,
    SOFT,
    Scale,
    drawing,
    line,
)
from tumpline.reports.words import Document, number
from tumpline.wire.markup import Html, el


def common_scale(figures: Sequence[Document | None], width: float) -> Scale | None:
    """One axis for all these figures, so that their intervals can be compared by eye; None where none is known."""
    ends = [figure[end] for figure in figures if figure for end in ("low", "high")]
    if not ends:
        return None
    low, high = min(ends), max(ends)
    return Scale(low, high if high > low else low + 1.0, 1.0, width - 1.0)


def interval_mark(
    name: str, figure: Document | None, scale: Scale | None, middle: float | None, *, own: float | None = None
) -> Html | str:
    """
    A point with its interval as a bar, and a line at the value of the whole.

    `own` is the standard uncertainty without what all rows share: where it is known, that part of the bar is thick and
    stands for the point.
    """
    if figure is None or scale is None:
        return ""
    y, width = 1.6, scale.end + 1.0
    return drawing(
        name,
        width,
        2.0 * y,
        line(scale(middle), 0.0, scale(middle), 2.0 * y, stroke=SOFT) if middle is not None else None,
        line(scale(figure["low"]), y, scale(figure["high"]), y, stroke=GREEN, stroke_width=0.3 if own else 0.5),
        _thick(figure["value"], own, scale, y) if own else None,
        None if own else el("circle", cx=scale(figure["value"]), cy=y, r=0.75, fill=INK),
        title=f"{number(figure['value'])}, between {number(figure['low'])} and {number(figure['high'])}",
    )


def _thick(value: float, own: float, scale: Scale, y: float) -> Html:
    _, low, high = Mean(value, own).figure()
    return line(scale(low), y, scale(high), y, stroke=GREEN, stroke_width=1.8)
