"""Notices as the settings ask for them, and the try of them."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from http_stub import Answer, HttpStub
from settings_files import good
from tumpline.app.errors import CommandError, Status
from tumpline.app.notify import describe_notices, notice_policy, notice_sinks, try_notices
from tumpline.pressing.records import Priority
from tumpline.settings import Settings

FILE = Path("site.toml")
QUIET = 'quiet_from = "22:00"\nquiet_until = "06:00"'


def settings(folder: Path, *addresses: str, more: str = "") -> Settings:
    """Settings with these addresses."""
    file = folder / "addresses"
    file.write_text("\n".join(addresses))
    return good(folder, head=f'[site]\nname = "Hollow Lane"\n[notices]\naddresses_file = "{file}"\n{more}')


def webhook(server: HttpStub, name: str) -> str:
    """A webhook on that server."""
    return f"json://{server.url.removeprefix('http://')}/{name}"


@pytest.mark.asyncio
async def test_a_try_sends_a_test_notice_to_every_address(tmp_path: Path) -> None:
    """Each is named by its number, and says that nothing has happened."""
    said: list[str] = []
    with HttpStub() as server:
        given = settings(tmp_path, webhook(server, "a"), webhook(server, "b"))
        await try_notices(given, FILE, said.append)
        assert [json.loads(r.body)["title"] for r in server.requests] == ["Hollow Lane: a test notice"] * 2
        assert "Nothing has happened" in json.loads(server.requests[0].body)["message"]
    assert said == [f"Address {n} (json) has taken a test notice." for n in (1, 2)]


@pytest.mark.asyncio
async def test_a_try_that_fails_names_the_addresses_that_have_not_taken_it(tmp_path: Path) -> None:
    """The others are tried all the same."""
    said: list[str] = []
    with HttpStub() as server:
        server.reply = lambda body: Answer(500 if len(server.requests) == 1 else 200)
        given = settings(tmp_path, webhook(server, "a"), webhook(server, "b"))
        with pytest.raises(CommandError) as error:
            await try_notices(given, FILE, said.append)
    assert error.value.status is Status.UNREACHABLE
    assert str(error.value).startswith("Address 1 (json) has not taken a test notice: ")
    assert said == ["Address 2 (json) has taken a test notice."]


@pytest.mark.asyncio
async def test_without_the_table_there_is_nothing_to_try(tmp_path: Path) -> None:
    """The sentence says what is missing."""
    with pytest.raises(CommandError) as error:
        await try_notices(good(tmp_path), FILE, print)
    assert "there is no [notices] table" in str(error.value)


def test_an_unknown_address_is_a_mistake_in_the_settings(tmp_path: Path) -> None:
    """It is named by its number."""
    given = settings(tmp_path, "json://127.0.0.1:9/a", "nonsense://b").notices
    assert given is not None
    with pytest.raises(CommandError) as error:
        notice_sinks(given)
    assert error.value.status is Status.BAD_SETTINGS
    assert "address 2" in str(error.value)


def test_who_is_told_and_when_is_said_in_words(tmp_path: Path) -> None:
    """Addresses by their number and kind alone."""
    words = describe_notices(settings(tmp_path, "json://127.0.0.1:9/s3cret", more=QUIET), FILE)
    assert "1 (json)" in words
    assert "s3cret" not in words
    assert "priority medium or higher" in words
    assert "22:00 to 06:00 (UTC), through which priority high gets" in words


def test_the_settings_make_the_policy(tmp_path: Path) -> None:
    """Quiet hours, what gets through them, and how often."""
    more = f'{QUIET}\nquiet_priority = "none"\nminimum_priority = "low"\nrepeat_after = "5 min"\ngather = "30 s"'
    given = settings(tmp_path, "json://127.0.0.1:9/a", more=more).notices
    assert given is not None
    policy = notice_policy(given, "Europe/London")
    assert (policy.minimum, policy.repeat_after, policy.gather) == (Priority.LOW, 300.0, 30.0)
    assert policy.quiet is not None
    assert policy.quiet.lets_through is None
