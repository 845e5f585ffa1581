"""Every message has one row, in the order of arrival, whatever the broker sends again."""

import pytest

from runtime_fakes import Rig, message
from tumpline.runtime.journal import FAULTS_ALLOWED, Journal, Outbox
from tumpline.runtime.ports import Arrival, Outputs

pytestmark = pytest.mark.asyncio


async def written(journal: Journal, *arrivals: Arrival) -> list[bytes]:
    """Journal these messages; the payloads that got a row."""
    rows = journal.number(arrivals)
    await journal.commit(rows, Outputs(), [])
    return [row.payload for row in rows]


async def test_rows_are_numbered_on_across_starts(rig: Rig) -> None:
    """The journal goes on where it ended."""
    await written(rig.journal, message(b"12.0", mid=1), message(b"12.1", mid=2))
    again = Journal(rig.store)
    await again.open()
    assert [row.seq for row in again.number([message(b"12.2", mid=3)])] == [3]
    again.close()


@pytest.mark.parametrize("restarted", [False, True])
async def test_a_message_sent_again_has_its_row_already(rig: Rig, *, restarted: bool) -> None:
    """Before and after a start, a redelivered message is known and counted."""
    journal = rig.journal
    await written(journal, message(b"12.0", mid=7))
    if restarted:
        journal = Journal(rig.store)
        await journal.open()
    assert await written(journal, message(b"12.0", mid=7, dup=True)) == []
    assert journal.redelivered == 1
    journal.close()


@pytest.mark.parametrize(
    ("arrival", "why"),
    [
        (message(b"12.0", mid=8, dup=True), "another number"),
        (message(b"12.5", mid=7, dup=True), "the same number used anew"),
        (message(b"12.0", mid=7), "not said to be sent again"),
    ],
)
async def test_what_only_looks_like_a_message_sent_again_is_taken(rig: Rig, arrival: Arrival, why: str) -> None:
    """Number, content and the broker's word have to agree before a message is left out."""
    await written(rig.journal, message(b"12.0", mid=7))
    assert len(await written(rig.journal, arrival)) == 1, why


async def test_a_broker_that_begins_anew_sends_nothing_again(rig: Rig) -> None:
    """After the broker has forgotten a session its numbers mean other messages."""
    await written(rig.journal, message(b"12.0", mid=7))
    rig.journal.forget("line-1")
    assert len(await written(rig.journal, message(b"12.0", mid=7, dup=True))) == 1


async def test_what_the_broker_had_retained_is_no_news(rig: Rig) -> None:
    """A retained message gets no row."""
    assert await written(rig.journal, message(b"12.0", mid=7, retained=True), message(b"12.1", mid=8)) == [b"12.1"]


async def test_a_row_that_keeps_stopping_us_is_set_aside(rig: Rig) -> None:
    """The third time the same row is kept out of what is fed at a start; the others stay."""
    await written(rig.journal, message(b"12.0", mid=1), message(b"12.1", mid=2))
    bad = (await rig.journal.rows_after(0, 10))[0]
    told = [await rig.journal.count_fault(bad, "it broke") for _ in range(FAULTS_ALLOWED)]
    assert told == [False, False, True]
    assert [row.payload for row in await rig.journal.rows_after(0, 10)] == [b"12.1"]


async def test_old_rows_are_forgotten_and_snapshots_keep_theirs(rig: Rig) -> None:
    """Rows go when they are old and a snapshot has what they gave; never one that a start would need."""
    await written(rig.journal, message(b"12.0", mid=1), message(b"12.1", mid=2), message(b"12.2", mid=3))
    far = 1e12
    await rig.journal.prune(before=0.0, seq=3, raw_before=0.0)
    assert len(await rig.journal.rows_after(0, 10)) == 3
    await rig.journal.prune(before=far, seq=2, raw_before=0.0)
    assert [row.seq for row in await rig.journal.rows_after(0, 10)] == [3]


async def test_points_stay_until_they_have_arrived(rig: Rig) -> None:
    """Points are taken oldest first, as often as needed, until they are dropped or refused."""
    outbox = Outbox(rig.journal, rig.store)
    await rig.journal.commit([], Outputs(points=["a x=1 1", "b x=1 1", "c x=1 1"]), [])
    first = await outbox.take(2)
    assert await outbox.take(2) == first
    await outbox.drop([first[0][0]])
    await outbox.refuse([first[1][0]], "field type conflict")
    assert [text for _, text in await outbox.take(10)] == ["c x=1 1"]
