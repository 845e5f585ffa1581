"""The screen as rows of text: the band, what needs people, the figures, the book. Pure: no terminal is touched here."""

from __future__ import annotations

import textwrap
import unicodedata
from collections.abc import Iterator, Sequence
from enum import Enum
from typing import NamedTuple
from zoneinfo import ZoneInfo

from tumpline.adapters.terminal import words
from tumpline.adapters.terminal.sight import Sight
from tumpline.adapters.terminal.words import between, duration, gallons_per_ton, harmless, number, sentence
from tumpline.wire.glance import Glance, Interval

_NOTICE = "Monitoring only, not a safety function. A quiet screen proves nothing."
_LABEL, _VALUE = 19, 14
_FEWEST_FIGURES = 4
_Figure = tuple[str, str | None, str, str]
"""Label, value, unit and note; the value None where it is not known."""


class Look(Enum):
    """How a row stands out; no row needs it to be understood."""

    PLAIN = "plain"
    BAND = "band"
    STRONG = "strong"
    STRUCK = "struck"


class Row(NamedTuple):
    """One row of the screen."""

    text: str
    look: Look = Look.PLAIN


class Place(NamedTuple):
    """Whose screen this is and how it is read."""

    site: str
    zone: ZoneInfo
    imperial: bool = False


def draw(sight: Sight, place: Place, others: Sequence[Sight] = (), *, now: float, width: int, height: int) -> list[Row]:
    """
    As many rows as fit, each cut to the width; what needs people comes before figures, figures before the book.

    `others` are lines that are watched beside it: a row each says what they do and whether somebody is needed there.
    """
    glance, gone = sight.glance, sight.gone(now)
    rows = [*_head(sight, place, width), *_band(sight, gone, place, now=now, width=width)]
    below = [*(_beside(other, now) for other in others), Row(f" {_NOTICE}")]
    if glance is not None:
        needs = list(_needs(glance, width, old=bool(gone)))
        figures = list(_figures(glance, place, width, old=bool(gone)))
        room = height - len(rows) - len(below) - 2  # an empty row before and after what needs people
        kept = max(min(len(figures), room - len(needs)), min(_FEWEST_FIGURES, room))
        rows += [*figures[:kept], Row(""), *_cut(needs, max(0, room - kept))]
    above = max(0, height - len(below))
    rows = [*rows[:above], *[Row("")] * (above - len(rows)), *below][-height:]
    return [Row(fit(harmless(row.text), width), row.look) for row in rows]


def _beside(sight: Sight, now: float) -> Row:
    glance, gone = sight.glance, sight.gone(now)
    if gone or glance is None:
        return Row(f" {sight.line}: no data. {gone}  (n: next line)")
    word = words.condition(glance.condition).lower()
    asking = sum("unacknowledged" in alarm.state for alarm in glance.alarms)
    needs = f", {asking} alarms not acknowledged" if asking > 1 else ", an alarm not acknowledged" if asking else ""
    return Row(f" {sight.line}: {word}{needs}  (n: next line)", Look.STRONG if asking else Look.PLAIN)


def _head(sight: Sight, place: Place, width: int) -> Iterator[Row]:
    time = "" if sight.glance is None else words.clock(sight.glance.at, place.zone)
    room = max(0, width - len(time) - 2)
    yield Row(fit(f" {place.site}   {sight.line}", room).ljust(room + 1) + time)


def _band(sight: Sight, gone: str, place: Place, *, now: float, width: int) -> Iterator[Row]:
    glance = sight.glance
    if gone or glance is None:
        silent = "" if sight.heard is None else f"  {duration(now - sight.heard)}"
        last = "" if glance is None else f" Last heard {words.clock(glance.at, place.zone)}; the figures are old."
        word, said = f"!!  NO DATA{silent}", gone + last
    else:
        lasts = duration((glance.at - glance.condition_since).total_seconds())
        shape = words.CONDITION.get(glance.condition, f"??  {glance.condition.upper()}")
        word, said = f"{shape}  {lasts}", words.why(glance)
    texts = ("", f" {word}", *_wrapped(said, width, " " * 5, " " * 5), "")
    yield from (Row(text.ljust(width), Look.BAND) for text in texts)
    yield Row("")


def _needs(glance: Glance, width: int, *, old: bool) -> Iterator[Row]:
    """Alarms in the order of need; a caution stands once, under the first alarm that carries it."""
    if not glance.alarms:
        yield Row(" What needs you is not known." if old else " Nothing needs you.")
    told: set[str] = set()
    for alarm in words.in_order(glance.alarms):
        asks = "unacknowledged" in alarm.state
        lasts = "" if alarm.raised is None else f", {duration((glance.at - alarm.raised).total_seconds())}"
        urgency = words.PRIORITY.get(alarm.priority, alarm.priority)
        mark = "   then " if alarm.because_of else f" {'!' if asks else '-'} {urgency}: "
        text = f"{mark}{words.alarm_name(alarm)}{lasts}, {words.alarm_state(alarm)}. {sentence(alarm.cause)}"
        look = Look.STRONG if asks else Look.PLAIN
        yield from (Row(part, look) for part in _wrapped(text, width, "", "     "))
        if alarm.caution and alarm.caution not in told:
            told.add(alarm.caution)
            yield from (Row(part, Look.STRONG) for part in _wrapped(alarm.caution, width, "     ", "     "))


def _figures(glance: Glance, place: Place, width: int, *, old: bool) -> Iterator[Row]:
    for label, value, unit, note in (*_newest(glance), *_computed(glance, place), *_book(glance)):
        said = "not known" if value is None else f"{value} {unit}"
        head, said = f" {label:{_LABEL}}{said:{_VALUE}}  ", words.reason(note, place.zone)
        if old and value is not None:
            yield Row(f"{head}old", Look.STRUCK)
        else:
            yield from (Row(text) for text in _wrapped(head + said, width, "", " " * (_LABEL + _VALUE + 3)))


def _newest(glance: Glance) -> Iterator[_Figure]:
    g = glance
    yield "Fruit in", _value(g.throughput_t_per_h, 2), "t/h", g.throughput_t_per_h_unknown
    yield "Juice out", _value(g.juice_l_per_min, 1), "L/min", g.juice_l_per_min_unknown
    yield "Press pressure", _value(g.pressure_bar, 2), "bar", g.pressure_bar_unknown


def _computed(glance: Glance, place: Place) -> Iterator[_Figure]:
    g = glance
    recent, dry = g.yield_10min_l_per_t, g.pomace_dry_matter_pct
    note = g.yield_10min_l_per_t_unknown if recent is None else f"{_yield_words(recent, place)}, last 10 min"
    yield "Juice per tonne", _value(recent), "L/t", note
    note = g.pomace_dry_matter_pct_unknown if dry is None else f"{between(dry, 1)} dry matter, an estimate"
    yield "Pomace dryness", None if dry is None else f"about {number(dry.value, 1)}", "%", note
    label = f"Shift {g.shift}" if g.shift else "Shift so far"
    note = g.fruit_kg_unknown if g.fruit_kg is None else _shift_words(g, place)
    yield label, _tonnes(g.fruit_kg, 1), "t", note


def _value(figure: Interval | float | None, decimals: int = 0, factor: float = 1.0) -> str | None:
    if figure is None:
        return None
    return number(factor * (figure.value if isinstance(figure, Interval) else figure), decimals)


def _tonnes(kg: Interval | float | None, decimals: int = 2) -> str | None:
    return _value(kg, decimals, 0.001)


def _yield_words(figure: Interval, place: Place) -> str:
    imperial = f" ({gallons_per_ton(figure.value)})" if place.imperial else ""
    return between(figure) + imperial


def _shift_words(glance: Glance, place: Place) -> str:
    juice = "juice not known" if glance.juice_l is None else f"{number(glance.juice_l.value)} L of juice"
    found = glance.yield_l_per_t
    if found is None:
        return f"{juice}, L/t not known: {glance.yield_l_per_t_unknown}"
    return f"{juice}, {number(found.value)} L/t ({_yield_words(found, place)})"


def _book(glance: Glance) -> Iterator[_Figure]:
    load, vat, trailer = glance.load, glance.vat, glance.trailer
    if load is not None:
        net = "" if load.net_kg is None else f"of {_tonnes(load.net_kg)} t from "
        left = "" if load.left_kg is None else f", {_tonnes(max(0.0, load.left_kg))} t to come"
        yield f"Load {load.load}", _tonnes(load.milled_kg), "t", f"{net}{load.grower}{left}"
    if vat is not None:
        room = "" if vat.capacity_l is None else f"of {number(vat.capacity_l)} L"
        full = "" if vat.full_in_s is None else f", full in {duration(vat.full_in_s)}"
        yield f"Vat {vat.vat}", _value(vat.contents_l), "L", room + full
    if trailer is not None:
        room = "" if trailer.capacity_kg is None else f"of {_tonnes(trailer.capacity_kg)} t"
        yield f"Trailer {trailer.trailer}", _tonnes(trailer.pomace_kg), "t", trailer.pomace_kg_unknown or room


def _cut(rows: list[Row], room: int) -> list[Row]:
    """The first rows that fit; where some do not, the last of them says how many."""
    if len(rows) <= room:
        return rows
    return [*rows[: room - 1], Row(f" ... and {len(rows) - room + 1} more rows")] if room > 0 else []


def _wrapped(text: str, width: int, first: str, later: str) -> list[str]:
    return textwrap.wrap(first + text, max(20, width - 1), subsequent_indent=later, drop_whitespace=True)


def fit(text: str, width: int) -> str:
    """The text cut to so many columns, with `~` where something was cut; wide characters take two."""
    columns, kept = 0, ""
    for c in text:
        columns += 0 if unicodedata.combining(c) else 2 if unicodedata.east_asian_width(c) in "WF" else 1
        if columns > width:
            return kept[:-1] + "~" if kept else ""
        kept += c
    return kept
