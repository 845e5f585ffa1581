"""What people send from the page: ordinary forms, turned into book entries.

Nothing here goes to a machine: a form becomes an entry of the shift book, and takes the same way as any other.
"""

from collections.abc import Callable
from urllib.parse import quote, unquote

from aiohttp import hdrs, web

from tumpline.adapters.web import document
from tumpline.adapters.web.screen import line_path
from tumpline.runtime.desk import Desk
from tumpline.wire.words import Refused

COOKIE = "tumpline_who"
COOKIE_SECONDS = 90 * 24 * 3600
OWN_SITE = frozenset(["same-origin", "none"])


class Posts:
    """The forms of the page."""

    def __init__(self, desk: Desk, known_line: Callable[[web.Request], str]) -> None:
        self._desk = desk
        self._line = known_line

    def routes(self) -> list[web.RouteDef]:
        """What is served here."""
        return [
            web.post("/line/{line}/acknowledge", self._acknowledge),
            web.get("/line/{line}/reason", self._ask_reason),
            web.post("/line/{line}/reason", self._reason),
            web.get("/line/{line}/who", self._ask_who),
            web.post("/line/{line}/who", self._who),
        ]

    async def _acknowledge(self, request: web.Request) -> web.Response:
        return await self._enter(request, "acknowledge", "alarm")

    async def _reason(self, request: web.Request) -> web.Response:
        return await self._enter(request, "reason", "stop", "reason")

    async def _ask_reason(self, request: web.Request) -> web.Response:
        path = line_path(self._line(request))
        stop = request.query.get("stop", "")
        return page(document.reason_page(action=f"{path}/reason", back=path, stop=stop))

    async def _ask_who(self, request: web.Request) -> web.Response:
        path = line_path(self._line(request))
        return page(document.name_page(action=f"{path}/who", back=path, kept={}))

    async def _who(self, request: web.Request) -> web.Response:
        path = line_path(self._line(request))
        name = clean(await _field(request, "by"))
        if not name:
            return page(document.name_page(action=f"{path}/who", back=path, kept={}, refused=NO_NAME), status=422)
        return _see_other(path, name)

    async def _enter(self, request: web.Request, kind: str, *fields: str) -> web.Response:
        """Hand an entry in; without a name, ask for it first and keep what was sent."""
        line = self._line(request)
        path = line_path(line)
        body = {field: clean(await _field(request, field)) for field in fields}
        given = await _field(request, "by")
        name = who(request) if given is None else clean(given)
        if not name:
            refused = None if given is None else NO_NAME
            asked = document.name_page(action=f"{path}/{kind}", back=path, kept=body, refused=refused)
            return page(asked, status=200 if given is None else 422)
        answer = await self._desk.submit(line, kind, {**body, "by": name})
        if isinstance(answer, Refused):
            return page(document.message_page("That was not taken down", answer.reason, back=path), status=422)
        return _see_other(path, name)


NO_NAME = f"A name is needed, of at most {document.LONGEST_NAME} letters."


def page(text: str, *, status: int = 200) -> web.Response:
    """A whole document as an answer."""
    response = web.Response(text=text, content_type="text/html", status=status)
    response.enable_compression()
    return response


def who(request: web.Request) -> str:
    """The name this browser keeps; empty where there is none."""
    return clean(unquote(request.cookies.get(COOKIE, "")))


def clean(text: str | None) -> str:
    """What was typed, on one line and not longer than a name."""
    return " ".join("".join(c if c.isprintable() else " " for c in text or "").split())[: document.LONGEST_NAME]


def refuse_other_sites(request: web.Request) -> None:
    """
    Another site must not make a browser write into the book or listen in.

    A browser says where a form or a socket comes from; what says nothing is no browser.
    """
    site = request.headers.get("Sec-Fetch-Site")
    origin = request.headers.get(hdrs.ORIGIN)
    if (site is not None and site not in OWN_SITE) or (origin is not None and origin != f"http://{request.host}"):
        raise web.HTTPForbidden(text="This was sent from another site's page. It is only taken from this page itself.")


async def _field(request: web.Request, name: str) -> str | None:
    value = (await request.post()).get(name)
    return value if isinstance(value, str) else None


def _see_other(path: str, name: str) -> web.Response:
    response = web.Response(status=303, headers={hdrs.LOCATION: path})
    response.set_cookie(COOKIE, quote(name), max_age=COOKIE_SECONDS, httponly=True, samesite="Strict")
    return response
