"""How sure the figures are: what their ± comes from, the meters held against each other, the way from mill to juice."""

from collections.abc import Iterable, Iterator
from typing import NamedTuple

from tumpline.adapters.web.figures import Ruler, draw_ruler
from tumpline.adapters.web.words import Style, sentence
from tumpline.pressing.extraction import BudgetLine, budget
from tumpline.pressing.learnt import Residence
from tumpline.pressing.quantities import Estimate, half_width_95
from tumpline.pressing.records import Balance, Known, Live, Unknown
from tumpline.runtime.board import LineBoard
from tumpline.wire.markup import Html, el, join

SECTIONS = ("doubt", "balance", "way")
SHOWN, LEAST = 4, 0.01
"""So many sources of a doubt are named, that have at least this share of it; the others go into one."""
STREAMS = {"fruit": 0, "water": 0, "juice": 1, "pomace": 1}
"""What the balance draws: what comes in, then what goes out."""
_CEILING = {"L/t": float("inf"), "%": 1.0}
"""Where an interval of that unit ends at the latest; SI."""


class Bar(NamedTuple):
    """A row of a picture: from where to where, as shares of the width, with its words."""

    name: str
    figure: str
    start: float
    end: float
    kind: str
    note: str = ""


def parts(board: LineBoard, style: Style) -> dict[str, Html]:
    """The sections of the page."""
    return {
        "doubt": _doubts(board.live, style),
        "balance": _balance(board, style),
        "way": _way(board.live.residence if board.live else None, style),
    }


def _bars(rows: Iterable[Bar]) -> Html:
    """Bars on one scale, each under its words: those are the picture's own description."""
    return el("ul", *map(_row, rows), class_="bars")


def _row(bar: Bar) -> Html:
    return el(
        "li",
        el("p", el("span", bar.name), " ", el("span", bar.figure, class_="what"), class_="named"),
        _drawn(bar.kind, bar.start, bar.end),
        el("p", bar.note, class_="note") if bar.note else None,
    )


def _drawn(kind: str, start: float, end: float) -> Html:
    line = el("line", x1=f"{100.0 * start:.1f}%", x2=f"{100.0 * end:.1f}%", y1="50%", y2="50%")
    return el("svg", line, class_=f"piece {kind}", aria_hidden="true")


# ---- what a ± comes from


def _doubts(live: Live | None, style: Style) -> Html:
    words = style.words
    title = el("h2", words("sure.doubt"))
    if live is None:
        return join(title, el("p", words("figure.nothing-yet"), class_="note"))
    figures = (
        ("recent", live.recent_yield, "L/t"),
        ("shift", live.shift_yield, "L/t"),
        ("dryness", live.pomace_dry_matter, "%"),
    )
    legend = (
        el("p", _drawn(kind, 0.0, 1.0), words(f"sure.{kind}"), class_="legend note") for kind in ("common", "chance")
    )
    return join(title, *(_doubt(key, known, unit, style) for key, known, unit in figures), *legend)


def _doubt(key: str, known: Known, unit: str, style: Style) -> Html:
    """A figure, where most of its ± comes from in words, and every source as a bar, the largest first."""
    words, title = style.words, style.words(f"sure.{key}")
    if isinstance(known, Unknown):
        return join(el("h3", title), el("p", sentence(words.line(known.why).text)))
    between = style.between(known, unit, ceiling=_CEILING[unit])
    shown = words("sure.figure", what=title, value=style.figure(known.value, unit), between=between)
    lines = budget(known)
    if not lines:
        return join(el("h3", shown), el("p", words("sure.no-doubt")))
    first, named = lines[0], [line for line in lines[:SHOWN] if line.share >= LEAST]
    rest = 1.0 - sum(line.share for line in named)
    said = words(
        "sure.most" if first.share > 0.5 else "sure.largest",
        source=words.line(first.source).text,
        share=_share(first.share, style),
    )
    bars = [_source(line, known, unit, style) for line in named]
    if rest >= LEAST:
        bars.append(Bar(words("sure.others"), _share(rest, style), 0.0, rest, "chance"))
    return join(el("h3", shown), el("p", said, class_="lead"), _bars(bars))


def _source(line: BudgetLine, known: Estimate, unit: str, style: Style) -> Bar:
    words = style.words
    alone = half_width_95(term for term in known.terms if term.source == line.source)
    shown = words("sure.share", size=style.figure(alone, unit), share=_share(line.share, style))
    kind = "common" if line.common else "chance"
    return Bar(sentence(words.line(line.source).text)[:-1], shown, 0.0, line.share, kind)


def _share(share: float, style: Style) -> str:
    return f"{style.words.number(100.0 * share, 0)} %"


# ---- the meters held against each other


def _balance(board: LineBoard, style: Style) -> Html:
    """That of the shift going on, else of the last one."""
    words, live, last = style.words, board.live, board.summary
    title = el("h2", words("sure.balance"))
    if live is not None and live.balance is not None:
        return join(title, el("p", words("figure.shift"), class_="note"), *_balanced(live.balance, style))
    if last is not None:
        ended = style.clock.minute(last.end, now=live.at if live else last.end)
        when = words("sure.last-shift", shift=last.shift, time=ended)
        return join(title, el("p", when, class_="note"), *_balanced(last.balance, style))
    return join(title, el("p", words("sure.no-balance"), class_="note"))


def _balanced(balance: Balance, style: Style) -> Iterator[Html]:
    """The verdict, what the meters differ by, what would settle it, and the masses as one picture."""
    words = style.words
    if balance.suspect is not None:
        yield el("p", words("sure.suspect", meter=_meter(balance.suspect, style)), class_="lead")
    elif balance.advice is None and balance.statistic is not None:
        yield el("p", words("sure.agree"), class_="lead")
    yield el("p", _residual(balance.residual, style))
    if isinstance(balance.residual, Estimate):
        value, low, high = balance.residual.figure()
        half = 1.2 * max(abs(low), abs(high), 1e-9)
        yield draw_ruler(Ruler(*(0.5 + 0.5 * end / half for end in (low, value, high))))
        yield el("p", words("sure.ruler"), class_="note")
    if balance.advice is not None:
        advice = words.line(balance.advice)
        yield el("p", advice.text, lang=advice.lang)
    yield el("h3", words("sure.masses"))
    yield _bars(_streams(balance, style))


def _meter(signal: str, style: Style) -> str:
    """`the juice meter`, `the level of vat 3`."""
    if signal.startswith("vat/"):
        return style.words("sure.level", vat=signal.split("/")[1])
    return style.words.named("meter", signal)


def _residual(residual: Known, style: Style) -> str:
    words = style.words
    if isinstance(residual, Unknown):
        return words("sure.residual-unknown", why=words.line(residual.why).text)
    _, low, high = residual.figure()
    key = "sure.residual-fits" if low <= 0.0 <= high else "sure.residual-off"
    between = style.between(residual, "kg", floor=float("-inf"))
    return words(key, value=style.figure(residual.value, "kg"), between=between)


def _streams(balance: Balance, style: Style) -> Iterator[Bar]:
    """What comes in follows on each other, and so does what goes out: both should end at the same place."""
    masses = {key: balance.reconciled.get(f"{key}_kg") for key in STREAMS}
    known = {key: mass.value for key, mass in masses.items() if isinstance(mass, Estimate)}
    sums = [sum(value for key, value in known.items() if STREAMS[key] == side) for side in (0, 1)]
    whole, ends = max([*sums, 1.0]), [0.0, 0.0]
    for key, mass in masses.items():
        name, side = style.words(f"sure.{key}"), STREAMS[key]
        if isinstance(mass, Estimate):
            start = ends[side]
            ends[side] = start + max(0.0, mass.value) / whole
            between = style.between(mass, "kg")
            yield Bar(name, style.figure(mass.value, "kg"), start, ends[side], "out" if side else "in", between)
        elif mass is not None:
            why = sentence(style.words.line(mass.why).text)
            yield Bar(name, "\N{EN DASH}", 0.0, 0.0, "out" if side else "in", why)


# ---- the way from the mill to the juice meter


def _way(residence: Residence | None, style: Style) -> Html:
    words = style.words
    title = el("h2", words("sure.way"))
    if residence is None:
        return join(title, el("p", words("figure.nothing-yet"), class_="note"))
    mean, spread = (
        words("sure.seconds", value=words.number(known.value, 0), between=_seconds(known, style))
        for known in (residence.mean, residence.spread)
    )
    why = words.line(residence.why)
    return join(
        title,
        el("p", words("sure.mean", mean=mean), class_="lead"),
        el("p", words("sure.spread", spread=spread)),
        el("p", sentence(why.text), lang=why.lang, class_=None if residence.learned else "wrong"),
    )


def _seconds(known: Estimate, style: Style) -> str:
    _, low, high = known.figure(floor=0.0)
    return style.words.between(low, high, 0)
