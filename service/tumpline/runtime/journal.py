"""
The journal: every message is durable here before the broker hears that we have it.

A message goes into the journal once, in the order of arrival. Its row number is the one thing everything else hangs on:
snapshots say after which row they were taken, outputs up to which row they are stored.
"""

import asyncio
from collections import OrderedDict
from collections.abc import Callable, Iterable, Sequence
from concurrent.futures import ThreadPoolExecutor
from functools import partial
from typing import TypeVar

from tumpline.runtime.ports import Arrival, Outgoing, Outputs, Row, Snapshot, Store

T = TypeVar("T")

REMEMBERED = 10_000
"""Messages of a line among which a redelivered one is looked for: more than the broker can have under way."""
FAULTS_ALLOWED = 3
"""So often one row may stop the service before it is set aside."""
_FORGOTTEN_AT_ONCE = 5_000  # about 20 ms of the store's thread


class Journal:
    """Owns the store and the one thread that talks to it."""

    def __init__(self, store: Store) -> None:
        self._store = store
        self._thread = ThreadPoolExecutor(1, "journal")
        self.seq = 0
        """The newest row's number; 0 before the first."""
        self._known: dict[str, OrderedDict[int, int]] = {}
        """By line and the broker's number, oldest first: a hash of the newest message journalled under it."""
        self.redelivered = 0
        """Messages that the broker sent again although they were durable."""

    async def open(self) -> None:
        """Read how far the journal goes, and what the broker may send once more."""
        self.seq = await self.call(self._store.last_seq)
        for row in await self.call(self._store.newest_rows, REMEMBERED):
            if row.mid and row.topic is not None:
                self._remember(row.line, row.mid, hash((row.topic, row.payload)))

    def close(self) -> None:
        """Wait for the thread; the store itself belongs to whoever made it."""
        self._thread.shutdown()

    def number(self, arrivals: Iterable[Arrival]) -> list[Row]:
        """
        The rows to be written for these messages, in order. Each must then be committed.

        A message that the broker sends once more because our acknowledgement never reached it has its row already, and
        gets no other: what is counted stays the same however often we are killed. Nor does one that the broker had
        retained: it would pass for news, and it was heard when it was.
        """
        rows = []
        for arrived, topic, payload, line, mid, dup, retained, _ in arrivals:
            if retained:
                continue
            if mid:
                content = hash((topic, payload))
                if dup and line in self._known and self._known[line].get(mid) == content:
                    self.redelivered += 1
                    continue
                self._remember(line, mid, content)
            self.seq += 1
            rows.append(Row(self.seq, arrived, topic, payload, line, mid))
        return rows

    def time_row(self, line: str, at: float) -> Row:
        """The row that says that event time of this line has come to `at`."""
        self.seq += 1
        return Row(self.seq, at, None, line.encode(), line)

    def forget(self, line: str) -> None:
        """The broker knows nothing of this line's earlier connections: its numbers start anew."""
        self._known.pop(line, None)

    async def commit(self, rows: Sequence[Row], outputs: Outputs, snapshots: Sequence[Snapshot]) -> None:
        """Make all of it durable, or nothing; StoreError says why not. May be tried again with the same arguments."""
        await self.call(self._store.commit, rows, outputs, snapshots)

    async def through(self) -> int:
        """The row up to which outputs are stored."""
        return await self.call(self._store.through)

    async def snapshots(self, line: str) -> Sequence[Snapshot]:
        """A line's snapshots, newest first."""
        return await self.call(self._store.snapshots, line)

    async def rows_after(self, seq: int, limit: int) -> Sequence[Row]:
        """The next rows, in order; none at the end."""
        return await self.call(self._store.rows_after, seq, limit)

    async def outgoing_after(self, last: int, limit: int) -> Sequence[Outgoing]:
        """Messages that the broker has not confirmed, oldest first."""
        return await self.call(self._store.outgoing_after, last, limit)

    async def count_fault(self, row: Row, reason: str) -> bool:
        """
        This row stopped the service. True where it did so for the last time: it is set aside and will not be fed again.
        """
        if await self.call(self._store.count_fault, row, reason) < FAULTS_ALLOWED:
            return False
        await self.call(self._store.set_aside, row, reason)
        return True

    async def prune(self, *, before: float, seq: int, raw_before: float) -> None:
        """Forget rows up to `seq` from before `before`, and raw refusals; a little at a time: commits come between."""
        await self._forget(partial(self._store.prune, before=before, seq=seq, raw_before=raw_before))

    async def forget_series(self, *, readings_before: float, figures_before: float) -> None:
        """Forget readings and computed figures from before these moments, a little at a time as well."""
        forget = self._store.forget_series
        await self._forget(partial(forget, readings_before=readings_before, figures_before=figures_before))

    async def _forget(self, some: Callable[..., int]) -> None:
        while await self.call(partial(some, limit=_FORGOTTEN_AT_ONCE)) == _FORGOTTEN_AT_ONCE:
            pass

    def _remember(self, line: str, mid: int, content: int) -> None:
        known = self._known.setdefault(line, OrderedDict())
        known[mid] = content
        known.move_to_end(mid)
        if len(known) > REMEMBERED:
            known.popitem(last=False)

    async def call(self, work: Callable[..., T], *args: object) -> T:
        """Have the store's thread do this piece of work on the store."""
        return await asyncio.get_running_loop().run_in_executor(self._thread, work, *args)


class Outbox:
    """Points that wait in the store until an outside time-series store has them."""

    def __init__(self, journal: Journal, store: Store) -> None:
        self._journal = journal
        self._store = store

    async def take(self, limit: int) -> Sequence[tuple[int, str]]:
        """The oldest points with their ids; they stay."""
        return await self._journal.call(self._store.points, limit)

    async def drop(self, ids: Sequence[int]) -> None:
        """These points have arrived: forget them."""
        await self._journal.call(self._store.drop_points, ids)

    async def refuse(self, ids: Sequence[int], reason: str) -> None:
        """These points will never be taken: put them aside."""
        await self._journal.call(self._store.refuse_points, ids, reason)
