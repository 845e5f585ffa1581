"""The runtime on a real store, with lines, brokers and a clock that do what the test says; all note what they did."""

from collections.abc import AsyncIterator, Callable, Iterable, Sequence
from contextlib import asynccontextmanager
from pathlib import Path

import msgspec

import fake_line
from tumpline.adapters.sqlite import SqliteStore
from tumpline.pressing.effects import Effect
from tumpline.pressing.events import Event
from tumpline.pressing.records import AlarmRecord, Live
from tumpline.runtime.board import Board
from tumpline.runtime.clock import Clock
from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.feed import Feed
from tumpline.runtime.journal import Journal
from tumpline.runtime.loop import Loop
from tumpline.runtime.lull import Lull
from tumpline.runtime.ports import Arrival, Kept, Outgoing, Outputs, Row, Snapshot, StoreError
from tumpline.runtime.postman import Postman
from tumpline.runtime.reception import Reception
from tumpline.runtime.supervise import Supervisor
from tumpline.wire.decode import Decoder, LineWire
from tumpline.wire.topics import Topics
from wire_line import ARRIVED, line_wire

LINES = ("line-1", "line-2")
LATENESS = 10.0
BRIX = "signal/juice/brix"
"""A signal whose payload is a bare number."""


def message(payload: bytes = b"4.1", *, name: str = BRIX, line: str = "line-1", mid: int = 0, dup: bool = False,
            retained: bool = False, arrived: float = ARRIVED) -> Arrival:  # fmt: skip
    """A message as the line's first connection brings it."""
    return Arrival(arrived, f"tumpline/{line}/{name}", payload, line, mid, dup, retained, 1)


def outgoing(*payloads: bytes, line: str = "line-1") -> Outputs:
    """Messages for the broker, to be stored."""
    return Outputs(outgoing=[Outgoing(0, line, f"tumpline/{line}/event", payload, False) for payload in payloads])


class SetClock(Clock):
    """A clock that the test sets."""

    speed = 50.0
    """So that the loop looks often whether something has changed."""

    def __init__(self) -> None:
        self.time = ARRIVED

    def now(self) -> float:
        """What it was set to."""
        return self.time

    def running(self) -> float:
        """The same: the test's pauses are this clock's."""
        return self.time


class ScriptedLine:
    """Hears events, and asks for what the test wants."""

    def __init__(self, name: str) -> None:
        self.name = name
        self.heard: list[Event] = []
        self.answer: Callable[[Event], Sequence[Effect]] = lambda event: ()
        self.deadline: float | None = None
        self.alarms: tuple[AlarmRecord, ...] = ()

    def handle(self, event: Event) -> Sequence[Effect]:
        """Note the event."""
        self.heard.append(event)
        return self.answer(event)

    def next_deadline(self) -> float | None:
        """As set."""
        return self.deadline

    def live(self, at: float) -> Live:
        """The invented line at this time."""
        return fake_line.live(line=self.name, at=at, alarms=self.alarms)

    def snapshot(self) -> bytes:
        """How many events it has heard."""
        return str(len(self.heard)).encode()


class ScriptedBroker:
    """Takes what it is given, while it is connected; `echo` sees each message that it takes."""

    def __init__(self, line: str, diary: list[str]) -> None:
        self.connected = True
        self.busy = False
        self.published: list[tuple[str, bytes]] = []
        self.retained: list[str] = []
        self.acknowledged: list[Arrival] = []
        self.held = False
        self.echo: Callable[[str, bytes], None] = lambda topic, payload: None
        self._line = line
        self._diary = diary

    def publish(self, topic: str, payload: bytes, *, qos: int, retain: bool) -> int | None:
        """Take a message; its number, counted from 1."""
        if not self.connected:
            return None
        self.published.append((topic, payload))
        self._diary.append(f"published {topic}")
        if retain:
            self.retained.append(topic)
        self.echo(topic, payload)
        return len(self.published)

    def acknowledge(self, arrivals: Iterable[Arrival]) -> None:
        """Note which messages are known to be durable."""
        for arrival in arrivals:
            if arrival.line == self._line and arrival.mid:
                self.acknowledged.append(arrival)
                self._diary.append(f"acknowledged {arrival.payload.decode()}")

    def hold(self) -> None:
        """Read no more."""
        self.held = True

    def flow(self) -> None:
        """Read on."""
        self.held = False

    def payloads(self, topic: str) -> list[bytes]:
        """What was published on a topic, in order."""
        return [payload for on, payload in self.published if on == topic]


class DiaryStore(SqliteStore):
    """A store that notes what has become durable, and fails while it has `trouble`."""

    def __init__(self, path: Path, diary: list[str]) -> None:
        super().__init__(path)
        self.trouble: str | None = None
        self.refusals = 0
        self.snapshot_rows: list[int] = []
        """After which rows snapshots were taken."""
        self.pruned = 0
        self.forgotten = 0
        self.path = path
        self._diary = diary

    def commit(self, rows: Sequence[Row], outputs: Outputs, snapshots: Sequence[Snapshot]) -> None:
        """Make it durable, then note it."""
        if self.trouble is not None:
            self.refusals += 1
            raise StoreError(self.trouble)
        super().commit(rows, outputs, snapshots)
        self._diary += [f"durable {row.payload.decode()}" for row in rows]
        self._diary += [f"stored {message.topic}" for message in outputs.outgoing]
        self.snapshot_rows += [snapshot.seq for snapshot in snapshots]

    def prune(self, *, before: float, seq: int, raw_before: float, limit: int) -> int:
        """Forget rows, and count them."""
        gone = super().prune(before=before, seq=seq, raw_before=raw_before, limit=limit)
        self.pruned += gone
        return gone

    def forget_series(self, *, readings_before: float, figures_before: float, limit: int) -> int:
        """Forget readings and figures, and count them."""
        gone = super().forget_series(readings_before=readings_before, figures_before=figures_before, limit=limit)
        self.forgotten += gone
        return gone


class Rig:
    """Two lines on one store. What was made durable, acknowledged and published stands in `diary`, in order."""

    def __init__(self, folder: Path) -> None:
        self.diary: list[str] = []
        self.clock = SetClock()
        self.store = DiaryStore(folder / "store.db", self.diary)
        self.journal = Journal(self.store)
        self.lines = {name: ScriptedLine(name) for name in LINES}
        self.brokers = {name: ScriptedBroker(name, self.diary) for name in LINES}
        self.lulls = {name: Lull(lateness=LATENESS) for name in LINES}
        self.board = Board(LINES)
        self.dispatch = Dispatch(topics=Topics("tumpline"), screen=self.board, points=True)
        self.known = dict.fromkeys(LINES, 0)
        self.feed = Feed(
            decoder=Decoder([_wire(name) for name in LINES]),
            lines=self.lines,
            lulls=self.lulls,
            dispatch=self.dispatch,
            known=self.known,
        )
        self.loop = Loop(
            clock=self.clock,
            journal=self.journal,
            feed=self.feed,
            dispatch=self.dispatch,
            lines=self.lines,
            lulls=self.lulls,
            brokers=self.brokers,
            kept=Kept(messages=3600.0, readings=7200.0, figures=10800.0),
        )
        self.postman = Postman(journal=self.journal, dispatch=self.dispatch, brokers=self.brokers)
        self.loop.stored = self.postman.wake
        self.reception = Reception(
            clock=self.clock,
            inbox=self.loop.inbox,
            journal=self.journal,
            postman=self.postman,
            dispatch=self.dispatch,
            lines=self.lines,
            lulls=self.lulls,
            brokers=self.brokers,
        )

    @property
    def line(self) -> ScriptedLine:
        """The first line."""
        return self.lines["line-1"]

    @property
    def broker(self) -> ScriptedBroker:
        """The first line's connection."""
        return self.brokers["line-1"]

    def receive(self, *arrivals: Arrival) -> None:
        """Messages come."""
        for arrival in arrivals:
            self.reception.receive(arrival)

    @asynccontextmanager
    async def looping(self) -> AsyncIterator[Supervisor]:
        """Within the block the loop runs; at its end it is stopped in order."""
        async with Supervisor() as tasks:
            running = tasks.start("loop", self.loop.run())
            yield tasks
            self.loop.stop()
            await running

    def close(self) -> None:
        """Let go of the store."""
        self.journal.close()
        self.store.close()


def _wire(name: str) -> LineWire:
    wire = line_wire()
    return msgspec.structs.replace(wire, params=msgspec.structs.replace(wire.params, id=name))
