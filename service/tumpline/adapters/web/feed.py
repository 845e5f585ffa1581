"""Keeps open pages true: whoever connects gets a whole screen, then what changes, at most twice a second.

A message is put together once for all who watch a line. Who cannot keep up is dropped, comes back, and gets a whole
screen again.
"""

import asyncio
from collections import deque
from collections.abc import Callable, Sequence

import msgspec
from aiohttp import WSCloseCode, web

from tumpline.adapters.web.screen import Screen

QUEUE = 64
HEARTBEAT = 15.0
CLOSING = 1.0
"""Seconds a browser gets to say goodbye."""


class Watcher:
    """One open page and the messages it has not been sent yet."""

    def __init__(self, request: web.Request) -> None:
        self.socket = web.WebSocketResponse(heartbeat=HEARTBEAT, compress=False, timeout=CLOSING)
        self._transport = request.transport
        self._waiting: deque[str] = deque()
        self._wake = asyncio.Event()
        self._left = False

    def offer(self, message: str) -> bool:
        """Queue a message; False where the watcher was too far behind and has been dropped."""
        if len(self._waiting) >= QUEUE:
            self.drop()
            return False
        self._waiting.append(message)
        self._wake.set()
        return True

    def drop(self) -> None:
        """Cut the connection at once."""
        if self._transport is not None:
            self._transport.abort()

    async def talk(self) -> None:
        """Send what is queued, until the browser leaves or is dropped."""
        await asyncio.gather(self._listen(), self._send())

    async def _listen(self) -> None:
        async for _ in self.socket:
            pass  # a page has nothing to say; reading is how one learns that it left
        self._left = True
        self._wake.set()

    async def _send(self) -> None:
        while not self._left:
            await self._wake.wait()
            self._wake.clear()
            while self._waiting:
                try:
                    await self.socket.send_str(self._waiting.popleft())
                except ConnectionResetError:
                    return  # it left while being told; reading ends as well


class Feed:
    """All open pages of all lines."""

    def __init__(self, lines: Sequence[str], draw: Callable[[str], Screen], build: str) -> None:
        self._draw = draw
        self._build = build
        self._watchers: dict[str, set[Watcher]] = {line: set() for line in lines}
        self._told: dict[str, Screen] = {}
        """What those who watch a line have in front of them."""

    async def serve(self, request: web.Request, line: str) -> web.WebSocketResponse:
        """Tell one open page about a line until it leaves."""
        watcher = Watcher(request)
        await watcher.socket.prepare(request)
        screen = self._told.setdefault(line, self._draw(line))
        watcher.offer(_message("snap", screen, screen.parts, build=self._build))
        self._watchers[line].add(watcher)
        try:
            await watcher.talk()
        finally:
            self._leave(line, watcher)
        return watcher.socket

    def push(self) -> None:
        """Tell every open page what has changed; that nothing has is also worth telling."""
        for line, watchers in self._watchers.items():
            if not watchers:
                continue
            screen, told = self._draw(line), self._told[line]
            changed = {key: part for key, part in screen.parts.items() if told.parts[key] != part}
            message = _message("tick", screen, changed)
            self._told[line] = screen
            for watcher in list(watchers):
                if not watcher.offer(message):
                    self._leave(line, watcher)

    async def close(self) -> None:
        """Say goodbye to every open page."""
        watchers = [watcher for group in self._watchers.values() for watcher in group]
        await asyncio.gather(*(w.socket.close(code=WSCloseCode.GOING_AWAY) for w in watchers))

    def _leave(self, line: str, watcher: Watcher) -> None:
        self._watchers[line].discard(watcher)
        if not self._watchers[line]:
            self._told.pop(line, None)


def _message(kind: str, screen: Screen, parts: dict[str, str], *, build: str | None = None) -> str:
    body = {"old": screen.old, "heard": screen.heard, "parts": parts}
    if build is not None:
        body["build"] = build
    return msgspec.json.encode([kind, body]).decode()
