"""The page as it is served."""

import asyncio
import socket
import subprocess
from pathlib import Path

import aiohttp
import pytest

from fake_line import half_hour, live, load
from live_page import served
from page_browser import PASSWORD, people_place
from programs import program
from tumpline.adapters.web import people
from tumpline.adapters.web.errors import PageError
from tumpline.runtime.board import Board
from tumpline.settings import Page as Place


@pytest.fixture(autouse=True)
def _cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hashes that take a moment only."""
    monkeypatch.setattr(people, "LOG_N", 4)


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


def test_with_a_certificate_the_page_is_encrypted(tmp_path: Path) -> None:
    """It is served by https, its own origin is https, and the cookie of a log-in is for https alone."""
    key, certificate = tmp_path / "page.key", tmp_path / "page.pem"
    subprocess.run(
        [
            *(
                program("openssl"),
                "req",
                "-x509",
                "-newkey",
                "rsa:2048",
                "-nodes",
                "-days",
                "2",
                "-subj",
                "/CN=localhost",
            ),
            *("-keyout", str(key), "-out", str(certificate)),
        ],
        check=True,
        capture_output=True,
    )
    place = people_place(tmp_path).model_copy(update={"certificate_file": certificate, "key_file": key})

    async def scenario() -> None:
        async with (
            served(Board(["line-1"]), place=place, sessions=tmp_path / "s") as page,
            aiohttp.ClientSession() as client,
        ):
            assert page.url.startswith("https://127.0.0.1:")
            form = {"name": "Ada", "password": PASSWORD}
            own = {"Origin": page.url.rstrip("/")}
            async with client.post(
                f"{page.url}log-in", data=form, headers=own, ssl=False, allow_redirects=False
            ) as answer:
                assert answer.status == 303
                cookie = answer.headers["Set-Cookie"]
                assert cookie.startswith("__Host-tumpline=") and "; Secure" in cookie

    asyncio.run(scenario())


def test_a_certificate_that_is_none_is_said_so(tmp_path: Path) -> None:
    """In a sentence, before anything listens."""
    (tmp_path / "page.pem").write_text("no certificate")
    place = Place(certificate_file=tmp_path / "page.pem", key_file=tmp_path / "page.key")

    async def scenario() -> None:
        with pytest.raises(PageError, match=r"certificate cannot be used .*; a certificate and its key in PEM form"):
            async with served(Board(["line-1"]), place=place):
                pass

    asyncio.run(scenario())


def test_people_who_are_to_log_in_must_be_there(tmp_path: Path) -> None:
    """A page that nobody could use does not start, and says how the first person gets in."""

    async def scenario() -> None:
        with pytest.raises(PageError, match='"tumpline person add" writes the first'):
            async with served(Board(["line-1"]), place=Place(people_file=tmp_path / "none.json")):
                pass

    asyncio.run(scenario())


def test_how_far_back_the_trend_goes_can_be_chosen() -> None:
    """Half an hour, two hours or the shift; anything else is half an hour."""

    async def scenario() -> None:
        board = Board(["line-1"])
        half_hour(board)
        async with served(board) as page:
            for span, words in (("2h", "last 2 hours"), ("shift", "this shift"), ("a<b", "last 30 minutes")):
                text = (await get(f"{page.url}line/line-1?span={span}"))[1]
                assert f'aria-current="true" data-key="span {span}"' in text or span == "a<b"
                assert f"Fruit in, t/h, {words}</title>" in text

    asyncio.run(scenario())
