"""The outbox sender against a server that says what the test wants it to say."""

import asyncio
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager

import pytest
import structlog

from http_stub import Answer, HttpStub
from memory_outbox import MemoryOutbox
from polling import until
from tumpline.adapters.influx import BATCH, InfluxSender

pytestmark = pytest.mark.asyncio

TAKEN = Answer(204)


@pytest.fixture(name="server")
def _server() -> Iterator[HttpStub]:
    with HttpStub() as server:
        yield server


@asynccontextmanager
async def sending(outbox: MemoryOutbox, server: HttpStub) -> AsyncIterator[None]:
    """A sender at work for as long as the block lasts."""
    sender = InfluxSender(
        outbox=outbox, url=server.url, org="works", bucket="press", token="secret", idle=0.01, pause=0.01
    )
    async with asyncio.TaskGroup() as group:
        task = group.create_task(sender.run())
        yield
        task.cancel()


def only_numbers(body: str) -> Answer:
    """A server that takes lines with numbers only, and like the real one keeps the good lines of a refused batch."""
    bad = [line for line in body.splitlines() if "=oops " in line]
    return Answer(400, {"code": "invalid", "message": f"unable to parse {bad[0]!r}"}) if bad else TAKEN


async def test_lines_leave_the_outbox_when_the_server_has_taken_them(server: HttpStub) -> None:
    """Every line arrives as it was written, in order, at the configured bucket, with the token."""
    server.reply = lambda body: TAKEN
    lines = [f"reading,line=line-1 value={i} {i}" for i in range(BATCH + 5)]
    outbox = MemoryOutbox(lines)
    async with sending(outbox, server):
        await until(lambda: not outbox.rows)
    assert [line for request in server.requests for line in request.body.splitlines()] == lines
    first = server.requests[0]
    assert (first.path, first.query["bucket"], first.query["org"]) == ("/api/v2/write", "press", "works")
    assert (first.query["precision"], first.headers["Authorization"]) == ("ns", "Token secret")


async def test_lines_of_later_are_sent_too(server: HttpStub) -> None:
    """An empty outbox is looked at again."""
    server.reply = lambda body: TAKEN
    outbox = MemoryOutbox([])
    async with sending(outbox, server):
        await asyncio.sleep(0)
        outbox.rows[7] = "reading value=1 1"
        await until(lambda: not outbox.rows)
    assert [request.body for request in server.requests] == ["reading value=1 1"]


async def test_a_bad_line_is_set_aside_with_the_servers_reason_and_holds_up_no_other(server: HttpStub) -> None:
    """Only the bad lines are refused; all the others are taken."""
    server.reply = only_numbers
    lines = [f"reading value={'oops' if i in (3, 4, 90) else i} {i}" for i in range(100)]
    outbox = MemoryOutbox(lines)
    async with sending(outbox, server):
        await until(lambda: not outbox.rows)
    assert set(outbox.refused) == {lines[3], lines[4], lines[90]}
    assert outbox.refused[lines[90]] == f"unable to parse {lines[90]!r}"
    taken = {line for request in server.requests if "oops" not in request.body for line in request.body.splitlines()}
    assert taken == set(lines) - set(outbox.refused)


@pytest.mark.parametrize("status", [401, 404, 429, 500, 503])
async def test_a_server_that_takes_nothing_now_is_asked_again(server: HttpStub, status: int) -> None:
    """A wrong token, a missing bucket or a busy server costs no line, and is said once."""
    server.reply = lambda body: Answer(status, {"code": "trouble", "message": "not now"})
    outbox = MemoryOutbox(["reading value=1 1", "reading value=2 2"])
    with structlog.testing.capture_logs() as logs:
        async with sending(outbox, server):
            await until(lambda: len(server.requests) >= 4)
            assert len(outbox.rows) == 2
            server.reply = lambda body: TAKEN
            await until(lambda: not outbox.rows)
            await until(lambda: len(logs) == 2)
    assert outbox.refused == {}
    assert logs == [
        {"event": "influx.away", "log_level": "warning", "url": server.url, "why": f"it answered {status}: not now"},
        {"event": "influx.back", "log_level": "info", "url": server.url},
    ]


async def test_a_server_that_cannot_be_reached_is_asked_again() -> None:
    """Nobody at the other end costs no line."""
    with HttpStub() as gone:
        pass
    outbox = MemoryOutbox(["reading value=1 1"])
    with structlog.testing.capture_logs() as logs:
        async with sending(outbox, gone):
            await until(lambda: logs)
    assert [log["event"] for log in logs] == ["influx.away"]
    assert logs[0]["why"].startswith("it cannot be reached: ")
    assert list(outbox.rows.values()) == ["reading value=1 1"]


async def test_a_slow_server_holds_up_nobody_else(server: HttpStub) -> None:
    """While a write waits for its answer, the rest of the program goes on."""
    waiting, release = server.hold()
    outbox = MemoryOutbox(["reading value=1 1"])
    async with sending(outbox, server):
        await until(waiting)
        assert outbox.rows
        release()
        await until(lambda: not outbox.rows)
