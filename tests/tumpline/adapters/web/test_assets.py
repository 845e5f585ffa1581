"""The page's own files."""

import asyncio
import re

import aiohttp
import pytest

from live_page import served
from tumpline.adapters.web.assets import TYPES, Assets
from tumpline.runtime.board import Board


@pytest.mark.parametrize("name", TYPES)
def test_a_file_is_sent_once(name: str) -> None:
    """Packed the first time, and not again while it is the same."""

    async def scenario() -> None:
        async with served(Board(["line-1"])) as page, aiohttp.ClientSession() as client:
            async with client.get(f"{page.url}static/{name}") as answer:
                assert (answer.status, answer.headers["Content-Encoding"]) == (200, "gzip")
                assert answer.headers["Content-Type"] == TYPES[name]
                assert len(await answer.read()) > 100
                known = answer.headers["ETag"]
            async with client.get(f"{page.url}static/{name}", headers={"If-None-Match": known}) as again:
                assert (again.status, await again.read()) == (304, b"")

    asyncio.run(scenario())


def test_only_the_pages_files_are_served() -> None:
    """No address leads to another file."""

    async def scenario() -> list[int]:
        async with served(Board(["line-1"])) as page, aiohttp.ClientSession() as client:
            statuses = []
            for path in ("static/page.py", "static/..%2Fpage.py", "static/%2Fetc%2Fpasswd"):
                async with client.get(page.url + path) as answer:
                    statuses.append(answer.status)
            return statuses

    assert asyncio.run(scenario()) == [404, 404, 404]


def test_the_build_is_the_same_for_the_same_files() -> None:
    """A restart with the same files reloads no page."""
    assert Assets().build == Assets().build
    assert re.fullmatch("[0-9a-f]{16}", Assets().build)
