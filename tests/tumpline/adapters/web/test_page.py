"""The page as it is served."""

import asyncio
import socket

import aiohttp
import pytest

from fake_line import half_hour, live, load
from live_page import served
from tumpline.runtime.board import Board


async def get(url: str, **headers: str) -> tuple[int, str, "aiohttp.typedefs.LooseHeaders"]:
    """Fetch a page."""
    async with aiohttp.ClientSession() as client, client.get(url, headers=headers) as answer:
        return answer.status, await answer.text(), answer.headers


def test_the_page_is_complete_without_script() -> None:
    """All figures and the drawing are in the page itself."""

    async def scenario() -> None:
        board = Board(["line-1"])
        half_hour(board)
        async with served(board) as page:
            status, text, _ = await get(page.url)
            assert status == 200
            for words in ("Pressing", "1 h 42", ">712<", ">4.1<", "between 698 and 726", "14, Coppice Farm", "<path"):
                assert words in text

    asyncio.run(scenario())


def test_a_stored_script_is_shown_and_not_run() -> None:
    """A grower's name with a script in it is only text."""

    async def scenario() -> None:
        board = Board(["line-1"])
        board.show("line-1", live(load=load(grower="<script>alert('x')</script>")))
        async with served(board) as page:
            _, text, _ = await get(page.url)
            assert "<script>alert" not in text
            assert "&lt;script&gt;alert" in text

    asyncio.run(scenario())


def test_the_browser_is_told_to_be_strict() -> None:
    """Only our own files, asked for anew each time, in no other site's frame; on refusals too."""

    async def scenario() -> None:
        async with served(Board(["line-1"])) as page:
            for path in ("", "line/none", "static/page.js"):
                _, _, headers = await get(page.url + path)
                assert str(headers["Content-Security-Policy"]).startswith("default-src 'self';")
                assert "unsafe" not in headers["Content-Security-Policy"]
                assert (headers["X-Content-Type-Options"], headers["Cache-Control"]) == ("nosniff", "no-cache")
                assert "aiohttp" not in headers["Server"]

    asyncio.run(scenario())


def test_a_page_that_has_not_changed_is_not_sent_again() -> None:
    """A browser that has it is told so."""

    async def scenario() -> None:
        board = Board(["line-1"])
        half_hour(board)
        async with served(board) as page:
            _, _, headers = await get(page.url)
            assert headers["Content-Encoding"] in ("gzip", "deflate")
            assert (await get(page.url, **{"If-None-Match": headers["ETag"]}))[0] == 304
            board.show("line-1", live(since=live().since - 60.0))
            assert (await get(page.url, **{"If-None-Match": headers["ETag"]}))[0] == 200

    asyncio.run(scenario())


def test_each_line_has_its_own_page() -> None:
    """The first line is at the root, each at its own address, and another is not found, in words."""

    async def scenario() -> None:
        board = Board(["line-1", "line-2"])
        async with served(board) as page:
            assert 'data-socket="/line/line-1/socket?' in (await get(page.url))[1]
            assert 'data-socket="/line/line-2/socket?' in (await get(f"{page.url}line/line-2"))[1]
            status, text, _ = await get(f"{page.url}line/%3Cb%3E")
            assert (status, text) == (404, "There is no line '<b>' here. Lines: line-1, line-2.")

    asyncio.run(scenario())


def test_a_foreign_name_for_this_computer_is_refused() -> None:
    """A site that points its own name here can neither read the page nor listen."""

    async def scenario() -> None:
        async with served(Board(["line-1"])) as page:
            assert (await get(page.url, Host="elsewhere.example"))[0] == 403
            assert (await get(f"{page.url}line/line-1/socket", Origin="http://elsewhere.example"))[0] == 403

    asyncio.run(scenario())


def test_a_taken_port_is_an_error_and_leaves_nothing_behind() -> None:
    """The caller learns of it as an OSError."""

    async def scenario() -> None:
        with socket.create_server(("127.0.0.1", 0)) as taken, pytest.raises(OSError, match="address"):
            async with served(Board(["line-1"]), port=taken.getsockname()[1]):
                pass

    asyncio.run(scenario())
