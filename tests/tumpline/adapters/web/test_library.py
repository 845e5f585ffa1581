"""Documents, from the list to the browser."""

import asyncio
import re

import aiohttp

from fake_line import NOW, half_hour
from live_page import served
from tumpline.adapters.web.library import Contents, LibraryError, Shift, policy
from tumpline.runtime.board import Board

PAPER = "<!doctype html><html><head><style>p { color: red }</style></head><body><p>Shift</p></body></html>"


class Shelf:
    """A library of one shift."""

    def __init__(self) -> None:
        self.asked: list[tuple[str, str, str]] = []

    def contents(self) -> Contents:
        """One shift, one grower with an odd name."""
        shift = Shift("line-1", "late/1", NOW - 90_000.0, NOW - 60_000.0)
        return Contents([shift], 2026, growers=["<b>Long Acre"], vats=["V1"])

    def document(self, kind: str, name: str, form: str) -> bytes:
        """The paper, where it is about the shift."""
        self.asked.append((kind, name, form))
        if name != "late/1":
            raise LibraryError(f"There is no {kind} <{name}>.")
        return PAPER.encode()


async def fetched(shelf: Shelf | None, path: str) -> tuple[int, str, "aiohttp.typedefs.LooseHeaders"]:
    """What the page answers."""
    board = Board(["line-1"])
    half_hour(board)
    async with (
        served(board, library=shelf) as page,
        aiohttp.ClientSession() as client,
        client.get(aiohttp.typedefs.URL(page.url.rstrip("/") + path, encoded=True)) as answer,
    ):
        return answer.status, await answer.text(), answer.headers


def test_every_document_is_one_touch_away_in_every_form() -> None:
    """Shifts with their times, the season, growers and vats; names stay in their address and are text."""
    status, text, _ = asyncio.run(fetched(Shelf(), "/line/line-1/reports"))
    assert status == 200
    assert 'href="/document/shift/late%2F1/pdf"' in text
    assert 'href="/document/season/2026/csv"' in text
    assert "13 Oct 09:24 – 13 Oct 17:44" in text
    assert "<b>Long" not in text and "&lt;b&gt;Long Acre" in text
    assert "Pomace sheets" not in text


def test_a_document_shows_as_it_was_made_and_can_do_nothing() -> None:
    """Its own style sheet is let through by what is in it; no script, no form, nothing from elsewhere."""
    shelf = Shelf()
    status, text, headers = asyncio.run(fetched(shelf, "/document/shift/late%2F1/html"))
    assert (status, text, shelf.asked) == (200, PAPER, [("shift", "late/1", "html")])
    rule = str(headers["Content-Security-Policy"])
    assert re.match(r"default-src 'none'; style-src 'sha256-[\w+/]{43}='; ", rule)
    assert (headers["X-Content-Type-Options"], headers["X-Frame-Options"]) == ("nosniff", "DENY")


def test_the_hash_is_the_one_a_browser_makes() -> None:
    """SHA-256 of `p { color: red }` in base64 (`printf %s | openssl dgst -sha256 -binary | base64`)."""
    assert "'sha256-ngewhhP73WDIbgwseeu52VAAJgKdGUsu1IUQQsAm8m4='" in policy(PAPER)
    assert "style-src 'none'" in policy("<p>plain</p>")


def test_a_file_is_named_after_what_it_is_about() -> None:
    """Odd letters in a name do not leave the header."""
    _, _, headers = asyncio.run(fetched(Shelf(), "/document/shift/late%2F1/csv"))
    assert headers["Content-Disposition"] == "inline; filename*=UTF-8''shift-late%2F1.csv"
    assert headers["Content-Type"] == "text/csv; charset=utf-8"


def test_what_there_is_not_is_said_in_words() -> None:
    """By the library's own sentence, escaped; a kind or a form that is none is not found."""
    status, text, _ = asyncio.run(fetched(Shelf(), "/document/vat/V9/html"))
    assert (status, "There is no vat &lt;V9&gt;." in text) == (404, True)
    for path in ("/document/recipe/x/html", "/document/shift/late%2F1/exe"):
        assert asyncio.run(fetched(Shelf(), path))[0] == 404


def test_without_a_shift_the_page_says_so() -> None:
    """And without a library too."""
    assert "No shift has been summed up yet." in asyncio.run(fetched(None, "/line/line-1/reports"))[1]
