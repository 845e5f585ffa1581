"""Logging in and out."""

import asyncio
import math
from collections.abc import Callable

import structlog
from aiohttp import hdrs, web

from tumpline.adapters.web import document
from tumpline.adapters.web.door import LOG_IN, Door, address_of, clean, note_refusal, own_path
from tumpline.adapters.web.errors import PageError
from tumpline.adapters.web.guesses import Guesses
from tumpline.adapters.web.people import LONGEST_PASSWORD, People
from tumpline.adapters.web.replies import field, page
from tumpline.adapters.web.sessions import Sessions
from tumpline.adapters.web.words import Words

log = structlog.get_logger(__name__)

_LOGGED = {"log.wrong": "wrong password", "log.wait": "too many wrong passwords"}


class LogIn:
    """The log-in page and what it sends."""

    def __init__(
        self, *, door: Door, people: People, sessions: Sessions, words: Words, now: Callable[[], float]
    ) -> None:
        self._door = door
        self._people = people
        self._sessions = sessions
        self._words = words
        self._now = now
        self._guesses = Guesses()
        self._one_at_a_time = asyncio.Semaphore()
        """A hash takes memory: however many guess at once, only one is worked out."""

    def routes(self) -> list[web.RouteDef]:
        """What is served here."""
        return [web.get(LOG_IN, self._ask), web.post(LOG_IN, self._enter), web.post("/log-out", self._leave)]

    async def _ask(self, request: web.Request) -> web.Response:
        return page(document.log_in_page(self._words, back=own_path(request.query.get("back", "/"))))

    async def _enter(self, request: web.Request) -> web.Response:
        back = own_path(await field(request, "back") or "/")
        name, password = clean(await field(request, "name")), await field(request, "password") or ""
        address = address_of(request)
        async with self._one_at_a_time:
            wait = self._guesses.wait(name, address, self._now())
            if wait > 0.0:
                return self._refuse(request, back, name, "log.wait", 429, seconds=math.ceil(wait))
            person = await asyncio.to_thread(self._people.check, name, password[:LONGEST_PASSWORD])
            if person is None:
                self._guesses.wrong(name, address, self._now())
                return self._refuse(request, back, name, "log.wrong", 403)
        self._guesses.right(name, address)
        try:
            token = self._sessions.begin(person, self._now())
        except PageError as error:
            return page(
                document.message_page(self._words, self._words("refused.title"), str(error), back="/"), status=500
            )
        log.info("page.logged-in", name=person.name, address=address)
        response = web.Response(status=303, headers={hdrs.LOCATION: back})
        self._door.let_in(request, response, token, person.role)
        return response

    async def _leave(self, request: web.Request) -> web.Response:
        self._sessions.end(request.cookies.get(self._door.cookie(request), ""))
        response = web.Response(status=303, headers={hdrs.LOCATION: LOG_IN})
        self._door.let_out(request, response)
        return response

    def _refuse(self, request: web.Request, back: str, name: str, why: str, status: int, **values: int) -> web.Response:
        note_refusal(request, _LOGGED[why], name=name)
        refused = self._words(why, **values)
        response = page(document.log_in_page(self._words, back=back, name=name, refused=refused), status=status)
        if "seconds" in values:
            response.headers[hdrs.RETRY_AFTER] = str(values["seconds"])
        return response
