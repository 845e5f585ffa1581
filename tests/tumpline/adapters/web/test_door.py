"""Who may come in: every way of getting in without leave is refused, and logged."""

import asyncio
from collections.abc import Awaitable, Callable
from pathlib import Path

import aiohttp
import pytest
from structlog.testing import capture_logs

from page_browser import PASSWORD, Visit, people_place, visiting
from tumpline.adapters.web import people
from tumpline.adapters.web.door import clean, own_path
from tumpline.settings import Page as Place
from tumpline.settings import Proxy

SEE = {"alarm": "mill-blocked"}


@pytest.fixture(autouse=True)
def _cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hashes that take a moment only."""
    monkeypatch.setattr(people, "LOG_N", 4)


def at(place: Place, sessions: Path, scenario: Callable[[Visit], Awaitable[None]]) -> list[str]:
    """Run a scenario at a page of these settings; why what was refused was refused, as the log has it."""

    async def run() -> None:
        async with visiting(place, sessions) as visit:
            await scenario(visit)

    with capture_logs() as logs:
        asyncio.run(run())
    return [str(entry["why"]) for entry in logs if entry["event"] == "page.refused"]


def test_without_a_log_in_nothing_is_shown(tmp_path: Path) -> None:
    """Every page leads to the log-in and back; no socket says a word; a form is not taken."""

    async def scenario(visit: Visit) -> None:
        for path in ("/", "/line/line-1/alarms", "/line/line-1/book/load", "/line/none", "/nothing"):
            answer = await visit.get(path)
            assert (answer.status, "Coppice" in answer.text) == (303, False)
            assert answer.location.startswith("/log-in?back=")
        async with visit.client.ws_connect(f"{visit.url}/line/line-1/socket") as socket:
            message = await socket.receive()
            assert (message.type, socket.close_code) == (aiohttp.WSMsgType.CLOSE, 4401)
        assert (await visit.post("/line/line-1/acknowledge", SEE)).status == 303
        assert visit.desk.taken == []

    assert at(people_place(tmp_path), tmp_path / "s", scenario) == ["no session"] * 2


def test_who_is_logged_in_is_written_beside_what_they_did(tmp_path: Path) -> None:
    """The name is the log-in's, whatever a form says."""

    async def scenario(visit: Visit) -> None:
        assert (await visit.log_in("ada")).location == "/"
        assert "Log out Ada" in (await visit.get("/")).text
        await visit.post("/line/line-1/acknowledge", {**SEE, "by": "Somebody Else"})
        await visit.post("/line/line-1/book/note", {"text": "all well", "by": "Somebody Else"})
        assert [body["by"] for _, _, body in visit.desk.taken] == ["Ada", "Ada"]

    assert at(people_place(tmp_path), tmp_path / "s", scenario) == []


def test_whoever_may_look_may_only_look(tmp_path: Path) -> None:
    """The wall's screen shows all and writes nothing."""

    async def scenario(visit: Visit) -> None:
        await visit.log_in("Wall")
        page = await visit.get("/")
        assert page.status == 200 and 'class="floor look"' in page.text
        for path, form in (
            ("acknowledge", SEE),
            ("reason", {"stop": "stop-7", "reason": "break"}),
            ("reason-undo", {}),
            ("book/note", {"text": "x"}),
            ("in-service", SEE),
            ("book/out-of-service", SEE),
            ("book/correct/note-00000000000c", {"text": "x"}),
        ):
            assert (await visit.post(f"/line/line-1/{path}", form)).status == 403
        assert visit.desk.taken == []

    assert at(people_place(tmp_path), tmp_path / "s", scenario) == ["role"] * 7


def test_an_alarm_is_put_out_of_service_by_who_may_manage(tmp_path: Path) -> None:
    """Wystan may set it aside, which ends by itself; out of service and back is for who may manage."""

    async def scenario(visit: Visit) -> None:
        form = {**SEE, "note": "mill current meter is being changed"}
        await visit.log_in("Wystan")
        assert (await visit.post("/line/line-1/book/out-of-service", form)).status == 403
        assert (await visit.post("/line/line-1/book/shelve", {**form, "minutes": "30"})).status == 303
        await visit.log_in("Ada")
        assert (await visit.post("/line/line-1/book/out-of-service", form)).status == 303
        assert (await visit.post("/line/line-1/in-service", SEE)).status == 303
        assert [kind for _, kind, _ in visit.desk.taken] == ["shelve", "out-of-service", "in-service"]

    assert at(people_place(tmp_path), tmp_path / "s", scenario) == ["role"]


def test_others_entries_are_put_right_by_who_may_manage(tmp_path: Path) -> None:
    """Wystan puts right what he wrote himself; what Ada wrote, only who may manage."""

    async def scenario(visit: Visit) -> None:
        await visit.log_in("Wystan")
        refused = await visit.post("/line/line-1/book/correct/note-00000000000c", {"text": "x", "at": ""})
        assert (refused.status, "Ada wrote this" in refused.text, visit.desk.taken) == (403, True, [])
        own = await visit.get("/line/line-1/book/correct/load-000000000008")
        assert own.status == 200

    assert at(people_place(tmp_path), tmp_path / "s", scenario) == ["not theirs"]


def test_a_form_sent_after_the_log_in_has_ended_is_not_lost(tmp_path: Path) -> None:
    """It is not taken; after the log-in the form is there again with all that was typed."""

    async def scenario(visit: Visit) -> None:
        answer = await visit.post("/line/line-1/book/note", {"text": "frost & ice"})
        assert answer.status == 303 and visit.desk.taken == []
        login = await visit.get(answer.location)
        back = "/line/line-1/book/note?text=frost+%26+ice"
        assert back.replace("&", "&amp;") in login.text
        led = await visit.post("/log-in", {"name": "Ada", "password": PASSWORD, "back": back})
        assert led.location == back
        assert "frost &amp; ice</textarea>" in (await visit.get(led.location)).text

    assert at(people_place(tmp_path), tmp_path / "s", scenario) == ["no session"]


def test_logging_out_closes_the_door_and_open_pages(tmp_path: Path) -> None:
    """The cookie shown again is worth nothing, and an open page is told to leave."""

    async def scenario(visit: Visit) -> None:
        await visit.log_in("Ada")
        async with visit.client.ws_connect(f"{visit.url}/line/line-1/socket") as socket:
            assert (await socket.receive()).type is aiohttp.WSMsgType.TEXT
            token = visit.client.cookie_jar.filter_cookies(aiohttp.typedefs.URL(visit.url))["tumpline"].value
            assert (await visit.post("/log-out")).location == "/log-in"
            async with asyncio.timeout(10.0):
                while (await socket.receive()).type is aiohttp.WSMsgType.TEXT:
                    pass
            assert socket.close_code == 4401
        assert (await visit.get("/", Cookie=f"tumpline={token}")).status == 303

    at(people_place(tmp_path), tmp_path / "s", scenario)


def test_a_trusted_proxy_says_who_it_is(tmp_path: Path) -> None:
    """The name is in its header; the file of people gives the role, else the settings; its origin is the page's own."""
    proxy = Proxy(addresses=("127.0.0.1",), origin="https://press.hollow-lane.example")
    place = people_place(tmp_path).model_copy(update={"proxy": proxy})

    async def scenario(visit: Visit) -> None:
        own = {"Remote-User": "Ada", "Origin": "https://press.hollow-lane.example"}
        assert (await visit.post("/line/line-1/acknowledge", dict(SEE), **own)).status == 303
        assert [body["by"] for _, _, body in visit.desk.taken] == ["Ada"]
        stranger = await visit.get("/", **{"Remote-User": "Stranger", "Host": "press.hollow-lane.example"})
        assert 'class="floor look"' in stranger.text
        direct = {**own, "Origin": "http://elsewhere.example"}
        assert (await visit.post("/line/line-1/acknowledge", dict(SEE), **direct)).status == 403
        assert (await visit.get("/")).location.startswith("/log-in")

    assert at(place, tmp_path / "s", scenario) == ["another site"]


def test_the_header_of_anybody_else_says_nothing(tmp_path: Path) -> None:
    """Only the proxy's own address is believed."""
    proxy = Proxy(addresses=("192.0.2.7",), origin="https://press.hollow-lane.example")
    place = people_place(tmp_path).model_copy(update={"proxy": proxy})

    async def scenario(visit: Visit) -> None:
        assert (await visit.get("/", **{"Remote-User": "Ada"})).status == 303

    assert at(place, tmp_path / "s", scenario) == []


@pytest.mark.parametrize(
    ("asked", "led"),
    [
        ("/line/line-1?span=shift", "/line/line-1?span=shift"),
        ("//elsewhere.example/", "/"),
        ("/\\elsewhere.example", "/"),
        ("https://elsewhere.example/", "/"),
        ("line", "/"),
        ("/x\r\nSet-Cookie: a=b", "/"),
    ],
)
def test_a_log_in_leads_back_to_this_page_only(asked: str, led: str) -> None:
    """Nobody is sent elsewhere by a link that looks like ours."""
    assert own_path(asked) == led


def test_what_is_typed_stays_on_one_line_and_short() -> None:
    """Control letters and long texts go no further."""
    assert clean(" Zoë \n O'Hara\x00 ") == "Zoë O'Hara"
    assert len(clean("x" * 500)) == 60
