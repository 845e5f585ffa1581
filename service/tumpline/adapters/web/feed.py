"""Keeps open pages true: whoever connects gets a whole screen, then what changes, at most twice a second.

A message is put together once for all who look at the same view. Who cannot keep up is dropped, comes back, and gets
a whole screen again.
"""

import asyncio
from collections import defaultdict, deque
from collections.abc import Callable

import msgspec
from aiohttp import WSCloseCode, WSMsgType, web

from tumpline.adapters.web.door import note_refusal
from tumpline.adapters.web.screen import Screen, View

QUEUE = 64
HEARTBEAT = 15.0
LARGEST_WORD = 1024
"""Bytes that a browser may say at once; a page says nothing."""
CLOSING = 1.0
"""Seconds a browser gets to say goodbye."""
LOGGED_OUT = 4401
"""Tells an open page that nobody is logged in there any more."""


class Watcher:
    """One open page and the messages it has not been sent yet."""

    def __init__(self, request: web.Request, admitted: Callable[[], bool]) -> None:
        self.admitted = admitted
        self.socket = web.WebSocketResponse(
            heartbeat=HEARTBEAT, compress=False, timeout=CLOSING, max_msg_size=LARGEST_WORD
        )
        self._request = request
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
        async for message in self.socket:  # a page has nothing to say; reading is how one learns that it left
            if message.type is WSMsgType.ERROR:
                note_refusal(self._request, "bad message", told=str(message.data))
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
    """All open pages."""

    def __init__(self, draw: Callable[[View], Screen], build: str) -> None:
        self._draw = draw
        self._build = build
        self._watchers: defaultdict[View, set[Watcher]] = defaultdict(set)
        self._told: dict[View, Screen] = {}
        """What those who look at a view have in front of them."""

    async def serve(
        self, request: web.Request, view: View, admitted: Callable[[], bool] = lambda: True
    ) -> web.WebSocketResponse:
        """Tell one open page about a view until it leaves, or is no longer admitted."""
        watcher = Watcher(request, admitted)
        await watcher.socket.prepare(request)
        if not admitted():
            note_refusal(request, "no session")
            await watcher.socket.close(code=LOGGED_OUT)
            return watcher.socket
        screen = self._told.setdefault(view, self._draw(view))
        watcher.offer(_message("snap", screen, screen.parts, build=self._build))
        self._watchers[view].add(watcher)
        try:
            await watcher.talk()
        finally:
            self._leave(view, watcher)
        return watcher.socket

    def push(self) -> None:
        """Tell every open page what has changed; that nothing has is also worth telling."""
        for view, watchers in list(self._watchers.items()):
            screen, told = self._draw(view), self._told[view]
            changed = {key: part for key, part in screen.parts.items() if told.parts.get(key) != part}
            message = _message("tick", screen, changed)
            self._told[view] = screen
            for watcher in list(watchers):
                if not watcher.offer(message):
                    self._leave(view, watcher)

    async def show_out(self) -> None:
        """Let those leave who are no longer admitted."""
        gone = [w for watchers in self._watchers.values() for w in watchers if not w.admitted()]
        await asyncio.gather(*(watcher.socket.close(code=LOGGED_OUT) for watcher in gone))

    async def close(self) -> None:
        """Say goodbye to every open page."""
        watchers = [watcher for group in self._watchers.values() for watcher in group]
        await asyncio.gather(*(w.socket.close(code=WSCloseCode.GOING_AWAY) for w in watchers))

    def _leave(self, view: View, watcher: Watcher) -> None:
        self._watchers[view].discard(watcher)
        if not self._watchers[view]:
            del self._watchers[view]
            self._told.pop(view, None)


def _message(kind: str, screen: Screen, parts: dict[str, str], *, build: str | None = None) -> str:
    body = {"old": screen.old, "heard": screen.heard, "parts": parts}
    if build is not None:
        body["build"] = build
    return msgspec.json.encode([kind, body]).decode()
