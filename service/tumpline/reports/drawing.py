"""
Drawing plots: lengths in millimetres of paper, so that a line is as thick, and a letter as large, as it says.

Everything is told apart by tone, pattern or a name beside it, never by colour alone: most of these pages are printed
in grey. Colours stand in attributes, because a style sheet does not reach into drawings everywhere.
"""

import math
from collections.abc import Callable, Iterable, Iterator, Sequence
from datetime import timedelta

from msgspec import Struct

from tumpline.reports.words import Clock, number
from tumpline.wire.markup import Html, el, join, short

INK = "#1a1a1a"
SOFT = "#5c5c5c"
RULE = "#c8c8c8"
FAINT = "#f1efe8"
GREEN = "#2d5f3a"
LEAF = "#c3d9c6"
WHITE = "#ffffff"
FONT = "'Source Sans 3', 'Noto Sans', 'Liberation Sans', Arial, 'DejaVu Sans', sans-serif"
LETTER = 2.5
"""Height of ordinary letters, mm: about 7 points."""
_LETTER_WIDTH = 0.56  # of an ordinary letter, in its height; wide fonts included

Point = tuple[float, float]


class Box(Struct, frozen=True):
    """A rectangle; y runs downwards."""

    x: float
    y: float
    width: float
    height: float

    @property
    def right(self) -> float:
        """Its right edge."""
        return self.x + self.width

    @property
    def bottom(self) -> float:
        """Its lower edge."""
        return self.y + self.height


class Scale(Struct, frozen=True):
    """Where values lie between two ends of an axis."""

    low: float
    high: float
    start: float
    end: float

    def __call__(self, value: float) -> float:
        """The place of a value."""
        return self.start + (value - self.low) / (self.high - self.low) * (self.end - self.start)


def drawing(name: str, width: float, height: float, *children: Html | None, title: str, described: str = "") -> Html:
    """A drawing of so many millimetres; `name` is unique in its document, `title` is for those who hear the page."""
    return el(
        "svg",
        el("title", title, id=f"{name}-title"),
        el("desc", described) if described else None,
        *children,
        xmlns="http://www.w3.org/2000/svg",
        viewBox=f"0 0 {short(width)} {short(height)}",
        width=f"{short(width)}mm",
        height=f"{short(height)}mm",
        role="img",
        aria_labelledby=f"{name}-title",
        font_family=FONT,
        font_size=LETTER,
        fill=INK,
    )


def text(x: float, y: float, words: str, *, anchor: str | None = None, **how: str | float) -> Html:
    """Words with their baseline at y; `anchor` is start, middle or end."""
    return el("text", words, x=x, y=y, text_anchor=anchor, **how)


def haloed(x: float, y: float, words: str) -> Html:
    """Strong words that stay readable on whatever is drawn below them."""
    below = text(x, y, words, font_weight="bold", fill=WHITE, stroke=WHITE, stroke_width=0.9, stroke_linejoin="round")
    return join(below, text(x, y, words, font_weight="bold"))


def line(x1: float, y1: float, x2: float, y2: float, *, stroke: str = RULE, stroke_width: float = 0.15) -> Html:
    """A straight line, thin and grey unless asked otherwise."""
    return el("path", d=path([(x1, y1), (x2, y2)]), fill="none", stroke=stroke, stroke_width=stroke_width)


def rect(box: Box, **how: str | float) -> Html:
    """A rectangle."""
    return el("rect", x=box.x, y=box.y, width=max(0.0, box.width), height=max(0.0, box.height), **how)


def path(points: Sequence[Point]) -> str:
    """The way from point to point."""
    return "M" + "L".join(f"{short(x)} {short(y)}" for x, y in points)


def hatch(name: str, *, step: float = 1.1, stroke: str = SOFT, width: float = 0.25, back: str = WHITE) -> Html:
    """Slanting lines to fill shapes with: `fill="url(#name)"`."""
    lines = el("path", d=f"M0 {short(step)}L{short(step)} 0", stroke=stroke, stroke_width=width, fill="none")
    ground = rect(Box(0.0, 0.0, step, step), fill=back)
    return el("pattern", ground, lines, id=name, width=step, height=step, patternUnits="userSpaceOnUse")


def fits(words: str, width: float, letter: float = LETTER) -> bool:
    """Whether words of that letter height have room in `width`."""
    return len(words) * letter * _LETTER_WIDTH <= width


def shortened(words: str, width: float, letter: float = LETTER) -> str:
    """The words, or as much of their beginning as has room."""
    if fits(words, width, letter):
        return words
    room = int(width / (letter * _LETTER_WIDTH)) - 1
    return words[:room].rstrip() + "…" if room > 1 else ""


def nice_step(span: float, count: int) -> float:
    """The smallest step of 1, 2, 2.5 or 5 times a power of ten that divides `span` into at most `count` parts."""
    least = span / count
    power: float = 10.0 ** math.floor(math.log10(least))
    return next(step * power for step in (1.0, 2.0, 2.5, 5.0, 10.0) if step * power >= least * (1.0 - 1e-9))


def rounded_range(low: float, high: float, count: int = 4) -> tuple[float, float, float]:
    """A range of whole steps around two values, and the step."""
    if high - low <= 1e-9 * max(1.0, abs(high)):
        low, high = low - 1.0, high + 1.0
    step = nice_step(high - low, count)
    return math.floor(low / step + 1e-9) * step, math.ceil(high / step - 1e-9) * step, step


def steps(low: float, high: float, step: float) -> list[float]:
    """The values at whole steps, both ends included."""
    return [low + index * step for index in range(round((high - low) / step) + 1)]


def value_axis(box: Box, scale: Scale, step: float, unit: str) -> Html:
    """Grid lines across the box with their values to its left, the unit above them."""
    decimals = max(0, -math.floor(math.log10(step) + 1e-9)) if step != 2.5 else 1
    marks = [
        join(
            line(box.x, scale(value), box.right, scale(value)),
            text(box.x - 1.0, scale(value) + 0.35 * LETTER, number(value, decimals), anchor="end", fill=SOFT),
        )
        for value in steps(scale.low, scale.high, step)
    ]
    return join(*marks, text(box.x - 1.0, box.y - 1.6, unit, anchor="end", fill=SOFT))


def time_axis(box: Box, scale: Scale, clock: Clock, *, words: bool = True) -> Html:
    """Short strokes below the box at full hours or parts of them, with the time by the clock of the works."""
    marks = []
    for moment, label in _times(scale.low, scale.high, clock):
        x = scale(moment)
        marks.append(line(x, box.bottom, x, box.bottom + 0.8, stroke=SOFT))
        if words:
            marks.append(text(x, box.bottom + 0.9 + LETTER, label, anchor="middle", fill=SOFT))
    return join(line(box.x, box.bottom, box.right, box.bottom, stroke=SOFT, stroke_width=0.25), *marks)


def _times(start: float, end: float, clock: Clock) -> Iterator[tuple[float, str]]:
    minutes = next((m for m in (5, 10, 15, 30, 60, 120, 240) if (end - start) / 60.0 / m <= 12), 480)
    step = 60.0 * minutes
    offset = (clock.at(start).utcoffset() or timedelta()).total_seconds()
    moment = math.ceil((start + offset) / step) * step - offset
    while moment <= end:
        yield moment, f"{clock.at(moment):%H:%M}"
        moment += step


class Key(Struct, frozen=True):
    """One sign of a legend, and what it means."""

    words: str
    swatch: Callable[[Box], Html]


def legend(x: float, y: float, keys: Iterable[Key]) -> Html:
    """Signs with their meanings from left to right, the words' baseline at y."""
    parts = []
    for key in keys:
        parts += [key.swatch(Box(x, y - 0.8 * LETTER, 5.0, 0.9 * LETTER)), text(x + 6.2, y, key.words)]
        x += 6.2 + len(key.words) * LETTER * 0.5 + 4.0
    return join(*parts)


def stroke_key(words: str, *, stroke: str, stroke_width: float) -> Key:
    """A line of the drawing."""

    def swatch(box: Box) -> Html:
        middle = box.y + 0.5 * box.height
        return line(box.x, middle, box.right, middle, stroke=stroke, stroke_width=stroke_width)

    return Key(words, swatch)


def area_key(words: str, **how: str | float) -> Key:
    """A filled shape of the drawing."""
    return Key(words, lambda box: rect(box, **how))
