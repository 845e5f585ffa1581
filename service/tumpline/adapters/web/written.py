"""What was written into the shift book: the stops with their reasons, and every entry with its corrections."""

import msgspec

from tumpline.adapters.web import corrections
from tumpline.adapters.web.fields import UNITS
from tumpline.adapters.web.screen import line_path
from tumpline.adapters.web.words import Style, duration
from tumpline.pressing.entries import Entry, Reason, Variety
from tumpline.pressing.logbook import Correction, Noted
from tumpline.pressing.records import StopRecord
from tumpline.runtime.board import LineBoard
from tumpline.wire.markup import Html, el, join

MOST_ENTRIES = 40
ELSEWHERE = frozenset(["acknowledge", "reset"])
"""Entries that say nothing about fruit, juice or pomace; the alarms' page has them."""


def stops(board: LineBoard, style: Style) -> Html:
    """The stops, newest first, each with its reason or a way to give it."""
    words = style.words
    title = el("h2", words("book.stops"))
    if not board.stops:
        return join(title, el("p", words("book.no-stops"), class_="note"))
    rows = (_stop(stop, board, style) for stop in reversed(board.stops))
    return join(title, el("ul", *rows, class_="rows"))


def _stop(stop: StopRecord, board: LineBoard, style: Style) -> Html:
    words, clock = style.words, style.clock
    now = board.live.at if board.live else stop.start
    start = clock.minute(stop.start, now=now)
    given = next((noted for noted in board.book.entries if _explains(noted, stop)), None)
    if given is not None and isinstance(given.entry, Reason):  # the line tells no more of a stop once its shift is over
        stop = msgspec.structs.replace(stop, reason=given.entry.reason, note=given.entry.note, by=given.by)
    if stop.end is None:
        when = words("book.stop-now", start=start, duration=duration(now - stop.start))
    else:
        end = clock.minute(stop.end, now=now)
        when = words("book.stop", start=start, end=end, duration=duration(stop.end - stop.start))
    what = words("book.no-reason", condition=words(f"condition.{stop.condition.value}"))
    if stop.reason:
        what = style.reason(stop.reason)
    by = (
        el("p", words("needs.by", what=stop.note or words("book.reason"), name=stop.by), class_="note")
        if stop.by
        else None
    )
    return el("li", el("p", what, class_="what"), el("p", when), by, _reason_link(stop, what, given, board.line, style))


def _reason_link(stop: StopRecord, what: str, given: Noted | None, line: str, style: Style) -> Html:
    if given is not None:
        words, href = style.words("book.change-reason"), line_path(line, "book", "correct", given.id)
    else:
        words, href = style.words("book.give-reason"), f"{line_path(line, 'book', 'reason')}?stop={stop.id}"
    name = f"{words}: {what}, {style.clock.minute(stop.start)}"
    return el("a", words, href=href, class_="button", aria_label=name)


def _explains(noted: Noted, stop: StopRecord) -> bool:
    return isinstance(noted.entry, Reason) and noted.entry.stop == stop.id and noted.refused is None


def entries(board: LineBoard, style: Style) -> Html:
    """The newest entries, each with who wrote it, what it said before, and a way to put it right."""
    words = style.words
    title = el("h2", words("book.entries"))
    shown = [noted for noted in board.book.entries if noted.kind not in ELSEWHERE][:MOST_ENTRIES]
    if not shown:
        return join(title, el("p", words("book.no-entries"), class_="note"))
    return join(title, el("ul", *(_entry(noted, board, style) for noted in shown), class_="rows"))


def _entry(noted: Noted, board: LineBoard, style: Style) -> Html:
    words, clock = style.words, style.clock
    now = board.live.at if board.live else noted.at
    title, time = words.named("form", noted.kind), clock.minute(noted.at, now=now)
    why = words.line(noted.refused or "").text
    refused = el("p", words("book.refused", why=why), class_="wrong") if noted.refused else None
    change = None
    if corrections.form_of(noted) is not None:
        href = line_path(board.line, "book", "correct", noted.id)
        name = words("book.correct-name", what=title, time=time)
        change = el("a", words("book.correct"), href=href, class_="button", aria_label=name)
    return el(
        "li",
        el("p", title, class_="what"),
        el("p", told(noted.entry, board, style)),
        refused,
        *(_correction(correction, board, style, now=now) for correction in noted.corrections),
        el("p", words("book.written", time=time, by=noted.by), class_="note"),
        change,
    )


def _correction(correction: Correction, board: LineBoard, style: Style, *, now: float) -> Html:
    time = style.clock.minute(correction.at, now=now)
    before = told(correction.before, board, style)
    return el("p", style.words("book.corrected", by=correction.by, time=time, before=before), class_="note")


def told(entry: Entry, board: LineBoard, style: Style) -> str:
    """`Load 15; Grower Long Acre; Net 4 120 kg`: what an entry says."""
    said = ((key, getattr(entry, key)) for key in entry.__struct_fields__)
    named = ((key, _value(key, value, board, style)) for key, value in said if value not in (None, ()))
    return "; ".join(text if key == "text" else f"{style.words.named('field', key)} {text}" for key, text in named)


def _value(key: str, value: object, board: LineBoard, style: Style) -> str:
    """In words, where the entry has a number or a name that only the program knows."""
    words = style.words
    match value:
        case float() if key in corrections.TIMES:
            return style.clock.minute(value)
        case float() if key == "minutes":
            return duration(60.0 * value)
        case float():
            number = words.number(value, 0 if value == round(value) else 2)
            return f"{number}\N{NO-BREAK SPACE}{UNITS[key]}" if key in UNITS else number
        case tuple():
            return ", ".join(_variety(item, style) if isinstance(item, Variety) else str(item) for item in value)
        case str() if key == "alarm":
            return words.named("alarm", value)
        case str() if key == "stop":
            start = next((stop.start for stop in board.stops if stop.id == value), None)
            return value if start is None else style.clock.minute(start)
        case _:
            return str(value)


def _variety(variety: Variety, style: Style) -> str:
    return f"{variety.name} {style.words.number(100.0 * variety.share, 0)}\N{NO-BREAK SPACE}%"
