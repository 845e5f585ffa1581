"""A browser without a screen: it keeps its cookies, sends forms, and follows nothing by itself."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path
from typing import NamedTuple

import aiohttp

from fake_line import half_hour
from live_page import LOOPBACK, FakeDesk, served
from page_book import morning
from tumpline.adapters.web.people import add_person
from tumpline.runtime.board import Board
from tumpline.settings import Page as Place

PASSWORD = "three dry pomaces"


class Answer(NamedTuple):
    """What came back."""

    status: int
    text: str
    location: str
    headers: "aiohttp.typedefs.LooseHeaders"


class Visit:
    """One browser at one page."""

    def __init__(self, url: str, client: aiohttp.ClientSession, board: Board, desk: FakeDesk) -> None:
        self.url, self.client, self.board, self.desk = url, client, board, desk

    async def get(self, path: str, **headers: str) -> Answer:
        """Look at an address."""
        async with self.client.get(self.url + path, headers=headers, allow_redirects=False) as answer:
            return Answer(answer.status, await answer.text(), answer.headers.get("Location", ""), answer.headers)

    async def post(
        self, path: str, form: dict[str, str] | list[tuple[str, str]] | None = None, **headers: str
    ) -> Answer:
        """Send a form."""
        url = self.url + path
        async with self.client.post(url, data=form or {}, headers=headers, allow_redirects=False) as answer:
            return Answer(answer.status, await answer.text(), answer.headers.get("Location", ""), answer.headers)

    async def log_in(self, name: str, password: str = PASSWORD) -> Answer:
        """Say who one is."""
        return await self.post("/log-in", {"name": name, "password": password})


@asynccontextmanager
async def visiting(place: Place = LOOPBACK, sessions: Path = Path("no-such.sessions")) -> AsyncIterator[Visit]:
    """A browser at the page of a line with a busy morning."""
    board = Board(["line-1"])
    desk = FakeDesk(board)
    half_hour(board)
    morning(board)
    jar = aiohttp.CookieJar(unsafe=True)
    async with (
        served(board, desk=desk, place=place, sessions=sessions) as page,
        aiohttp.ClientSession(cookie_jar=jar) as client,
    ):
        yield Visit(page.url.rstrip("/"), client, board, desk)


def people_place(folder: Path) -> Place:
    """Settings of a page at which Ada may manage, Wystan operate, and the wall look."""
    path = folder / "people.json"
    for name, role in (("Ada", "manage"), ("Wystan", "operate"), ("Wall", "look")):
        add_person(path, name, role, PASSWORD)  # type: ignore[arg-type]  # the roles there are
    return Place(people_file=path)
