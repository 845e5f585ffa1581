"""Documents to open and to print: which there are, and how they reach a browser."""

import asyncio
import base64
import hashlib
import re
from collections.abc import Sequence
from typing import NamedTuple, Protocol
from urllib.parse import quote

from aiohttp import hdrs, web
from msgspec import Struct

from tumpline.adapters.web import document
from tumpline.adapters.web.door import note_refusal
from tumpline.adapters.web.replies import page
from tumpline.adapters.web.words import Style, Words
from tumpline.wire.markup import Html, el, join

KINDS = ("shift", "season", "grower", "load", "vat", "trailer")
FORMS = {
    "html": "text/html; charset=utf-8",
    "pdf": "application/pdf",
    "csv": "text/csv; charset=utf-8",
    "json": "application/json",
}
POLICY = "default-src 'none'; style-src {styles}; base-uri 'none'; form-action 'none'; frame-ancestors 'none'"
"""A document has its own style sheet in it, which is let through by what is in it; nothing else is."""
MOST = 60
"""Documents of one kind that are listed; older ones are made by command."""

_STYLE = re.compile(r"<style>(.*?)</style>", re.DOTALL)


class LibraryError(Exception):
    """There is no such document, or it cannot be made now; the message is sentences for people."""


class Shift(NamedTuple):
    """A shift that is over."""

    line: str
    shift: str
    start: float
    end: float


class Contents(Struct, frozen=True):
    """What there are documents about."""

    shifts: Sequence[Shift] = ()
    """Newest first."""
    season: int | None = None
    """The newest; the names below are of it."""
    growers: Sequence[str] = ()
    loads: Sequence[str] = ()
    """Newest first."""
    vats: Sequence[str] = ()
    trailers: Sequence[str] = ()


class Library(Protocol):
    """Where documents come from. Both wait for the disk."""

    def contents(self) -> Contents:
        """What there is. Raises LibraryError."""

    def document(self, kind: str, name: str, form: str) -> bytes:
        """One of `KINDS` about this name, as one of `FORMS`. Raises LibraryError."""


class Documents:
    """Serves the documents of a library."""

    def __init__(self, library: Library, words: Words) -> None:
        self._library = library
        self._words = words
        self._one_at_a_time = asyncio.Semaphore()

    def routes(self) -> list[web.RouteDef]:
        """What is served here."""
        return [web.get("/document/{kind}/{name}/{form}", self._serve)]

    async def contents(self) -> Contents:
        """What there is; nothing where the store cannot be read."""
        try:
            return await asyncio.to_thread(self._library.contents)
        except LibraryError:
            return Contents()

    async def _serve(self, request: web.Request) -> web.Response:
        kind, name, form = (request.match_info[key] for key in ("kind", "name", "form"))
        if kind not in KINDS or form not in FORMS:
            raise web.HTTPNotFound(text="There is no such document.")
        try:
            async with self._one_at_a_time:
                body = await asyncio.to_thread(self._library.document, kind, name, form)
        except LibraryError as error:
            note_refusal(request, "not found")
            title = self._words("reports.none")
            return page(document.message_page(self._words, title, str(error), back="/"), status=404)
        response = web.Response(body=body, headers={hdrs.CONTENT_TYPE: FORMS[form]})
        if form == "html":
            response.headers["Content-Security-Policy"] = policy(body.decode())
            response.enable_compression()
        else:
            file = quote(f"{kind}-{name}.{form}", safe="")
            response.headers[hdrs.CONTENT_DISPOSITION] = f"inline; filename*=UTF-8''{file}"
        return response


def policy(html: str) -> str:
    """The policy under which a document shows as it was made, and can do nothing."""
    hashes = (base64.b64encode(hashlib.sha256(style.encode()).digest()).decode() for style in _STYLE.findall(html))
    return POLICY.format(styles=" ".join(f"'sha256-{found}'" for found in hashes) or "'none'")


def draw(contents: Contents, style: Style, *, now: float) -> Html:
    """Every document there is, each in every form."""
    words = style.words
    if contents.season is None:
        return el(
            "section",
            el("h2", words("reports.shifts")),
            el("p", words("reports.nothing"), class_="note"),
            class_="card",
        )
    shifts = [
        _row(
            "shift",
            shift.shift,
            words("reports.shift", shift=shift.shift, line=shift.line),
            f"{style.clock.minute(shift.start, now=now)} – {style.clock.minute(shift.end, now=now)}",
            words,
        )
        for shift in contents.shifts[:MOST]
    ]
    season = [_row("season", str(contents.season), words("reports.season", year=contents.season), "", words)]
    names = {"grower": contents.growers, "vat": contents.vats, "trailer": contents.trailers, "load": contents.loads}
    about = [
        _section(words(f"reports.{kind}s"), [_row(kind, n, n, "", words) for n in found[:MOST]])
        for kind, found in names.items()
        if found
    ]
    return join(_section(words("reports.shifts"), [*season, *shifts]), *about)


def _section(title: str, rows: Sequence[Html]) -> Html:
    return el("section", el("h2", title), el("ul", *rows, class_="rows papers"), class_="card")


def _row(kind: str, name: str, title: str, note: str, words: Words) -> Html:
    """A document's name and its forms; the first is what one reads."""
    path = f"/document/{kind}/{quote(name, safe='')}"
    first, *others = (
        el(
            "a",
            words("reports.open") if form == "html" else form.upper(),
            href=f"{path}/{form}",
            aria_label=f"{title}: {form.upper()}",
            class_="button",
        )
        for form in FORMS
    )
    return el(
        "li",
        el("p", title, class_="what"),
        el("p", note, class_="note") if note else None,
        el("p", first, *others, class_="buttons"),
    )
