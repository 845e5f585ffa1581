"""An entry typed on the page goes the way of every other, and is accepted when it is durable."""

import json

import pytest

from runtime_fakes import Rig, message
from tumpline.pressing.events import EntryMade
from tumpline.runtime import desk as desk_module
from tumpline.runtime.desk import Accepted, Desk
from tumpline.wire.topics import Topics
from tumpline.wire.words import Refused

BODY: dict[str, object] = {"by": "Ada", "load": "14"}
TOPIC = "tumpline/line-1/book/load-on"


@pytest.fixture(name="desk")
def _desk(rig: Rig) -> Desk:
    return Desk(clock=rig.clock, topics=Topics("tumpline"), loop=rig.loop, brokers=rig.brokers)


def _echoes(rig: Rig) -> None:
    """The broker brings our own entries back, as it does to everybody who subscribes."""

    def echo(topic: str, payload: bytes) -> None:
        if "/book/" in topic:
            rig.receive(message(payload, name=topic.removeprefix("tumpline/line-1/"), mid=1))

    rig.broker.echo = echo


@pytest.mark.asyncio
async def test_an_entry_goes_through_the_broker(rig: Rig, desk: Desk) -> None:
    """Every recording of the line's messages holds it, and it is written down once, as of now."""
    _echoes(rig)
    async with rig.looping():
        accepted = await desk.submit("line-1", "load-on", BODY)
        assert any(written.startswith("durable") for written in rig.diary), "accepted means durable"
    (payload,) = rig.broker.payloads(TOPIC)
    assert json.loads(payload) == BODY | {"at": "2026-10-14T07:00:00.000000Z"}
    assert [row.payload for row in await rig.journal.rows_after(0, 10)] == [payload]
    (made,) = rig.line.heard
    assert isinstance(made, EntryMade) and accepted == Accepted(made.id)


@pytest.mark.asyncio
async def test_an_entry_is_taken_in_without_a_broker(rig: Rig, desk: Desk) -> None:
    """The shift book can be written while the broker is away."""
    rig.broker.connected = False
    async with rig.looping():
        accepted = await desk.submit("line-1", "load-on", BODY)
    (made,) = rig.line.heard
    assert isinstance(made, EntryMade) and accepted == Accepted(made.id)


@pytest.mark.asyncio
async def test_an_entry_that_does_not_come_back_is_taken_in(
    rig: Rig, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """A broker that swallows an entry does not lose it."""
    monkeypatch.setattr(desk_module, "ROUND_TRIP", 0.01)
    async with rig.looping():
        assert isinstance(await desk.submit("line-1", "load-on", BODY), Accepted)
    assert len(rig.line.heard) == 1


@pytest.mark.asyncio
async def test_an_entry_is_not_accepted_before_it_is_durable(
    rig: Rig, desk: Desk, monkeypatch: pytest.MonkeyPatch
) -> None:
    """While the store cannot be written the page says so, and what would become of the entry."""
    monkeypatch.setattr(desk_module, "ROUND_TRIP", 0.01)
    monkeypatch.setattr(desk_module, "PATIENCE", 0.01)
    refused = await desk.submit("line-1", "load-on", BODY)
    assert isinstance(refused, Refused)
    assert "The store cannot be written now" in refused.reason


@pytest.mark.asyncio
@pytest.mark.parametrize(
    ("kind", "body", "words"),
    [
        ("load-on", {"load": "14"}, "by"),
        ("load-on", {"by": "Ada"}, "load"),
        ("lunch", BODY, "lunch"),
        ("load-on", BODY | {"at": "2026-10-14T09:00:00Z"}, "future"),
    ],
)
async def test_a_mistake_is_told_at_once(rig: Rig, desk: Desk, kind: str, body: dict[str, object], words: str) -> None:
    """Whoever leaves something out reads what is missing, and nothing of it is published."""
    refused = await desk.submit("line-1", kind, body)
    assert isinstance(refused, Refused)
    assert words in refused.reason
    assert rig.broker.published == []
    assert rig.loop.inbox.take() == []


@pytest.mark.asyncio
async def test_the_same_entry_twice_is_one(rig: Rig, desk: Desk) -> None:
    """A button pressed twice gives one id, under which the book keeps one entry."""
    _echoes(rig)
    body = BODY | {"at": "2026-10-14T06:59:00Z"}
    async with rig.looping():
        first, second = [await desk.submit("line-1", "load-on", body) for _ in range(2)]
    assert isinstance(first, Accepted) and first == second


@pytest.mark.asyncio
async def test_there_is_no_desk_for_an_unknown_line(desk: Desk) -> None:
    """An entry for a line that is not in the settings goes nowhere."""
    with pytest.raises(KeyError):
        await desk.submit("line-9", "load-on", BODY)
