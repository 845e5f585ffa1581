"""Serves the page, on this computer only, inside the service's own loop."""

import asyncio
import ipaddress
from collections.abc import Awaitable, Callable
from types import TracebackType
from typing import Self

from aiohttp import hdrs, web

from tumpline.adapters.web import document
from tumpline.adapters.web.assets import Assets, etag_of, known_already, not_modified
from tumpline.adapters.web.feed import Feed
from tumpline.adapters.web.posts import Posts, page, refuse_other_sites, who
from tumpline.adapters.web.screen import Screen, Style, draw
from tumpline.adapters.web.words import Clock
from tumpline.runtime.board import Board
from tumpline.runtime.desk import Desk
from tumpline.settings import Site

BETWEEN_TICKS = 0.5
QUIET = 2.0
"""Seconds after which open pages are told that nothing has changed: they count a longer silence as a lost link."""
STOPPING = 1.0
LARGEST_FORM = 16 * 1024
HEADERS = {
    "Content-Security-Policy": "default-src 'self'; base-uri 'none'; form-action 'self'; frame-ancestors 'none'",
    "X-Content-Type-Options": "nosniff",
    "X-Frame-Options": "DENY",
    "Referrer-Policy": "same-origin",
    "Cross-Origin-Opener-Policy": "same-origin",
    "Cross-Origin-Resource-Policy": "same-origin",
    hdrs.CACHE_CONTROL: "no-cache",
    hdrs.VARY: "Accept-Encoding, Cookie",
    hdrs.SERVER: "Tumpline",
}


class Page:
    """
    The page of all lines, listening within `async with`.

    `run()` keeps open pages up to date and never returns: own it as a task. `now` gives event time in seconds;
    `silent_after` is how many such seconds without a live view mean that there is no data. Raises ValueError for
    an address beyond this computer, OSError where the port is taken.
    """

    def __init__(
        self,
        *,
        board: Board,
        desk: Desk,
        host: str,
        port: int,
        site: Site,
        now: Callable[[], float],
        silent_after: float = 15.0,
    ) -> None:
        if not _is_loopback(host):
            raise ValueError(
                f"The page cannot listen on {host}: until people can log in, it is only served on this computer "
                "(127.0.0.1, ::1 or localhost)."
            )
        self._board = board
        self._host, self._port = host, port
        self._now = now
        self._site_name = site.name
        self._style = Style(
            clock=Clock(site.timezone),
            imperial=site.units == "imperial",
            silent_after=silent_after,
            reasons=site.stop_reasons,
        )
        self._assets = Assets()
        self._feed = Feed(board.lines, self._draw, self._assets.build)
        self._runner = web.AppRunner(
            self._application(Posts(desk, self._line)),
            handle_signals=False,
            access_log=None,
            shutdown_timeout=STOPPING,
        )

    @property
    def url(self) -> str:
        """Where the page is; within `async with` only."""
        host, port = self._runner.addresses[0][:2]
        return f"http://[{host}]:{port}/" if ":" in host else f"http://{host}:{port}/"

    async def __aenter__(self) -> Self:
        await self._runner.setup()
        try:
            await web.TCPSite(self._runner, self._host, self._port).start()
        except OSError:
            await self._runner.cleanup()
            raise
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        await self._runner.cleanup()

    async def run(self) -> None:
        """Tell open pages what changes, until cancelled."""
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

    def _application(self, posts: Posts) -> web.Application:
        application = web.Application(client_max_size=LARGEST_FORM, middlewares=[_guard])
        application.add_routes(
            [
                web.get("/", self._first),
                web.get("/line/{line}", self._page),
                web.get("/line/{line}/socket", self._socket),
                web.get("/static/{name}", self._assets.serve),
                *posts.routes(),
            ]
        )
        application.on_response_prepare.append(_add_headers)
        application.on_shutdown.append(self._say_goodbye)
        return application

    def _draw(self, line: str) -> Screen:
        return draw(self._board.line(line), self._style, now=self._now())

    def _line(self, request: web.Request) -> str:
        line = request.match_info["line"]
        if line not in self._board.lines:
            raise web.HTTPNotFound(text=f"There is no line {line!r} here. Lines: {', '.join(self._board.lines)}.")
        return line

    async def _first(self, request: web.Request) -> web.Response:
        return self._show(request, self._board.lines[0])

    async def _page(self, request: web.Request) -> web.Response:
        return self._show(request, self._line(request))

    def _show(self, request: web.Request, line: str) -> web.Response:
        text = document.live_page(
            self._draw(line),
            line=line,
            lines=self._board.lines,
            site=self._site_name,
            build=self._assets.build,
            who=who(request) or None,
        )
        etag = etag_of(text.encode())
        if known_already(request, etag):
            return not_modified(etag)
        response = page(text)
        response.etag = etag
        return response

    async def _socket(self, request: web.Request) -> web.WebSocketResponse:
        line = self._line(request)
        refuse_other_sites(request)
        return await self._feed.serve(request, line)

    async def _say_goodbye(self, _: web.Application) -> None:
        await self._feed.close()


@web.middleware
async def _guard(
    request: web.Request, handler: Callable[[web.Request], Awaitable[web.StreamResponse]]
) -> web.StreamResponse:
    """Answer only to this computer's own names, so that no foreign name can be pointed here; forms only from here."""
    if not _is_loopback(request.url.host or ""):
        raise web.HTTPForbidden(text="This page is only served to this computer, as localhost or 127.0.0.1.")
    if request.method not in (hdrs.METH_GET, hdrs.METH_HEAD):
        refuse_other_sites(request)
    return await handler(request)


async def _add_headers(_: web.Request, response: web.StreamResponse) -> None:
    for name, value in HEADERS.items():
        response.headers[name] = value


def _is_loopback(host: str) -> bool:
    if host == "localhost":
        return True
    try:
        return ipaddress.ip_address(host.strip("[]")).is_loopback
    except ValueError:
        return False
