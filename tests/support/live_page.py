"""A real page on a loopback port, fed by hand."""

import asyncio
import threading
import time
from collections.abc import AsyncIterator, Callable, Iterator
from contextlib import asynccontextmanager, contextmanager
from pathlib import Path
from typing import Self

from fake_line import NOW
from page_style import PLANS
from tumpline.adapters.web.library import Library
from tumpline.adapters.web.page import Page
from tumpline.pressing.events import EntryRefused
from tumpline.runtime.board import Board
from tumpline.runtime.desk import Accepted, Desk
from tumpline.settings import Page as Place
from tumpline.settings import Site
from tumpline.wire.documents import encode
from tumpline.wire.entries import read_entry
from tumpline.wire.words import Refused

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London", stop_reasons=("no fruit", "break"))


LOOPBACK = Place(host="127.0.0.1")
NOWHERE = Path("no-such-file.sessions")


class FakeDesk(Desk):
    """Takes entries and remembers them; refuses with `refusal` where there is one."""

    def __init__(self, board: Board | None = None) -> None:
        """With a board, what is taken stands in its book at once, as behind a real line."""
        self._board = board
        self.taken: list[tuple[str, str, dict[str, object]]] = []
        self.refusal: str | None = None
        self.line_refuses: str | None = None
        """What the line says of an entry that the desk has taken."""
        self.entered = asyncio.Event()
        """Something was taken."""

    async def submit(self, line: str, kind: str, body: dict[str, object]) -> Accepted | Refused:
        """Take an entry, or refuse it as the real one does."""
        if self.refusal:
            return Refused(self.refusal)
        made = read_entry(kind, encode(body), arrived=NOW, latest=NOW)
        if isinstance(made, EntryRefused):
            return Refused(made.reason)
        self.taken.append((line, kind, body))
        self.entered.set()
        if self._board is not None:
            self._board.enter(line, made)
            if self.line_refuses:
                self._board.line(line).book.refuse(kind, made.at, self.line_refuses)
        return Accepted(made.id)


@asynccontextmanager
async def served(
    board: Board,
    *,
    desk: Desk | None = None,
    place: Place = LOOPBACK,
    port: int = 0,
    sessions: Path = NOWHERE,
    library: Library | None = None,
    now: Callable[[], float] = lambda: NOW,
    running: Callable[[], float] = time.monotonic,
) -> AsyncIterator[Page]:
    """A page that is served and kept up to date within the block."""
    page = Page(
        board=board,
        desk=desk or FakeDesk(),
        place=place.model_copy(update={"port": port}),
        site=SITE,
        sessions=sessions,
        library=library,
        now=now,
        running=running,
        plans=PLANS,
    )
    async with page:
        running = asyncio.create_task(page.run())
        try:
            yield page
        finally:
            running.cancel()
            await asyncio.gather(running, return_exceptions=True)


class LivePage:
    """A page in a thread of its own, within `with`; `stop()` and `start()` keep its address."""

    def __init__(
        self, *lines: str, place: Place = LOOPBACK, sessions: Path = NOWHERE, library: Library | None = None
    ) -> None:
        self.place, self.sessions, self.library = place, sessions, library
        self.board = Board(lines or ("line-1",))
        self.desk = FakeDesk(self.board)
        self.now = NOW
        self.url = ""
        self._port = 0

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    def start(self) -> None:
        """Serve, until stopped."""
        self._ready = threading.Event()
        self._thread = threading.Thread(target=lambda: asyncio.run(self._serve()))
        self._thread.start()
        assert self._ready.wait(10.0), "the page did not start"

    def stop(self) -> None:
        """Stop serving; open pages lose their link."""
        if self._thread.is_alive():
            self._loop.call_soon_threadsafe(self._over.set)
        self._thread.join(10.0)
        assert not self._thread.is_alive(), "the page did not stop"

    def act(self, change: Callable[[Board], object]) -> None:
        """Change the board from within the page's own loop."""
        done = threading.Event()
        self._loop.call_soon_threadsafe(lambda: (change(self.board), done.set()))
        assert done.wait(10.0)

    @contextmanager
    def frozen(self) -> Iterator[None]:
        """Within the block the service hangs: its connections are open, and nothing moves."""
        go_on = threading.Event()
        self._loop.call_soon_threadsafe(go_on.wait)
        try:
            yield
        finally:
            go_on.set()

    async def _serve(self) -> None:
        self._loop, self._over = asyncio.get_running_loop(), asyncio.Event()
        keep = {"desk": self.desk, "place": self.place, "sessions": self.sessions, "now": lambda: self.now}
        keep["library"] = self.library
        async with served(self.board, port=self._port, **keep) as page:
            self.url = page.url
            self._port = int(page.url.rsplit(":", 1)[1].strip("/"))
            self._ready.set()
            await self._over.wait()
