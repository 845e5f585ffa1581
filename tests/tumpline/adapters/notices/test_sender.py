"""Telling addresses of the alarms on a board, through failures and starts."""

from __future__ import annotations

import asyncio
import json
from collections.abc import AsyncIterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest
from msgspec.structs import replace

from http_stub import Answer, HttpStub
from polling import until
from records import ALARM, SEVEN
from tumpline.adapters.notices import sender as senders
from tumpline.adapters.notices.sender import NoticeSender, ToldFile
from tumpline.adapters.notices.sink import Sink
from tumpline.adapters.notices.text import Words
from tumpline.pressing.effects import TellAlarm
from tumpline.pressing.records import AlarmRecord, AlarmState, Priority
from tumpline.runtime.board import Board
from tumpline.runtime.notices import Policy
from tumpline.runtime.supervise import Supervisor

WAITING = replace(ALARM, state=AlarmState.UNACKNOWLEDGED, acknowledged=None, raised=SEVEN)


class Works:
    """A board with a clock of its own, and a file of what was told."""

    def __init__(self, path: Path) -> None:
        self.path = path
        self.board = Board(["line-1"])
        self.now = SEVEN + 60.0

    def tell(self, alarm: AlarmRecord = WAITING) -> None:
        """An alarm changed."""
        self.board.tell(TellAlarm(alarm), "line-1")

    @asynccontextmanager
    async def telling(self, *addresses: str) -> AsyncIterator[list[Sink]]:
        """A sender at work for these addresses, as after a start."""
        told = ToldFile(self.path)
        told.load()
        sinks = [Sink(number, address) for number, address in enumerate(addresses, 1)]
        sender = NoticeSender(
            board=self.board,
            sinks=sinks,
            policy=Policy(Priority.MEDIUM, repeat_after=600.0, gather=60.0),
            words=Words(site="Hollow Lane Cider Works", timezone="Europe/London"),
            told=told,
            now=lambda: self.now,
        )
        async with Supervisor() as tasks:
            for sink in sinks:
                tasks.start(sink.name, sender.run(sink))
            yield sinks

    def was_told(self) -> bool:
        """Whether what was told is on disk."""
        return self.path.exists() and "mill-blocked" in self.path.read_text()


@pytest.fixture(name="works")
def _works(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Works:
    monkeypatch.setattr(senders, "LOOKS", 0.01)
    return Works(tmp_path / "works.db.notices")


def address(server: HttpStub, name: str = "a") -> str:
    """A webhook on that server."""
    return f"json://{server.url.removeprefix('http://')}/{name}"


def titles(server: HttpStub) -> list[str]:
    """What came there."""
    return [json.loads(request.body)["title"] for request in server.requests]


@pytest.mark.asyncio
async def test_an_alarm_reaches_every_address_once(works: Works) -> None:
    """Each address by itself."""
    works.tell()
    with HttpStub() as server:
        async with works.telling(address(server, "a"), address(server, "b")):
            await until(lambda: len(server.requests) == 2)
            await until(works.was_told)
            await asyncio.sleep(0.1)
        assert sorted(request.path for request in server.requests) == ["/a", "/b"]
        assert titles(server) == ["Hollow Lane Cider Works: mill-blocked on line-1"] * 2


@pytest.mark.asyncio
async def test_a_start_neither_repeats_nor_forgets(works: Works) -> None:
    """What was told before is not told again; what was raised meanwhile is."""
    works.tell()
    with HttpStub() as server:
        async with works.telling(address(server)):
            await until(works.was_told)
        works.now += 120.0
        works.tell(replace(WAITING, name="pressure-low", raised=works.now - 30.0))
        async with works.telling(address(server)):
            await until(lambda: len(server.requests) == 2)
        assert titles(server)[1] == "Hollow Lane Cider Works: pressure-low on line-1"


@pytest.mark.asyncio
async def test_an_address_that_fails_is_tried_again_until_it_takes_the_notice(works: Works) -> None:
    """Nothing is lost meanwhile, and nothing is sent twice."""
    works.tell()
    with HttpStub() as server:
        server.reply = lambda body: Answer(500 if len(server.requests) < 3 else 200)
        async with works.telling(address(server)):
            await until(works.was_told)
        assert len(server.requests) == 3


@pytest.mark.asyncio
async def test_an_address_that_fails_for_days_is_still_tried(works: Works, monkeypatch: pytest.MonkeyPatch) -> None:
    """However often it has failed, it gets what waits then."""
    tries = 0

    async def send(sink: Sink, title: str, body: str) -> str | None:
        nonlocal tries
        tries += 1
        return "it is away" if tries < 1500 else None

    monkeypatch.setattr(senders, "LOOKS", 0.0)
    monkeypatch.setattr(Sink, "send", send)
    works.tell()
    async with works.telling("json://127.0.0.1:9/a"):
        await until(works.was_told)
    assert tries == 1500


@pytest.mark.asyncio
async def test_an_address_that_hangs_keeps_the_others_from_nothing(works: Works) -> None:
    """The other address hears of both alarms while the first has not answered to one; the program can end."""
    works.tell()
    with HttpStub() as hanging, HttpStub() as server:
        waiting, let_go = hanging.hold()
        async with works.telling(address(hanging), address(server)):
            await until(lambda: waiting() and server.requests)
            await until(works.was_told)
            works.now += 120.0
            works.tell(replace(WAITING, name="pressure-low", raised=works.now - 30.0))
            await until(lambda: len(server.requests) == 2)
        assert len(hanging.requests) == 1
        let_go()


@pytest.mark.asyncio
async def test_ten_thousand_alarms_in_a_minute_leave_the_loop_free(works: Works) -> None:
    """While an address hangs, a chattering input cannot pile anything up; what stands then is one message."""
    with HttpStub() as server:
        async with works.telling(address(server)):
            for i in range(10_000):
                state = AlarmState.UNACKNOWLEDGED if i % 2 else AlarmState.NORMAL
                works.tell(replace(WAITING, name=f"alarm-{i % 12}", state=state, raised=works.now - 30.0))
                works.now += 0.003
                if i % 500 == 0:
                    await asyncio.sleep(0)
            works.now += 60.0
            await until(lambda: server.requests)
            await until(lambda: works.path.exists())
        assert len(server.requests) <= 2
        assert works.path.stat().st_size < 2_000


@pytest.mark.asyncio
async def test_a_told_file_that_is_not_ours_means_that_nobody_was_told(works: Works) -> None:
    """It is said in the log, and written anew."""
    works.path.write_text("not JSON")
    works.tell()
    with HttpStub() as server:
        async with works.telling(address(server)):
            await until(works.was_told)
        assert len(server.requests) == 1


@pytest.mark.asyncio
async def test_what_is_kept_holds_no_address(works: Works) -> None:
    """Addresses are secrets, and the file lies beside the store."""
    works.tell()
    with HttpStub() as server:
        async with works.telling(address(server, "s3cret")):
            await until(works.was_told)
    assert "s3cret" not in works.path.read_text()
