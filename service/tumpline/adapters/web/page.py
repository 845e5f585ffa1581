"""Serves the page inside the service's own loop: on this computer to everybody, elsewhere to who may come in."""

import asyncio
import ssl
from collections.abc import Callable, Mapping
from pathlib import Path
from types import MappingProxyType, TracebackType
from typing import Self

import structlog
from aiohttp import hdrs, web

from tumpline.adapters.web import alarms_page, book_page, document, signals_page, sure_page
from tumpline.adapters.web import library as papers
from tumpline.adapters.web.answers import Answers
from tumpline.adapters.web.assets import Assets, etag_of, known_already, not_modified
from tumpline.adapters.web.document import Frame
from tumpline.adapters.web.door import VISITOR, Door
from tumpline.adapters.web.entering import Entering
from tumpline.adapters.web.errors import PageError
from tumpline.adapters.web.feed import Feed
from tumpline.adapters.web.forms import FORMS
from tumpline.adapters.web.library import Contents, Documents, Library
from tumpline.adapters.web.login import LogIn
from tumpline.adapters.web.panels import Span
from tumpline.adapters.web.people import People
from tumpline.adapters.web.posts import Posts
from tumpline.adapters.web.replies import page
from tumpline.adapters.web.screen import Screen, View, common, floor
from tumpline.adapters.web.sessions import Sessions
from tumpline.adapters.web.words import Clock, Plan, Style, Words
from tumpline.runtime.board import Board
from tumpline.runtime.desk import Desk
from tumpline.settings import Page as Place
from tumpline.settings import Site, is_loopback

log = structlog.get_logger(__name__)

BETWEEN_TICKS = 0.5
QUIET = 2.0
"""Seconds after which open pages are told that nothing has changed: they count a longer silence as a lost link."""
STOPPING = 1.0
LARGEST_FORM = 16 * 1024
POLICY = "Content-Security-Policy"
HEADERS = {
    POLICY: "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    hdrs.CACHE_CONTROL: "no-cache",
    hdrs.VARY: "Accept-Encoding, Cookie",
    hdrs.SERVER: "Tumpline",
}
SECTIONS = {
    "alarms": alarms_page.SECTIONS,
    "book": book_page.SECTIONS,
    "signals": signals_page.SECTIONS,
    "sure": sure_page.SECTIONS,
}
NO_PLANS: Mapping[str, Plan] = MappingProxyType({})


class Page:
    """
    The pages of all lines, listening within `async with`.

    `run()` keeps open pages up to date and never returns: own it as a task. `now` gives event time in seconds,
    `running` wall seconds; `silent_after` is how many seconds of event time without a live view mean that there is no
    data; `sessions` is the file of log-ins, `library` where documents come from. Raises PageError where nobody could
    log in or a certificate cannot be read, OSError where the port is taken.
    """

    def __init__(
        self,
        *,
        board: Board,
        desk: Desk,
        place: Place,
        site: Site,
        sessions: Path,
        now: Callable[[], float],
        running: Callable[[], float],
        library: Library | None = None,
        plans: Mapping[str, Plan] = NO_PLANS,
        silent_after: float = 15.0,
    ) -> None:
        self._board = board
        self._place = place
        self._now = now
        self._site_name = site.name
        words = Words(place.language)
        self._style = Style(
            words=words,
            clock=Clock(site.timezone, words),
            imperial=site.units == "imperial",
            silent_after=silent_after,
            reasons=site.reasons(place.language),
            plans=plans,
        )
        self._assets = Assets()
        self._feed = Feed(self._draw, self._assets.build)
        self._answers = Answers()
        people = People(place.people_file) if place.people_file else None
        kept = Sessions(sessions)
        self._door = Door(place, people=people, sessions=kept, now=now)
        self._posts = Posts(
            desk=desk,
            answers=self._answers,
            words=words,
            known_line=self._line,
            running=running,
            changed=board.changed,
        )
        routes = [*self._posts.routes()]
        routes += Entering(board=board, desk=desk, style=self._style, known_line=self._line).routes()
        self._documents = Documents(library, words) if library is not None else None
        if self._documents is not None:
            routes += self._documents.routes()
        if people is not None:
            routes += LogIn(door=self._door, people=people, sessions=kept, words=words, now=now).routes()
        self._runner = web.AppRunner(
            self._application(routes), handle_signals=False, access_log=None, shutdown_timeout=STOPPING
        )

    @property
    def url(self) -> str:
        """Where the page is; within `async with` only."""
        host, port = self._runner.addresses[0][:2]
        scheme = "https" if self._place.certificate_file else "http"
        return f"{scheme}://[{host}]:{port}/" if ":" in host else f"{scheme}://{host}:{port}/"

    async def __aenter__(self) -> Self:
        await self._runner.setup()
        try:
            await web.TCPSite(self._runner, self._place.host, self._place.port, ssl_context=_tls(self._place)).start()
        except OSError:
            await self._runner.cleanup()
            raise
        if not is_loopback(self._place.host) and not self._place.certificate_file and not self._place.proxy:
            log.warning("page.in-the-clear", host=self._place.host, accepted="certificate_file, key_file")
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self._runner.cleanup()

    async def run(self) -> None:
        """Tell open pages what changes and write down what was answered, until cancelled."""
        await asyncio.gather(self._tell(), self._settle())

    async def _tell(self) -> None:
        with self._board.subscribe() as changed:
            while True:
                try:
                    async with asyncio.timeout(QUIET):
                        await changed.wait()
                except TimeoutError:
                    pass  # nothing has changed, and that is told too
                changed.clear()
                self._feed.push()
                await asyncio.sleep(BETWEEN_TICKS)

    async def _settle(self) -> None:
        while True:
            await self._posts.settle()
            await self._feed.show_out()
            await asyncio.sleep(BETWEEN_TICKS)

    def _application(self, routes: list[web.RouteDef]) -> web.Application:
        application = web.Application(client_max_size=LARGEST_FORM, middlewares=[self._door.guard])
        application.add_routes(
            [
                web.get("/", self._first),
                web.get("/line/{line}", self._floor),
                *(web.get(f"/line/{{line}}/{name}", self._list) for name in SECTIONS),
                web.get("/line/{line}/reports", self._reports),
                web.get("/line/{line}/socket", self._socket),
                web.get("/static/{name}", self._assets.serve),
                *routes,
            ]
        )
        application.on_response_prepare.append(_add_headers)
        application.on_shutdown.append(self._say_goodbye)
        return application

    def _draw(self, view: View) -> Screen:
        board, now = self._board.line(view.line), self._now()
        screen = common(board, self._style, now=now)
        match view.page:
            case "alarms":
                parts = alarms_page.parts(board, self._style, now=now)
            case "book":
                parts = book_page.parts(board, self._style)
            case "signals":
                parts = signals_page.parts(board, self._style, now=now)
            case "sure":
                parts = sure_page.parts(board, self._style)
            case "reports":
                parts = {}
            case _:
                parts = floor(board, self._style, view.span, self._answers.of(view.line), now=now)
        return Screen(screen.old, screen.heard, screen.parts | {key: part.text for key, part in parts.items()})

    def _line(self, request: web.Request) -> str:
        line = request.match_info["line"]
        if line not in self._board.lines:
            raise web.HTTPNotFound(text=f"There is no line {line!r} here. Lines: {', '.join(self._board.lines)}.")
        return line

    def _view(self, request: web.Request, name: str) -> View:
        spans = [span for span in Span if span.value == request.query.get("span")]
        return View(self._line(request), name, spans[0] if spans and name == "floor" else Span.HALF_HOUR)

    def _frame(self, request: web.Request) -> Frame:
        return Frame(self._style.words, self._site_name, self._board.lines, self._assets.build, request[VISITOR])

    async def _first(self, request: web.Request) -> web.Response:
        view = View(self._board.lines[0], "floor")
        return self._answer(request, document.floor_page(self._draw(view), view, self._frame(request)))

    async def _floor(self, request: web.Request) -> web.Response:
        view = self._view(request, "floor")
        return self._answer(request, document.floor_page(self._draw(view), view, self._frame(request)))

    async def _list(self, request: web.Request) -> web.Response:
        view = self._view(request, request.path.rsplit("/", 1)[1])
        taken = request.query.get("taken", "") in FORMS
        told = self._style.words("book.taken") if taken else None
        text = document.list_page(self._draw(view), view, self._frame(request), SECTIONS[view.page], told=told)
        return self._answer(request, text)

    async def _reports(self, request: web.Request) -> web.Response:
        view = self._view(request, "reports")
        contents = await self._documents.contents() if self._documents else Contents()
        still = papers.draw(contents, self._style, now=self._now())
        text = document.list_page(self._draw(view), view, self._frame(request), (), still=still)
        return self._answer(request, text)

    def _answer(self, request: web.Request, text: str) -> web.Response:
        etag = etag_of(text.encode())
        if known_already(request, etag):
            return not_modified(etag)
        response = page(text)
        response.etag = etag
        return response

    async def _socket(self, request: web.Request) -> web.WebSocketResponse:
        name = request.query.get("page", "floor")
        view = self._view(request, name if name in document.PAGES else "floor")
        self._door.refuse_other_sites(request)
        return await self._feed.serve(request, view, lambda: self._door.visitor(request) is not None)

    async def _say_goodbye(self, _: web.Application) -> None:
        await self._feed.close()


async def _add_headers(_: web.Request, response: web.StreamResponse) -> None:
    for name, value in HEADERS.items():
        if name != POLICY or name not in response.headers:  # a document brings a stricter one of its own
            response.headers[name] = value


def _tls(place: Place) -> ssl.SSLContext | None:
    """How the page is encrypted; None where it is not."""
    if place.certificate_file is None or place.key_file is None:
        return None
    context = ssl.create_default_context(ssl.Purpose.CLIENT_AUTH)
    try:
        context.load_cert_chain(place.certificate_file, place.key_file)
    except OSError as error:
        why = (error.strerror or str(error)).lower()
        sentence = f"The page's certificate cannot be used ({why}); a certificate and its key in PEM form are accepted."
        raise PageError(sentence) from error
    return context
