"""What people send from the page becomes book entries."""

import asyncio
from collections.abc import Awaitable, Callable

import aiohttp
import pytest

from fake_line import live, stopped
from live_page import FakeDesk, served
from tumpline.adapters.web import page as web_page
from tumpline.runtime.board import Board

Send = Callable[..., Awaitable[tuple[int, str]]]


def with_page(
    scenario: Callable[[Send, FakeDesk], Awaitable[None]], running: Callable[[], float] = lambda: 0.0
) -> None:
    """Run a scenario with a way to send forms, by a browser that keeps its cookies."""

    async def run() -> None:
        board, desk = Board(["line-1"]), FakeDesk()
        board.show("line-1", stopped())
        jar = aiohttp.CookieJar(unsafe=True)
        async with served(board, desk=desk, running=running) as page, aiohttp.ClientSession(cookie_jar=jar) as client:

            async def send(path: str, headers: dict[str, str] | None = None, **form: str) -> tuple[int, str]:
                url = page.url.rstrip("/") + path
                async with client.post(url, data=form, headers=headers, allow_redirects=False) as answer:
                    return answer.status, answer.headers.get("Location") or await answer.text()

            await scenario(send, desk)

    asyncio.run(run())


def test_an_acknowledgement_is_entered_with_the_name() -> None:
    """The name is asked for once, then kept."""

    async def scenario(send: Send, desk: FakeDesk) -> None:
        status, asked = await send("/line/line-1/acknowledge", alarm="mill-blocked")
        assert (status, "Who are you?" in asked, desk.taken) == (200, True, [])
        assert 'value="mill-blocked"' in asked
        answer = await send("/line/line-1/acknowledge", alarm="mill-blocked", by=" Zoë  O'Hara ")
        assert answer == (303, "/line/line-1#needs-title")
        await send("/line/line-1/acknowledge", alarm="juice-low")
        assert desk.taken == [
            ("line-1", "acknowledge", {"alarm": "mill-blocked", "by": "Zoë O'Hara"}),
            ("line-1", "acknowledge", {"alarm": "juice-low", "by": "Zoë O'Hara"}),
        ]

    with_page(scenario)


def test_a_reason_is_entered_when_it_can_no_longer_be_taken_back(monkeypatch: pytest.MonkeyPatch) -> None:
    """For ten seconds a wrong touch costs nothing; then the stop's id and the reason reach the book, once."""
    monkeypatch.setattr(web_page, "BETWEEN_TICKS", 0.01)
    wall = [0.0]

    async def scenario(send: Send, desk: FakeDesk) -> None:
        await send("/line/line-1/reason", stop="stop-7", reason="no fruit", by="Ada")
        await send("/line/line-1/reason-undo")
        wall[0] = 20.0
        await send("/line/line-1/reason", stop="stop-7", reason="break")
        wall[0] = 29.0
        await asyncio.sleep(0.05)  # five rounds in which nothing is due
        assert desk.taken == []
        wall[0] = 31.0
        await asyncio.wait_for(desk.entered.wait(), 10.0)
        assert desk.taken == [("line-1", "reason", {"stop": "stop-7", "reason": "break", "by": "Ada"})]

    with_page(scenario, running=lambda: wall[0])


@pytest.mark.parametrize("name", ["", "   ", "\x00\x07"])
def test_an_empty_name_is_asked_for_again(name: str) -> None:
    """Nothing is entered without a name, and the page says why."""

    async def scenario(send: Send, desk: FakeDesk) -> None:
        status, text = await send("/line/line-1/acknowledge", alarm="mill-blocked", by=name)
        assert (status, "A name is needed" in text, desk.taken) == (422, True, [])
        status, text = await send("/line/line-1/who", by=name)
        assert (status, "A name is needed" in text) == (422, True)

    with_page(scenario)


@pytest.mark.parametrize(
    "headers",
    [
        {"Origin": "http://elsewhere.example"},
        {"Origin": "null"},
        {"Sec-Fetch-Site": "cross-site"},
        {"Sec-Fetch-Site": "same-site"},
        {"Host": "elsewhere.example"},
    ],
)
def test_another_sites_form_is_refused(headers: dict[str, str]) -> None:
    """Nobody can be made to acknowledge an alarm by a page that is not ours."""

    async def scenario(send: Send, desk: FakeDesk) -> None:
        status, _ = await send("/line/line-1/acknowledge", headers, alarm="mill-blocked", by="Ada")
        assert (status, desk.taken) == (403, [])

    with_page(scenario)


def test_a_refused_entry_is_said_so() -> None:
    """The desk's own sentence is shown, escaped."""

    async def scenario(send: Send, desk: FakeDesk) -> None:
        desk.refusal = "There is no alarm <x>."
        status, text = await send("/line/line-1/acknowledge", alarm="<x>", by="Ada")
        assert (status, "There is no alarm &lt;x&gt;." in text) == (422, True)

    with_page(scenario)


def test_a_form_for_a_line_that_does_not_exist_is_refused() -> None:
    """The answer names the lines there are."""

    async def scenario(send: Send, desk: FakeDesk) -> None:
        status, text = await send("/line/x/acknowledge", alarm="mill-blocked", by="Ada")
        assert (status, text, desk.taken) == (404, "There is no line 'x' here. Lines: line-1.", [])

    with_page(scenario)


def test_too_large_a_form_is_refused() -> None:
    """Nobody can fill the memory by a form."""

    async def scenario(send: Send, desk: FakeDesk) -> None:
        assert ((await send("/line/line-1/acknowledge", alarm="x" * 100_000, by="Ada"))[0], desk.taken) == (413, [])

    with_page(scenario)


def test_the_page_says_who_one_is() -> None:
    """A kept name is shown, escaped, and can be changed."""

    async def run() -> None:
        board = Board(["line-1"])
        board.show("line-1", live())
        jar = aiohttp.CookieJar(unsafe=True)
        async with served(board) as page, aiohttp.ClientSession(cookie_jar=jar) as client:
            async with client.post(f"{page.url}line/line-1/who", data={"by": "<b>Ada"}) as answer:
                assert "Name: &lt;b&gt;Ada" in await answer.text()
            async with client.get(f"{page.url}line/line-1/who") as answer:
                assert "Your name" in await answer.text()
            async with client.get(f"{page.url}line/line-1/reason?stop=<x>") as answer:
                assert 'value="&lt;x&gt;"' in await answer.text()

    asyncio.run(run())
