"""The paper every document is written on: one HTML file that needs nothing else, and prints as it is shown."""

from collections.abc import Iterable, Sequence
from importlib.resources import files

from msgspec import Struct

from tumpline.reports.words import NOT_KNOWN, Document, figure, interval, number, reason, value_of
from tumpline.wire.documents import CAUTION
from tumpline.wire.markup import Child, Html, el, join
from tumpline.wire.units import YIELD, from_si

STYLE = (files("tumpline.reports") / "print.css").read_text(encoding="utf-8")

WIDTH = 186.0
"""Of what is written on a page, mm."""
HALF = 90.0
"""Of one of two columns."""

_IMPERIAL = "imp gal/long ton"


class Site(Struct, frozen=True, kw_only=True):
    """Whose works it is, and how it reads figures."""

    name: str
    timezone: str
    imperial: bool = False
    """Whether yields stand in gallons per ton too."""


class Column(Struct, frozen=True):
    """Heading of a table's column."""

    words: str
    number: bool = False
    """Whether it holds numbers: they stand to the right, one below the other."""
    short: bool = False
    """Whether its words stay on one line."""


class Tile(Struct, frozen=True):
    """One figure to be seen from across the room."""

    words: str
    value: str | None
    """None where it is not known; then `note` says why."""
    unit: str
    note: str


def sheet(site: Site, title: str, *parts: Child) -> str:
    """The whole file."""
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("title", f"{site.name}: {title}" if site.name else title),
        el("style", Html(STYLE)),
    )
    return "<!doctype html>\n" + el("html", head, el("body", *parts), lang="en").text + "\n"


def header(site: Site, title: str, *lines: str) -> Html:
    """The works, what the document is, and of what."""
    works = el("p", site.name, class_="works")
    return el("header", works, el("h1", title), *(el("p", words) for words in lines if words))


def caution(words: str = CAUTION) -> Html:
    """The standing notice, framed."""
    return el("p", el("strong", "Caution. "), words, class_="caution")


def tiles(shown: Iterable[Tile]) -> Html:
    """Figures side by side, and what stands below them."""
    return join(
        el("dl", *(_tile(tile) for tile in shown), class_="tiles"),
        el("p", "Below a figure stand the ends of its 95 % interval.", class_="key"),
    )


def figure_tile(words: str, document: Document, key: str, unit: str, decimals: int = 0, note: str = "") -> Tile:
    """A figure with its interval below it, or with the reason why it is not known."""
    if value_of(document, key) is None:
        return Tile(words, None, unit, reason(document, key))
    return Tile(
        words, figure(document, key, decimals), unit, "; ".join(filter(None, (interval(document, key, decimals), note)))
    )


def table(columns: Sequence[Column], rows: Iterable[Sequence[Child]], *, total: Sequence[Child] | None = None) -> Html:
    """A table; cells of number columns stand to the right, a `total` stands below a rule. Narrow screens scroll it."""
    kinds = ["n" if column.number else "line" if column.short else None for column in columns]
    head = el(
        "tr", *(el("th", column.words, class_=kind, scope="col") for column, kind in zip(columns, kinds, strict=True))
    )

    def row(cells: Sequence[Child], class_: str | None = None) -> Html:
        made = (el("td", cell, class_=_kind(cell, kind)) for cell, kind in zip(cells, kinds, strict=True))
        return el("tr", *made, class_=class_)

    body = [row(cells) for cells in rows]
    made = el("table", el("thead", head), el("tbody", *body, None if total is None else row(total, "sum")))
    return el("div", made, class_="scroll", tabindex=0)


def gallons(document: Document, key: str) -> str:
    """A yield in imperial gallons per long ton; empty where it is not known."""
    found = value_of(document, key)
    return "" if found is None else f"{number(from_si(found * 1e-6, _IMPERIAL, YIELD))} imperial gal/long ton"


def side_by_side(left: Child, right: Child) -> Html:
    """Two halves of the page."""
    return el("div", el("div", left), el("div", right), class_="two")


def paragraphs(words: Iterable[str]) -> Html:
    """Sentences, each on its own line."""
    return join(*(el("p", sentence, class_="note") for sentence in words))


def _kind(cell: Child, kind: str | None) -> str | None:
    return "drawn" if isinstance(cell, Html) and cell.text.startswith("<svg") else kind


def _tile(tile: Tile) -> Html:
    if tile.value is None:
        value = el("dd", NOT_KNOWN, class_="value unknown")
    else:
        value = el("dd", tile.value, " ", el("span", tile.unit, class_="unit"), class_="value")
    return el("div", el("dt", tile.words), value, el("dd", tile.note, class_="note"), class_="tile")
