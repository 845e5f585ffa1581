"""What a trend draws: a stretch of time, and of each drawing its lines, its interval and the scale they are on."""

import math
from collections.abc import Callable, Iterator, Sequence
from enum import Enum
from itertools import groupby
from statistics import median
from typing import NamedTuple

from msgspec import Struct

from tumpline.adapters.web.scales import si
from tumpline.adapters.web.words import Style, Words
from tumpline.runtime.board import LineBoard
from tumpline.runtime.trend import FINE_SECONDS, LONGEST_SECONDS, TrendPoint

SIZE = 1000
"""Drawings are as wide, and as high, as so many of their own units, and stretch with the page."""
SETTLED = 2.0
"""Times the usual width of an interval: a wider one may be cut by the edge of the drawing, for it would flatten it."""
FINE_GAP, COARSE_GAP = 16.0, 200.0
"""Seconds between two points, above which the line is broken: three missed figures."""

Run = list[tuple[float, float]]


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
        above = (_beyond(run, lambda value: value > self.high) for _, run in self.band)
        below = (_beyond(run, lambda value: value < self.low) for run, _ in self.band)
        return [
            Cut(edge, start, end) for edge, runs in ((0, above), (SIZE, below)) for run in runs for start, end in run
        ]


def _beyond(run: Run, is_beyond: Callable[[float], bool]) -> Iterator[tuple[float, float]]:
    """From when to when the values are beyond an edge."""
    for beyond, points in groupby(run, key=lambda point: is_beyond(point[1])):
        if beyond:
            times = [at for at, _ in points]
            yield times[0], times[-1]


def window_of(board: LineBoard, span: Span, end: float, words: Words) -> Window:
    """The stretch of time that a span means now; the shift, or the time there are figures for where it is none."""
    seconds = {Span.HALF_HOUR: FINE_SECONDS, Span.TWO_HOURS: 7200.0}.get(span)
    if seconds is None:
        began = board.live.shift_start if board.live else None
        first = board.trend.last(LONGEST_SECONDS)[0].at
        start = max(first, began) if began is not None else first
        seconds = max(FINE_SECONDS, end - start)
    return Window(end - seconds, end, words(f"span.{span.value}"))


def fruit(points: Sequence[TrendPoint], window: Window, style: Style) -> Panel:
    """The fruit that went in, on a scale from nothing up."""
    scale = style.scale("t/h")
    runs = _runs(points, "throughput_t_per_h", window, lambda value: scale.of(si(value, "t/h")))
    top = max((value for run in runs for _, value in run), default=0.0)
    name = style.words("trend.fruit")
    return Panel("fruit", name, scale.unit, scale.decimals, runs, (), 0.0, _round_up(max(top, 1.0)))


def juice_per_tonne(points: Sequence[TrendPoint], window: Window, style: Style) -> Panel:
    """The yield of ten minutes with its interval, on a scale of what is settled."""
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
