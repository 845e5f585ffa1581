"""Open pages are kept true."""

import asyncio
import json
from typing import Any

import aiohttp
import pytest

from fake_line import NOW, alarm, half_hour, live, stopped
from live_page import served
from tumpline.adapters.web import feed, page
from tumpline.pressing.effects import TellAlarm
from tumpline.runtime.board import Board

Socket = aiohttp.ClientWebSocketResponse


async def heard(socket: Socket) -> tuple[str, dict[str, Any]]:
    """The next message."""
    kind, body = json.loads(await asyncio.wait_for(socket.receive_str(), 10.0))
    return kind, body


async def until(socket: Socket, part: str) -> str:
    """The next markup of that part."""
    while True:
        _, body = await heard(socket)
        if part in body["parts"]:
            return str(body["parts"][part])


def test_the_first_message_is_the_whole_screen() -> None:
    """Whoever connects, or connects again, gets everything and the build."""

    async def scenario() -> None:
        board = Board(["line-1"])
        half_hour(board)
        async with served(board) as shown, aiohttp.ClientSession() as client:
            for _ in range(2):
                async with client.ws_connect(f"{shown.url}line/line-1/socket") as socket:
                    kind, body = await heard(socket)
                    assert (kind, body["old"], body["heard"]) == ("snap", False, "10:24:07")
                    assert body["build"]
                    assert {"band", "gone", "needs", "trend", "figure-yield"} < set(body["parts"])

    asyncio.run(scenario())


def test_then_only_what_has_changed_is_sent() -> None:
    """A stop changes the band and not the drawing; and every page is told the same."""

    async def scenario() -> None:
        board = Board(["line-1"])
        half_hour(board)
        async with served(board) as shown, aiohttp.ClientSession() as client:
            url = f"{shown.url}line/line-1/socket"
            async with client.ws_connect(url) as one, client.ws_connect(url) as other:
                await heard(one)
                await heard(other)
                board.tell(TellAlarm(alarm()), "line-1")
                assert "Mill blocked" in await until(one, "needs")
                assert "Mill blocked" in await until(other, "needs")
                board.show("line-1", live(at=NOW + 1.0))
                kind, body = await heard(one)
                assert kind == "tick"
                assert "trend" not in body["parts"]

    asyncio.run(scenario())


def test_a_quiet_line_is_told_to_be_quiet(monkeypatch: pytest.MonkeyPatch) -> None:
    """Open pages hear from the service although nothing changes, and learn when the data is old."""
    monkeypatch.setattr(page, "QUIET", 0.05)
    monkeypatch.setattr(page, "BETWEEN_TICKS", 0.01)
    now = NOW

    async def scenario() -> None:
        nonlocal now
        board = Board(["line-1"])
        board.show("line-1", live())
        async with (
            served(board, now=lambda: now) as shown,
            aiohttp.ClientSession() as client,
            client.ws_connect(f"{shown.url}line/line-1/socket") as socket,
        ):
            await heard(socket)
            assert await heard(socket) == ("tick", {"old": False, "heard": "10:24:07", "parts": {}})
            now = NOW + 60.0
            while not (body := (await heard(socket))[1])["old"]:
                pass
            assert "1 min" in body["parts"]["gone"]

    asyncio.run(scenario())


def test_one_line_is_not_told_about_another() -> None:
    """A page hears of its own line only."""

    async def scenario() -> None:
        board = Board(["line-1", "line-2"])
        board.show("line-2", live(line="line-2"))
        async with (
            served(board) as shown,
            aiohttp.ClientSession() as client,
            client.ws_connect(f"{shown.url}line/line-2/socket") as socket,
        ):
            await heard(socket)
            board.show("line-1", stopped())
            assert (await heard(socket))[1]["parts"] == {}

    asyncio.run(scenario())


def test_who_cannot_keep_up_is_dropped_and_nobody_else(monkeypatch: pytest.MonkeyPatch) -> None:
    """A page that does not read is cut off, while another goes on being told."""
    monkeypatch.setattr(feed, "QUEUE", 4)
    monkeypatch.setattr(page, "BETWEEN_TICKS", 0.0)

    async def scenario() -> None:
        board = Board(["line-1"])
        board.show("line-1", live())
        async with served(board) as shown, aiohttp.ClientSession() as client:
            url = f"{shown.url}line/line-1/socket"
            reader, writer = await asyncio.open_connection("127.0.0.1", int(shown.url.rsplit(":", 1)[1].strip("/")))
            writer.write(
                b"GET /line/line-1/socket HTTP/1.1\r\nHost: localhost\r\nUpgrade: websocket\r\nConnection: Upgrade\r\n"
                b"Sec-WebSocket-Version: 13\r\nSec-WebSocket-Key: AAAAAAAAAAAAAAAAAAAAAA==\r\n\r\n"
            )
            await reader.readuntil(b"\r\n\r\n")
            async with client.ws_connect(url, max_msg_size=0) as quick:
                for step in range(200):
                    board.show("line-1", live(at=NOW + step, why=f"{step} " * 100_000))
                    await until(quick, "band")
                await asyncio.wait_for(read_to_the_end(reader), 10.0)
                board.show("line-1", live())
                while "juice flows" not in await until(quick, "band"):
                    pass
            writer.close()

    asyncio.run(scenario())


async def read_to_the_end(reader: asyncio.StreamReader) -> None:
    """Read what was sent until the connection is cut."""
    try:
        while await reader.read(1 << 20):
            pass
    except ConnectionError:
        pass  # cut off


def test_stopping_says_goodbye() -> None:
    """Open pages are told that the service goes away, and stopping does not wait for them."""

    async def scenario() -> int | None:
        board = Board(["line-1"])
        async with aiohttp.ClientSession() as client:
            async with served(board) as shown:
                socket = await client.ws_connect(f"{shown.url}line/line-1/socket")
                await heard(socket)
                receiving = asyncio.create_task(socket.receive())
            await asyncio.wait_for(receiving, 10.0)
            return socket.close_code

    assert asyncio.run(scenario()) == aiohttp.WSCloseCode.GOING_AWAY
