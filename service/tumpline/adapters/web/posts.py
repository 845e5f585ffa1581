"""What people send at one touch: that an alarm was seen, why the line stood, who they are.

Nothing here goes to a machine: a touch becomes an entry of the shift book, and takes the same way as any other.
"""

from collections.abc import Callable

import structlog
from aiohttp import web

from tumpline.adapters.web import document
from tumpline.adapters.web.answers import HELD, Answer, Answers
from tumpline.adapters.web.door import LONGEST_NAME, VISITOR, clean, keep_name
from tumpline.adapters.web.entering import allowed
from tumpline.adapters.web.replies import field, page, see_other
from tumpline.adapters.web.screen import line_path
from tumpline.adapters.web.words import Words
from tumpline.runtime.desk import Desk
from tumpline.wire.words import Refused

log = structlog.get_logger(__name__)

ONE_TOUCH = ("acknowledge", "unshelve", "reset", "in-service")
"""Entries that need nothing but the alarm's name."""
FOR_MANAGERS = frozenset(["in-service"])


class Posts:
    """The buttons of the page. `running` gives wall seconds; `changed` is called when there is something to show."""

    def __init__(
        self,
        *,
        desk: Desk,
        answers: Answers,
        words: Words,
        known_line: Callable[[web.Request], str],
        running: Callable[[], float],
        changed: Callable[[], None],
    ) -> None:
        self._desk = desk
        self._answers = answers
        self._words = words
        self._line = known_line
        self._running = running
        self._changed = changed

    def routes(self) -> list[web.RouteDef]:
        """What is served here."""
        return [
            *(web.post(f"/line/{{line}}/{kind}", self._about_alarm) for kind in ONE_TOUCH),
            web.get("/line/{line}/reason", self._ask_reason),
            web.post("/line/{line}/reason", self._reason),
            web.post("/line/{line}/reason-undo", self._undo),
            web.get("/line/{line}/who", self._ask_who),
            web.post("/line/{line}/who", self._who),
        ]

    async def settle(self) -> None:
        """Write down the answers that can no longer be taken back."""
        for answer in self._answers.due(self._running()):
            written = await self._desk.submit(answer.line, "reason", answer.body)
            if isinstance(written, Refused):
                log.warning("page.answer-refused", line=answer.line, stop=answer.stop, why=written.reason)
            self._changed()

    async def _about_alarm(self, request: web.Request) -> web.Response:
        line, kind = self._line(request), request.path.rsplit("/", 1)[1]
        body = {"alarm": clean(await field(request, "alarm"))}
        by = await self._by(request, kind, body)
        if isinstance(by, web.Response):
            return by
        answer = await self._desk.submit(line, kind, {**body, "by": by})
        back = self._back(request)
        if isinstance(answer, Refused):
            why = self._words.line(answer.reason).text
            return page(document.message_page(self._words, self._words("refused.title"), why, back=back), status=422)
        log.info("page.entered", line=line, kind=kind, entry=answer.id, by=by)
        return self._done(request, f"{back}#needs-title", by)

    async def _ask_reason(self, request: web.Request) -> web.Response:
        path = line_path(self._line(request))
        stop = request.query.get("stop", "")
        return page(document.reason_page(self._words, action=f"{path}/reason", back=path, stop=stop))

    async def _reason(self, request: web.Request) -> web.Response:
        line = self._line(request)
        body = {key: clean(await field(request, key)) for key in ("stop", "reason")}
        by = await self._by(request, "reason", body)
        if isinstance(by, web.Response):
            return by
        if not body["reason"]:
            return await self._ask_reason(request)
        self._answers.hold(Answer(line, body["stop"], body["reason"], by, self._running() + HELD))
        self._changed()
        return self._done(request, f"{line_path(line)}#ask-title", by)

    async def _undo(self, request: web.Request) -> web.Response:
        line = self._line(request)
        allowed(request, "operate")
        self._answers.take_back(line)
        self._changed()
        return see_other(f"{line_path(line)}#ask-title")

    async def _ask_who(self, request: web.Request) -> web.Response:
        path = line_path(self._line(request))
        return page(document.name_page(self._words, action=f"{path}/who", back=path, kept={}))

    async def _who(self, request: web.Request) -> web.Response:
        path = line_path(self._line(request))
        by = await self._by(request, "who", {})
        return by if isinstance(by, web.Response) else self._done(request, f"{path}#who", by)

    async def _by(self, request: web.Request, kind: str, body: dict[str, str]) -> str | web.Response:
        """Who sends this; or the page that asks for the name first and keeps what was sent."""
        visitor = allowed(request, "manage" if kind in FOR_MANAGERS else "operate")
        if visitor.proven:
            return visitor.name
        given = await field(request, "by")
        name = visitor.name if given is None and kind != "who" else clean(given)
        if name:
            return name
        path = line_path(self._line(request))
        refused = None if given is None else self._words("who.none", most=LONGEST_NAME)
        asked = document.name_page(self._words, action=f"{path}/{kind}", back=path, kept=body, refused=refused)
        return page(asked, status=200 if given is None else 422)

    def _back(self, request: web.Request) -> str:
        """The page the button stood on: the alarms', or the line's."""
        path = line_path(self._line(request))
        return f"{path}/alarms" if request.query.get("from") == "alarms" else path

    def _done(self, request: web.Request, path: str, by: str) -> web.Response:
        """Lead back to the place on the page where the button was: whoever uses a keyboard goes on from there."""
        response = see_other(path)
        if not request[VISITOR].proven:
            keep_name(response, by)
        return response
