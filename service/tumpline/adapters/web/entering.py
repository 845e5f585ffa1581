"""Forms of the shift book that are filled in: each becomes an entry, or comes back with what is wrong."""

import asyncio
import re
from collections.abc import Callable, Mapping, Sequence
from typing import NamedTuple
from urllib.parse import urlencode

import msgspec
import structlog
from aiohttp import web
from multidict import MultiMapping

from tumpline.adapters.web import corrections, document, fields
from tumpline.adapters.web.door import VISITOR, Visitor, keep_name, refused
from tumpline.adapters.web.fields import Filled
from tumpline.adapters.web.forms import FORMS, Field, Form
from tumpline.adapters.web.replies import page, see_other
from tumpline.adapters.web.screen import line_path
from tumpline.adapters.web.typed import Kept, bodies, one, read
from tumpline.adapters.web.words import Style
from tumpline.pressing.logbook import Noted
from tumpline.runtime.board import Board
from tumpline.runtime.desk import Desk
from tumpline.settings import Role
from tumpline.wire.words import Refused

log = structlog.get_logger(__name__)

BY = Field("by", required=True)
"""Asked for where nobody logs in."""
LINE_SAYS = 1.0
"""s the line may take to say what it makes of an entry."""
_NAMED = re.compile(r'"(\w+)"')


class _Sheet(NamedTuple):
    """One form at one address."""

    line: str
    form: Form
    action: str
    first_by: str | None = None
    """Who wrote the entry that is put right."""

    @property
    def home(self) -> str:
        """Address of the page it belongs to."""
        return line_path(self.line, "alarms" if self.form.field("alarm") else "book")


class Entering:
    """Serves every form of `FORMS`, empty or prefilled by the address, and one for every entry to be put right."""

    def __init__(self, *, board: Board, desk: Desk, style: Style, known_line: Callable[[web.Request], str]) -> None:
        self._board = board
        self._desk = desk
        self._style = style
        self._line = known_line

    def routes(self) -> list[web.RouteDef]:
        """What is served here."""
        return [
            web.get("/line/{line}/book/correct/{entry}", self._ask_again),
            web.post("/line/{line}/book/correct/{entry}", self._correct),
            web.get("/line/{line}/book/{form}", self._ask),
            web.post("/line/{line}/book/{form}", self._enter),
        ]

    async def _ask(self, request: web.Request) -> web.Response:
        return self._show(request, self._sheet(request), _several(request.query))

    async def _enter(self, request: web.Request) -> web.Response:
        sheet, kept = self._sheet(request), _several(await request.post())
        visitor = allowed(request, sheet.form.role)
        if "more" in kept:
            return self._show(request, sheet, kept)
        typed = read(sheet.form, kept, words=self._style.words, zone=self._style.clock.zone)
        by = self._by(visitor, kept, typed.wrong)
        if typed.wrong:
            return self._show(request, sheet, kept, typed.wrong)
        return await self._submit(
            request, sheet, kept, [(sheet.form.kind, body) for body in bodies(sheet.form, typed)], by
        )

    async def _ask_again(self, request: web.Request) -> web.Response:
        sheet, noted = self._correction(request)
        kept = _several(request.query) or corrections.filled(noted, self._style.words, self._style.clock.zone)
        return self._show(request, sheet, kept)

    async def _correct(self, request: web.Request) -> web.Response:
        (sheet, noted), kept = self._correction(request), _several(await request.post())
        visitor = allowed(request, "operate")
        if visitor.name.casefold() != noted.by.casefold() and not visitor.may("manage"):
            raise refused(request, "not theirs", self._style.words("wrong.not-yours", name=noted.by), name=visitor.name)
        if "more" in kept:
            return self._show(request, sheet, kept)
        words, zone = self._style.words, self._style.clock.zone
        typed = read(sheet.form, kept, words=words, zone=zone)
        by = self._by(visitor, kept, typed.wrong)
        changed = {} if typed.wrong else corrections.changes(noted, typed, sheet.form, words, zone)
        if not typed.wrong and not changed:
            typed.wrong["form"] = words("wrong.unchanged")
        if typed.wrong:
            return self._show(request, sheet, kept, typed.wrong)
        return await self._submit(request, sheet, kept, [("correct", {"entry": noted.id, "fields": changed})], by)

    async def _submit(
        self,
        request: web.Request,
        sheet: _Sheet,
        kept: Kept,
        entries: Sequence[tuple[str, dict[str, object]]],
        by: str,
    ) -> web.Response:
        """Hand the entries in; the first that is refused brings the form back."""
        for kind, body in entries:
            answer = await self._desk.submit(sheet.line, kind, {**body, "by": by})
            if isinstance(answer, Refused):
                return self._show(request, sheet, kept, beside(answer.reason, sheet.form, self._style))
            refused = await self._refused(sheet.line, answer.id)
            if refused is not None:
                return self._show(request, sheet, kept, beside(refused, sheet.form, self._style))
            log.info("page.entered", line=sheet.line, kind=kind, entry=answer.id, by=by)
        response = see_other(f"{sheet.home}?{urlencode({'taken': sheet.form.name})}")
        if not request[VISITOR].proven:
            keep_name(response, by)
        return response

    async def _refused(self, line: str, entry: str) -> str | None:
        """Why the line could not take an entry, which it says as soon as it has it; None where it took it."""
        book = self._board.line(line).book
        with self._board.subscribe() as changed:
            try:
                async with asyncio.timeout(LINE_SAYS):
                    while (noted := book.find(entry)) is None:
                        await changed.wait()
                        changed.clear()
            except TimeoutError:
                return None  # it is in the journal, and the book will say what became of it
        return noted.refused

    def _by(self, visitor: Visitor, kept: Kept, wrong: dict[str, str]) -> str:
        """Who writes: whoever is logged in, else the name that was typed."""
        by = visitor.name if visitor.proven else one(kept, "by")
        if not by:
            wrong["by"] = self._style.words("wrong.needed")
        return by

    def _sheet(self, request: web.Request) -> _Sheet:
        line, form = self._line(request), FORMS.get(request.match_info["form"])
        if form is None:
            raise web.HTTPNotFound(text=f"There is no such form here. Forms: {', '.join(FORMS)}.")
        return _Sheet(line, form, line_path(line, "book", form.name))

    def _correction(self, request: web.Request) -> tuple[_Sheet, Noted]:
        line = self._line(request)
        noted = self._board.line(line).book.find(request.match_info["entry"])
        form = corrections.form_of(noted) if noted else None
        if noted is None or form is None:
            raise web.HTTPNotFound(text="There is no such entry in the last two weeks' book that could be put right.")
        return _Sheet(line, form, line_path(line, "book", "correct", noted.id), noted.by), noted

    def _subject(self, sheet: _Sheet, kept: Kept) -> str:
        """What a form is about that does not ask for it: an alarm, or a stop by its start."""
        if sheet.form.field("alarm"):
            return self._style.words.named("alarm", one(kept, "alarm"))
        stops = self._board.line(sheet.line).stops if sheet.form.field("stop") else ()
        start = next((stop.start for stop in stops if stop.id == one(kept, "stop")), None)
        return "" if start is None else self._style.clock.minute(start)

    def _show(
        self, request: web.Request, sheet: _Sheet, kept: Kept, wrong: Mapping[str, str] | None = None
    ) -> web.Response:
        style, visitor = self._style, request[VISITOR]
        form = sheet.form
        if not visitor.proven:
            form = msgspec.structs.replace(form, fields=(*form.fields, BY))
            kept = {"by": [visitor.name], **kept}
        filled = Filled(form, kept, wrong or {}, style.clock.zone)
        drawn = fields.draw(filled, self._board.line(sheet.line), style, action=sheet.action)
        title = style.words(f"form.{form.name}")
        subject = self._subject(sheet, kept)
        if subject:
            title = f"{title}: {subject}"
        if sheet.first_by is not None:
            title = style.words("form.correct", title=title, by=sheet.first_by)
        text = style.words(f"form.{form.name}-text")
        whole = document.form_page(style.words, title, text, drawn, back=sheet.home)
        return page(whole, status=422 if wrong else 200)


def allowed(request: web.Request, role: Role) -> Visitor:
    """The visitor, where they may do that. Raises HTTPForbidden for anybody else."""
    visitor = request[VISITOR]
    if not visitor.may(role):
        sentence = f"{visitor.name} may {visitor.role} here; whoever may {role} can do that."
        raise refused(request, "role", sentence, name=visitor.name)
    return visitor


def beside(reason: str, form: Form, style: Style) -> dict[str, str]:
    """A refusal's sentence beside the field it names, else above the form."""
    sentence = style.words.line(reason.removeprefix(f"{form.kind}: ").removeprefix("correct: ")).text
    for name in _NAMED.findall(sentence):
        if form.field(name):
            text = sentence.replace(f'"{name}"', fields.label(name, style))
            return {name: text[:1].upper() + text[1:]}
    return {"form": sentence[:1].upper() + sentence[1:]}


def _several(form: MultiMapping[object]) -> dict[str, list[str]]:
    """A form or an address's question: every name with all its texts."""
    return {key: [value for value in form.getall(key) if isinstance(value, str)] for key in form}
