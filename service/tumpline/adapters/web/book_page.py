"""The shift book's page: what to write next, the loads, the vats, the stops, and what was written."""

from tumpline.adapters.web import written
from tumpline.adapters.web.book import bar, varieties
from tumpline.adapters.web.choices import choices, vat_levels
from tumpline.adapters.web.figures import yield_of
from tumpline.adapters.web.screen import line_path
from tumpline.adapters.web.words import Style
from tumpline.pressing.logbook import Lot
from tumpline.pressing.records import Unknown
from tumpline.runtime.board import LineBoard
from tumpline.wire.markup import Html, el, join

SECTIONS = ("write", "lots", "vats", "stops", "entries")
BUTTONS = (
    ("load", "load-on", "load-off"),
    ("vat", "vat-known", "dip", "transfer", "draw"),
    ("trailer", "weigh-ticket"),
    ("sample", "note", "proof"),
    ("shift-start", "shift-end"),
)
"""Forms in the order of the day, those about one thing together."""


def parts(board: LineBoard, style: Style) -> dict[str, Html]:
    """The sections of the page."""
    return {
        "write": _buttons(board.line, style),
        "lots": _lots(board, style),
        "vats": _vats(board, style),
        "stops": written.stops(board, style),
        "entries": written.entries(board, style),
    }


def _buttons(line: str, style: Style) -> Html:
    groups = (
        el(
            "div",
            *(_button(line, form, style) for form in group),
            class_="buttons",
        )
        for group in BUTTONS
    )
    return join(el("h2", style.words("book.write")), *groups)


def _button(line: str, form: str, style: Style) -> Html:
    return el("a", style.words(f"form.{form}"), href=line_path(line, "book", form), class_="button")


def _lots(board: LineBoard, style: Style) -> Html:
    """Waiting loads first, in the order in which they came; then the one on the line; then those pressed."""
    words = style.words
    lots = sorted(board.book.lots, key=lambda lot: (not lot.waiting, lot.off is not None, lot.on or lot.at))
    title = el("h2", words("book.lots"))
    if not lots:
        return join(title, el("p", words("book.no-lots"), class_="note"))
    waiting = sum(lot.entry.net_kg for lot in lots if lot.waiting)
    yard = words("book.waiting-sum", mass=style.figure(waiting, "t"))
    return join(
        title, el("p", yard, class_="note"), el("ul", *(_lot(lot, board, style) for lot in lots), class_="rows")
    )


def _lot(lot: Lot, board: LineBoard, style: Style) -> Html:
    words, clock, load = style.words, style.clock, lot.entry
    now = board.live.at if board.live else lot.at
    if lot.waiting:
        when = words("book.lot-waiting", time=clock.minute(lot.at, now=now))
    elif lot.off is None:
        when = words("book.lot-on", time=clock.minute(lot.on or lot.at, now=now))
    else:
        when = words("book.lot-off", time=clock.minute(lot.off, now=now))
    on = line_path(board.line, "book", "load-on")
    go = el("a", words("form.load-on"), href=f"{on}?load={load.load}", class_="button") if lot.waiting else None
    return el(
        "li",
        el("p", f"{load.load}, {load.grower}", class_="what"),
        el("p", f"{style.figure(load.net_kg, 't')}, {varieties(load, words)}"),
        _pressed(lot, board, style),
        el("p", when, class_="note"),
        go,
        class_="waiting" if lot.waiting else None,
    )


def _pressed(lot: Lot, board: LineBoard, style: Style) -> Html | None:
    """What the load on the line has given so far."""
    live = board.live
    record = live.load if live else None
    if lot.off is not None or record is None or record.load != lot.entry.load:
        return None
    milled = None if isinstance(record.milled, Unknown) else bar(record.milled.value, record.net, warn=False)
    if isinstance(record.extraction, Unknown):
        return milled
    return join(milled, el("p", yield_of(record.extraction, style)))


def _vats(board: LineBoard, style: Style) -> Html:
    words = style.words
    vats, levels = choices("vats", board, style), vat_levels(board)
    title = el("h2", words("book.vats"))
    if not vats:
        return join(title, el("p", words("book.no-vats"), class_="note"))
    filling = board.live.vat.vat if board.live and board.live.vat else None
    rows = []
    for choice in vats:
        found = levels[choice.value]
        drawn = bar(found.contents, found.capacity) if found.contents is not None and found.capacity else None
        now = el("p", words("book.vat-now"), class_="note") if choice.value == filling else None
        rows.append(el("li", el("p", choice.words, class_="what"), drawn, el("p", choice.note), now))
    return join(title, el("ul", *rows, class_="rows"))
