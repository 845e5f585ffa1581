"""Logging in."""

import asyncio
from pathlib import Path

import pytest

from page_browser import people_place, visiting
from tumpline.adapters.web import people
from tumpline.settings import Proxy


@pytest.fixture(autouse=True)
def _cheap(monkeypatch: pytest.MonkeyPatch) -> None:
    """Hashes that take a moment only."""
    monkeypatch.setattr(people, "LOG_N", 4)


def test_the_cookie_is_kept_from_scripts_and_other_sites(tmp_path: Path) -> None:
    """HttpOnly and SameSite=Strict; the name is not in it."""

    async def scenario() -> None:
        async with visiting(people_place(tmp_path), tmp_path / "s") as visit:
            cookie = str((await visit.log_in("Ada")).headers["Set-Cookie"])
            assert "HttpOnly" in cookie and "SameSite=Strict" in cookie and "Path=/" in cookie
            assert "Ada" not in cookie

    asyncio.run(scenario())


def test_a_wrong_password_keeps_the_name_and_says_no_more_than_needed(tmp_path: Path) -> None:
    """Whether the name exists cannot be told from the answer."""

    async def scenario() -> None:
        async with visiting(people_place(tmp_path), tmp_path / "s") as visit:
            known, unknown = await visit.log_in("Ada", "fallen-fruit"), await visit.log_in("Bo", "fallen-fruit")
            assert (known.status, unknown.status) == (403, 403)
            assert known.text.replace("Ada", "Bo") == unknown.text
            assert 'value="Ada"' in known.text and "do not belong together" in known.text
            assert "fallen-fruit" not in known.text

    asyncio.run(scenario())


def test_guessing_is_slowed_down(tmp_path: Path) -> None:
    """After five wrong ones even the right password has to wait, and the page says how long."""

    async def scenario() -> None:
        async with visiting(people_place(tmp_path), tmp_path / "s") as visit:
            for _ in range(5):
                assert (await visit.log_in("Ada", "wrong")).status == 403
            answer = await visit.log_in("Ada")
            assert (answer.status, answer.headers["Retry-After"]) == (429, "15")
            assert "looked at in 15 s" in answer.text
            assert (await visit.log_in("Wystan")).status == 303

    asyncio.run(scenario())


def test_over_tls_the_cookie_is_for_tls_alone(tmp_path: Path) -> None:
    """Behind a proxy that people reach by https the token is Secure and bound to the host."""
    place = people_place(tmp_path).model_copy(
        update={"proxy": Proxy(addresses=("127.0.0.1",), origin="https://press.hollow-lane.example")}
    )

    async def scenario() -> None:
        async with visiting(place, tmp_path / "s") as visit:
            cookie = str((await visit.log_in("Ada")).headers["Set-Cookie"])
            assert cookie.startswith("__Host-tumpline=") and "Secure" in cookie

    asyncio.run(scenario())


def test_where_everybody_may_come_in_nobody_logs_in() -> None:
    """On this computer alone there is no such page."""

    async def scenario() -> None:
        async with visiting() as visit:
            assert (await visit.get("/log-in")).status == 404

    asyncio.run(scenario())
