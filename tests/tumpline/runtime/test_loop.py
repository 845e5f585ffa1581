"""What comes in is durable, then acknowledged, then worked through, in the order in which it came."""

import pytest
from structlog.testing import capture_logs

from polling import until
from runtime_fakes import LATENESS, Rig, message
from tumpline.adapters.sqlite import Archive
from tumpline.pressing.effects import Effect, TellEvent
from tumpline.pressing.events import Event, ReadingTaken, TimePassed
from tumpline.runtime import loop
from tumpline.runtime.feed import LineFailedError
from tumpline.runtime.ports import EventRow, FiguresRow, Outputs, ReadingRow, StoreError
from wire_line import ARRIVED

EVENT = "tumpline/line-1/event"


def _tell(event: Event) -> list[Effect]:
    return [TellEvent("load.on", ARRIVED, {"load": "14"})]


async def _journalled(rig: Rig) -> list[bytes]:
    return [row.payload for row in await rig.journal.rows_after(0, 10_000)]


@pytest.mark.asyncio
async def test_durable_then_acknowledged_then_told(rig: Rig) -> None:
    """A power cut at any moment loses no message, and nobody has heard of anything that it unmakes."""
    rig.line.answer = _tell
    async with rig.looping() as tasks:
        tasks.start("postman", rig.postman.run())
        rig.receive(message(b"4.1", mid=1))
        await until(lambda: rig.broker.published)
    assert rig.diary == ["durable 4.1", "acknowledged 4.1", f"stored {EVENT}", f"published {EVENT}"]


@pytest.mark.asyncio
async def test_the_order_is_that_of_arrival(rig: Rig) -> None:
    """Whichever line they are of and however many come at once, messages are written and counted as they came."""
    count = 3 * loop.BATCH
    came = [message(b"%.3f" % (number / 1000.0), line=f"line-{1 + number % 2}") for number in range(count)]
    async with rig.looping():
        rig.receive(*came)
        await until(lambda: sum(len(line.heard) for line in rig.lines.values()) == count)
    assert await _journalled(rig) == [arrival.payload for arrival in came]
    for line in rig.lines.values():
        values = [event.value for event in line.heard if isinstance(event, ReadingTaken)]
        assert values == sorted(values) and len(values) == count / 2


@pytest.mark.asyncio
async def test_a_redelivered_message_counts_once(rig: Rig) -> None:
    """The broker is told again that we have it, and the figures stay as they were."""
    async with rig.looping():
        rig.receive(message(b"4.1", mid=1), message(b"4.1", mid=1, dup=True), message(b"4.2", mid=2))
        await until(lambda: len(rig.line.heard) == 2)
    assert await _journalled(rig) == [b"4.1", b"4.2"]
    assert [arrival.mid for arrival in rig.broker.acknowledged] == [1, 1, 2]
    assert rig.journal.redelivered == 1


@pytest.mark.asyncio
async def test_a_full_disk_loses_nothing(rig: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    """While the store cannot be written nothing is acknowledged; it is said once, and when it can all goes on."""
    monkeypatch.setattr(loop, "RETRY", 0.001)
    with capture_logs() as logged:
        async with rig.looping():
            await until(lambda: rig.store.snapshot_rows)
            rig.store.trouble = "The disk is full."
            rig.receive(message(b"4.1", mid=1))
            await until(lambda: rig.store.refusals >= 3)
            assert (rig.diary, rig.line.heard) == ([], [])
            rig.store.trouble = None
            await until(lambda: rig.line.heard)
    assert rig.diary == ["durable 4.1", "acknowledged 4.1"]
    assert [(line["event"], line.get("why")) for line in logged] == [
        ("store.cannot-be-written", "The disk is full."),
        ("store.written-again", None),
    ]


@pytest.mark.asyncio
async def test_an_end_with_a_full_disk_says_so(rig: Rig, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever stops the program does not wait for a disk for ever, and what was not durable stays at the broker."""
    monkeypatch.setattr(loop, "RETRY", 0.001)
    with pytest.raises(StoreError, match=r"The disk is full\."):
        async with rig.looping():
            await until(lambda: rig.store.snapshot_rows)
            rig.store.trouble = "The disk is full."
            rig.receive(message(mid=1))
            await until(lambda: rig.store.refusals)
    assert rig.broker.acknowledged == []


@pytest.mark.asyncio
async def test_after_a_bug_nothing_more_is_worked_through(rig: Rig) -> None:
    """A line that may be half changed tells nobody anything more; the messages are there for the next start."""

    def fail_at_the_second(event: Event) -> list[Effect]:
        if len(rig.line.heard) == 2:
            raise ZeroDivisionError("no fruit")
        return _tell(event)

    rig.line.answer = fail_at_the_second
    with pytest.raises(LineFailedError, match=r"Row 2 of the journal .* ZeroDivisionError: no fruit\."):
        async with rig.looping() as tasks:
            rig.receive(*(message(payload, mid=mid) for mid, payload in enumerate((b"1", b"2", b"3"), 1)))
            await tasks.wait()
    assert len(rig.line.heard) == 2
    assert rig.broker.published == []
    assert await _journalled(rig) == [b"1", b"2", b"3"]


@pytest.mark.asyncio
async def test_an_orderly_end_leaves_nothing_to_catch_up(rig: Rig) -> None:
    """From its first moment a line can be found again as it was, and after an orderly end at once."""
    async with rig.looping():
        await until(lambda: rig.store.snapshot_rows)
        rig.line.answer = _tell
        rig.receive(message(b"1"), message(b"2"))
        await until(lambda: len(rig.line.heard) == 2)
    newest = (await rig.journal.snapshots("line-1"))[0]
    assert (newest.seq, newest.state, newest.lag) == (2, b"2", 0.0)
    assert await rig.journal.through() == 2
    assert [kept.topic for kept in await rig.journal.outgoing_after(0, 10)] == [EVENT, EVENT]


@pytest.mark.asyncio
async def test_silence_moves_a_line_whose_time_has_come(rig: Rig) -> None:
    """A stop is noticed although nothing arrives any more, at a moment that every replay finds in the journal."""
    async with rig.looping():
        rig.receive(message(), message(line="line-2"))
        await until(lambda: rig.lines["line-2"].heard)
        rig.brokers["line-2"].connected = False
        rig.line.deadline = rig.lines["line-2"].deadline = ARRIVED + 30.0
        rig.clock.time = ARRIVED + 30.0 + LATENESS
        await until(lambda: len(rig.line.heard) == 2)
    (passed,) = rig.line.heard[1:]
    assert passed == TimePassed(ARRIVED + 30.0)
    assert [(row.topic, row.arrived) for row in await rig.journal.rows_after(2, 10)] == [(None, ARRIVED + 30.0)]
    assert len(rig.lines["line-2"].heard) == 1, "without a connection silence means nothing"


@pytest.mark.asyncio
async def test_silence_before_its_time_changes_nothing(rig: Rig) -> None:
    """The journal does not fill up overnight: a line is moved only where something is due."""
    async with rig.looping():
        rig.receive(message(), message(line="line-2"))
        await until(lambda: rig.lines["line-2"].heard)
        rig.line.deadline, rig.lines["line-2"].deadline = ARRIVED + 30.0, ARRIVED + 29.0
        rig.clock.time = ARRIVED + 29.0 + LATENESS
        await until(lambda: len(rig.lines["line-2"].heard) == 2)
    assert len(rig.line.heard) == 1


@pytest.mark.asyncio
async def test_a_quiet_line_is_not_held_up_by_one_that_talks(rig: Rig) -> None:
    """Time goes on for a line in silence while another one sends, and not for the one that sends."""
    async with rig.looping():
        rig.receive(message(), message(line="line-2"))
        await until(lambda: rig.lines["line-2"].heard)
        rig.line.deadline = rig.lines["line-2"].deadline = ARRIVED + 30.0
        rig.clock.time = ARRIVED + 30.0 + LATENESS
        rig.receive(message(line="line-2", arrived=rig.clock.time))
        await until(lambda: len(rig.line.heard) == len(rig.lines["line-2"].heard) == 2)
    assert rig.line.heard[1] == TimePassed(ARRIVED + 30.0)
    assert isinstance(rig.lines["line-2"].heard[1], ReadingTaken)


def test_too_much_at_once_waits_at_the_broker(rig: Rig) -> None:
    """A flood is read no faster than it can be written, and read on when there is room again."""
    rig.receive(*[message()] * loop.FULL)
    assert [broker.held for broker in rig.brokers.values()] == [True, True]
    taken = 0
    while rig.broker.held:
        taken += len(rig.loop.inbox.take())
    assert 0 < taken < loop.FULL
    assert not rig.brokers["line-2"].held


def test_a_flood_from_a_new_connection_waits_too(rig: Rig) -> None:
    """A connection that is read from its beginning is held back as the one before it was."""
    rig.receive(*[message()] * loop.FULL)
    rig.reception.opened("line-1", resumed=False)
    rig.broker.flow()
    rig.receive(message())
    assert rig.broker.held


@pytest.mark.asyncio
async def test_old_messages_are_forgotten_once_no_start_needs_them(rig: Rig) -> None:
    """The journal does not grow for ever; what came lately, or after the last snapshot, stays."""
    async with rig.looping() as tasks:
        await until(lambda: rig.store.snapshot_rows)
        rig.receive(message(b"old"), message(b"new", arrived=ARRIVED + 7200.0))
        await until(lambda: len(rig.line.heard) == 2)
        rig.clock.time = ARRIVED + 7200.0
        rig.receive(message(b"last"))
        await until(lambda: len(rig.line.heard) == 3)
        await until(lambda: rig.store.snapshot_rows[-1] == 2)
        tasks.start("prune", rig.loop.prune())
        await until(lambda: rig.store.pruned)
        assert await _journalled(rig) == [b"new", b"last"]


@pytest.mark.asyncio
async def test_old_readings_and_figures_are_forgotten_each_in_its_time(rig: Rig) -> None:
    """The time series do not grow for ever either; summaries, entries and events stay."""
    now = rig.clock.time
    series = Outputs(
        readings=[ReadingRow("line-1", "juice/brix", now - age, 12.0, 0) for age in (7300.0, 7100.0)],
        figures=[FiguresRow("line-1", now - age, b"{}") for age in (10900.0, 10700.0)],
        events=[EventRow("line-1", "e1", now - 1e6, "load.on", b"{}")],
    )
    await rig.journal.commit([], series, [])
    async with rig.looping() as tasks:
        tasks.start("prune", rig.loop.prune())
        await until(lambda: rig.store.forgotten == 2)
    with Archive(rig.store.path) as archive:
        assert [point.at for point in archive.trace("line-1", 0.0, now)] == [now - 10700.0]
        assert [at for (at,) in archive.rows("reading", ["at"])] == [now - 7100.0]
        assert len(list(archive.rows("event", ["id"]))) == 1
