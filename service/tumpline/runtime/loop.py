"""
The loop: inbox, journal, acknowledgement, lines, in this order and in batches.

A batch is what came in a fiftieth of a second, or as much as is worth one transaction. The transaction that makes it
durable also stores what the batch before it gave; a crash between the two is mended at the next start by feeding the
journal's last rows again.
"""

import asyncio
from collections import deque
from collections.abc import Callable, Mapping, Sequence, Set

import structlog

from tumpline.runtime.clock import Clock
from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.feed import Feed
from tumpline.runtime.journal import Journal
from tumpline.runtime.lull import Lull
from tumpline.runtime.ports import Arrival, Broker, Kept, Line, Outputs, Row, Snapshot, StoreError

log = structlog.get_logger(__name__)

BATCH = 500
GATHER = 0.02
"""s a batch is gathered: what people cannot notice, and long enough to share the cost of a transaction."""
IDLE = 1.0
"""s that outputs may wait for rows to be stored with."""
SOON = 0.05
"""s they wait when somebody is to be told."""
FULL = 5_000
"""Messages waiting for the journal at which the connections are read no more."""
SNAPSHOT_EVERY = 60.0
SNAPSHOT_ROWS = 50_000
"""Rows after which a snapshot is taken earlier: a start should not take longer than a few seconds."""
PRUNE_EVERY = 3600.0
RAW_KEPT = 86_400.0
"""s that the bytes of what could not be used are kept."""
RETRY = 5.0


class Inbox:
    """Messages that came in and are not durable yet. A connection that would overfill it is not read meanwhile."""

    def __init__(self, brokers: Mapping[str, Broker]) -> None:
        self._brokers = brokers
        self._waiting: deque[Arrival] = deque()
        self._some = asyncio.Event()
        self._held = False

    def put(self, arrival: Arrival) -> None:
        """Take a message."""
        self._waiting.append(arrival)
        self._some.set()
        if len(self._waiting) >= FULL:  # each time: a new connection is read from its beginning
            self._held = True
            for broker in self._brokers.values():
                broker.hold()

    @property
    def empty(self) -> bool:
        """True while nothing waits."""
        return not self._waiting

    def clear(self, line: str) -> None:
        """The line's connection is resumed: what is not durable comes again, but for what needs no acknowledgement."""
        self._waiting = deque(arrival for arrival in self._waiting if arrival.line != line or not arrival.mid)
        if self._held:
            self._flow()

    def wake(self) -> None:
        """End `gather` now."""
        self._some.set()

    async def gather(self, patience: float) -> None:
        """Wait until something is there, at most `patience` seconds; then a little more, for the rest of the batch."""
        try:
            async with asyncio.timeout(patience):
                await self._some.wait()
        except TimeoutError:
            return
        if len(self._waiting) < BATCH:
            await asyncio.sleep(GATHER)

    def take(self) -> list[Arrival]:
        """The next batch, in the order of arrival; may be empty."""
        waiting = self._waiting
        batch = [waiting.popleft() for _ in range(min(BATCH, len(waiting)))]
        if not waiting:
            self._some.clear()
        if self._held and len(waiting) < FULL // 2:
            self._flow()
        return batch

    def _flow(self) -> None:
        self._held = False
        for broker in self._brokers.values():
            broker.flow()


class Loop:
    """Works through what comes in, one row after the other, and stores what comes of it."""

    def __init__(
        self,
        *,
        clock: Clock,
        journal: Journal,
        feed: Feed,
        dispatch: Dispatch,
        lines: Mapping[str, Line],
        lulls: Mapping[str, Lull],
        brokers: Mapping[str, Broker],
        kept: Kept,
    ) -> None:
        self.inbox = Inbox(brokers)
        self._clock = clock
        self._journal = journal
        self._feed = feed
        self._dispatch = dispatch
        self._lines = lines
        self._lulls = lulls
        self._brokers = brokers
        self._kept = kept
        self._stopping = False
        self._stored_at = clock.running()
        self._snapshot_at = clock.running()
        self._snapshot_seq = feed.covered
        self._expected: dict[tuple[str, bytes], asyncio.Future[None]] = {}
        self.stored: Callable[[], None] = lambda: None
        """Called when messages for the broker have been stored."""

    async def run(self) -> None:
        """
        Until `stop`. Raises LineFailedError for a bug, StoreError where the last batch could not be stored.

        Begins with a snapshot: a line without one would not know at the next start which rows are its own.
        """
        await self._store([], self._snapshots())
        while not self._stopping:
            await self.inbox.gather(SOON if self._dispatch.pressing else IDLE / max(1.0, self._clock.speed))
            await self._pass()
            await asyncio.sleep(0)
        await self._store([], self._snapshots())

    def stop(self) -> None:
        """Finish the batch, store everything with a snapshot, and return from `run`."""
        self._stopping = True
        self.inbox.wake()

    def expect(self, topic: str, payload: bytes) -> "asyncio.Future[None]":
        """Done as soon as this message is durable, whichever way it comes."""
        future = asyncio.get_running_loop().create_future()
        return self._expected.setdefault((topic, payload), future)

    async def prune(self) -> None:
        """For ever: forget what need not be held any longer."""
        while True:
            now = self._clock.now()
            try:
                await self._journal.prune(
                    before=now - self._kept.messages, seq=self._snapshot_seq, raw_before=now - RAW_KEPT
                )
                await self._journal.forget_series(
                    readings_before=now - self._kept.readings, figures_before=now - self._kept.figures
                )
            except StoreError as error:
                log.warning("journal.prune-failed", why=str(error))
            await asyncio.sleep(PRUNE_EVERY)

    async def _pass(self) -> None:
        arrivals = self.inbox.take()
        rows = self._journal.number(arrivals)
        if self.inbox.empty:
            rows += self._time_rows({arrival.line for arrival in arrivals})
        due = self._dispatch.pressing or self._clock.running() - self._stored_at >= IDLE
        if rows or (due and self._dispatch.gathered):
            await self._store(rows, self._snapshots() if self._snapshot_due() else [])
        for broker in self._brokers.values():
            broker.acknowledge(arrivals)
        for row in rows:
            self._feed.row(row)
        self._dispatch.show(self._lines, self._brokers)

    def _time_rows(self, heard: Set[str]) -> list[Row]:
        """Event time goes on where nothing has arrived for a while, nor just now, and nothing can be on its way."""
        rows = []
        now = self._clock.now()
        for name, lull in self._lulls.items():
            if name in heard or not self._brokers[name].connected:
                continue
            at, deadline = lull.passed(now), self._lines[name].next_deadline()
            if at is not None and deadline is not None and at >= deadline:
                rows.append(self._journal.time_row(name, at))
        return rows

    async def _store(self, rows: Sequence[Row], snapshots: Sequence[Snapshot]) -> None:
        """Make rows durable with all that the rows before them gave. Tries until it can; says so once."""
        outputs = self._dispatch.take(self._feed.through)
        trouble = None
        while True:
            try:
                await self._journal.commit(rows, outputs, snapshots)
                break
            except StoreError as error:
                if str(error) != trouble:
                    trouble = str(error)
                    log.error("store.cannot-be-written", why=trouble)
                if self._stopping:
                    raise
                await asyncio.sleep(RETRY)
        if trouble is not None:
            log.info("store.written-again")
        self._stored_at = self._clock.running()
        self._after_storing(rows, outputs, snapshots)

    def _after_storing(self, rows: Sequence[Row], outputs: Outputs, snapshots: Sequence[Snapshot]) -> None:
        if snapshots:
            self._snapshot_at, self._snapshot_seq = self._stored_at, outputs.through
        if outputs.outgoing:
            self.stored()
        if self._expected:
            for row in rows:
                future = self._expected.pop((row.topic or "", row.payload), None)
                if future is not None and not future.done():
                    future.set_result(None)

    def _snapshot_due(self) -> bool:
        old = self._clock.running() - self._snapshot_at >= SNAPSHOT_EVERY
        many = self._feed.through - self._snapshot_seq >= SNAPSHOT_ROWS
        return many or (old and self._feed.through > self._snapshot_seq)

    def _snapshots(self) -> list[Snapshot]:
        through = self._feed.through
        return [Snapshot(name, through, self._lulls[name].lag, line.snapshot()) for name, line in self._lines.items()]
