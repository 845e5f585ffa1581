"""What is stored for the broker reaches it, oldest first, until it has confirmed it."""

from collections.abc import AsyncIterator
from contextlib import asynccontextmanager

import pytest

from polling import until
from runtime_fakes import Rig, outgoing
from tumpline.runtime.ports import Outgoing, Outputs
from tumpline.runtime.postman import UNDER_WAY
from tumpline.runtime.supervise import Supervisor

EVENT = "tumpline/line-1/event"


@asynccontextmanager
async def _bringing(rig: Rig) -> AsyncIterator[None]:
    async with Supervisor() as tasks:
        tasks.start("postman", rig.postman.run())
        rig.postman.wake()
        yield


async def _published(rig: Rig, count: int) -> None:
    await until(lambda: len(rig.broker.published) >= count)


async def _looked(rig: Rig) -> None:
    """Until the postman has looked for everything there was: what is stored now is brought after it."""
    await rig.journal.commit([], outgoing(b"last", line="line-2"), [])
    rig.postman.wake()
    await until(lambda: rig.brokers["line-2"].payloads("tumpline/line-2/event"))


@pytest.mark.asyncio
async def test_messages_come_oldest_first(rig: Rig) -> None:
    """People hear of things in the order in which they happened, whenever they were stored."""
    await rig.journal.commit([], outgoing(b"1", b"2"), [])
    async with _bringing(rig):
        await _published(rig, 2)
        await rig.journal.commit([], outgoing(b"3"), [])
        rig.postman.wake()
        await _published(rig, 3)
    assert rig.broker.payloads(EVENT) == [b"1", b"2", b"3"]


@pytest.mark.asyncio
async def test_what_is_retained_and_what_is_not(rig: Rig) -> None:
    """A state stays at the broker for whoever comes later; an event is over."""
    stored = [Outgoing(0, "line-1", "tumpline/line-1/alarm/juice-low", b"{}", True), *outgoing(b"{}").outgoing]
    await rig.journal.commit([], Outputs(outgoing=stored), [])
    async with _bringing(rig):
        await _published(rig, 2)
    assert rig.broker.retained == ["tumpline/line-1/alarm/juice-low"]


@pytest.mark.asyncio
async def test_a_message_is_kept_until_the_broker_has_it(rig: Rig) -> None:
    """Handing a message over is not enough; a number that is not a stored message's confirms nothing."""
    await rig.journal.commit([], outgoing(b"1", b"2"), [])
    async with _bringing(rig):
        await _published(rig, 2)
        rig.postman.confirmed("line-1", 1)
        rig.postman.confirmed("line-1", 1)
        rig.postman.confirmed("line-1", 99)
        rig.postman.confirmed("line-2", 2)
        await rig.journal.commit([], rig.dispatch.take(0), [])
        assert [message.payload for message in await rig.journal.outgoing_after(0, 10)] == [b"2"]


@pytest.mark.asyncio
async def test_what_is_under_way_is_not_brought_twice(rig: Rig) -> None:
    """After a short loss only what the connection never took is brought."""
    await rig.journal.commit([], outgoing(b"1"), [])
    async with _bringing(rig):
        await _published(rig, 1)
        rig.broker.connected = False
        await rig.journal.commit([], outgoing(b"2"), [])
        await _looked(rig)
        rig.broker.connected = True
        rig.postman.connected()
        await _published(rig, 2)
    assert rig.broker.payloads(EVENT) == [b"1", b"2"]


@pytest.mark.asyncio
async def test_a_line_no_longer_in_the_settings_holds_nobody_up(rig: Rig) -> None:
    """The messages of a line that was taken out of the settings wait; those of the others are brought."""
    await rig.journal.commit([], outgoing(b"old", line="line-9"), [])
    async with _bringing(rig):
        await _looked(rig)
    assert [message.payload for message in await rig.journal.outgoing_after(0, 10)] == [b"old", b"last"]


@pytest.mark.asyncio
async def test_a_broker_that_was_away_gets_portions(rig: Rig) -> None:
    """However much waits, no more than a portion is under way at a time, and all of it arrives in the end."""
    count = 2 * UNDER_WAY + 10
    await rig.journal.commit([], outgoing(*(str(number).encode() for number in range(count))), [])
    async with _bringing(rig):
        for number in range(1, count + 1):
            await _published(rig, number)
            rig.postman.confirmed("line-1", number)
            await rig.journal.call(int)  # the store's thread is free again: more would have been looked for
            assert len(rig.broker.published) - number <= UNDER_WAY
    assert [int(payload) for payload in rig.broker.payloads(EVENT)] == list(range(count))
