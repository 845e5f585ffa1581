"""A whole invented season in one store: simulated shifts, worked through as the service would, several at a time."""

import multiprocessing
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from contextlib import closing, suppress
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Any

import msgspec

from tumpline.adapters.sqlite import SqliteStore
from tumpline.app.errors import CommandError, Status
from tumpline.pressing.events import EntryMade
from tumpline.pressing.line import PressLine
from tumpline.pressing.records import Condition
from tumpline.runtime.board import Board
from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.feed import Feed, LineFailedError
from tumpline.runtime.lull import Lull
from tumpline.runtime.ports import Outputs, Row, StoreError
from tumpline.settings import Settings, load
from tumpline.wire.decode import Decoder
from tumpline.wire.documents import encode
from tumpline.wire.entries import read_entry
from tumpline.wire.recordings import Message, parse_line, read_lines
from tumpline.wire.times import to_rfc3339
from tumpline.wire.topics import Topics

FIRST_DAY = datetime(2026, 9, 28, 6, tzinfo=UTC)
"""A Monday; a shift every day from Monday to Friday."""
SIGNALS = (
    "flume/flow,mill/throughput,press/pressure,juice/flow,mill/current,pulp/level,juice/brix,pomace/flow,pomace/trailer"
)
"""What the line has; no levels of vats, which are others every day."""
CORRECTED = 1
"""The shift, counted from 0, of which a load's mass is put right some days later."""
_REASONS = {
    Condition.BLOCKED: "blocked mill",
    Condition.STARVED: "no fruit",
    Condition.STOPPED: "break",
    Condition.WASHING: "cleaning",
}
_LATER = 3 * 86400.0
_ROWS_A_SHIFT = 10_000_000
"""More messages than a shift has: their numbers in the store must not meet."""
_VATS_A_SHIFT = 2


@dataclass(frozen=True, kw_only=True)
class SeasonWish:
    """What the invented season is to be like."""

    store: Path
    shifts: int
    seed: int
    hours: float
    """Length of a shift; each is up to a quarter shorter or longer."""
    jobs: int | None
    """Processes at a time; None means as many as this machine has cores."""


class _ShiftError(Exception):
    """One shift could not be made; the message is a sentence, which is all that comes back from another process."""


def demo_season(wish: SeasonWish, *, say: Callable[[str], None]) -> None:
    """Make the store, and settings that name it beside it. Raises CommandError; then no store is left."""
    config = wish.store.with_suffix(".toml")
    for path in (wish.store, config):
        if path.exists():
            sentence = f"{path} is there already and is left as it is; a store that is not there yet is accepted."
            raise CommandError(Status.BAD_SETTINGS, sentence)
    try:
        with closing(SqliteStore(wish.store)) as store:
            _simulate("settings", "--signals", SIGNALS, "--store", str(wish.store), "-o", str(config))
            for done, outputs in enumerate(_shifts(wish, config), 1):
                store.commit([], outputs, [])
                say(f"{done} of {wish.shifts} shifts")
    except BaseException as error:  # half a season would pass for a whole one
        for path in (wish.store, config, *wish.store.parent.glob(f"{wish.store.name}-*")):
            with suppress(OSError):  # there may be no such folder
                path.unlink(missing_ok=True)
        if isinstance(error, StoreError | _ShiftError):
            status = Status.UNREACHABLE if isinstance(error, StoreError) else Status.OWN_FAULT
            raise CommandError(status, str(error)) from error
        raise
    say(f"The season is in {wish.store}; {config} names it: tumpline report --config {config} --season 2026")


def _shifts(wish: SeasonWish, config: Path) -> Iterator[Outputs]:
    """What each shift gave, in the order in which they are done."""
    jobs = wish.jobs or os.cpu_count() or 1
    quiet = (signal.SIGINT, signal.SIG_IGN)  # whoever interrupts means us: we stop the others
    with ProcessPoolExecutor(jobs, multiprocessing.get_context("spawn"), signal.signal, quiet) as pool:
        running = {pool.submit(_shift, wish, config, number) for number in range(wish.shifts)}
        try:
            yield from (future.result() for future in _as_done(running))
        finally:
            pool.shutdown(cancel_futures=True)


def _as_done(running: set[Future[Outputs]]) -> Iterator[Future[Outputs]]:
    """What is done is let go of: a shift's rows are many."""
    for future in as_completed(running):
        running.discard(future)
        yield future


def _shift(wish: SeasonWish, config: Path, number: int) -> Outputs:
    """Simulate one shift and work through it; runs in a process of its own."""
    begins = FIRST_DAY + timedelta(days=number + number // 5 * 2)
    with TemporaryDirectory() as folder:
        tape = Path(folder) / "shift.ndjson"
        _simulate(
            *("record", "--signals", SIGNALS, "--faults", "random" if number % 3 == 2 else "none", "-o", str(tape)),
            *("--life", "full", "--first-vat", str(1 + _VATS_A_SHIFT * number)),
            *("--seed", str(wish.seed * 1000 + number), "--start", to_rfc3339(begins.timestamp())),
            *("--hours", f"{wish.hours * (0.75 + number % 6 / 10):.3f}"),
        )
        messages = [m for line in read_lines(tape) if isinstance(m := parse_line(line), Message)]
        try:
            works = _Works(load(config, secrets=False), first=number * _ROWS_A_SHIFT)
            for message in messages:
                works.hear(message)
            if number == CORRECTED:
                works.put_right_a_load()
            return works.outputs()
        except LineFailedError as error:
            raise _ShiftError(str(error)) from error


class _Works:
    """One line through a whole shift, as the service would, and the people who write more into its book."""

    def __init__(self, settings: Settings, *, first: int) -> None:
        """`first` is the number that the journal's rows count on from."""
        (line,) = settings.lines
        self._line = PressLine(line.params())
        self._topics = Topics(settings.broker.root)
        self._dispatch = Dispatch(topics=self._topics, screen=Board([line.id]), points=False)
        self._feed = Feed(
            decoder=Decoder([line.wire(settings.broker.root)]),
            lines={line.id: self._line},
            lulls={line.id: Lull(lateness=line.lateness)},
            dispatch=self._dispatch,
            known={line.id: 0},
        )
        self._row = Row(first, 0.0, None, b"")
        self._name = line.id
        self._reasons: dict[str, str] = {}
        self._ticket: dict[str, Any] = {}

    def hear(self, message: Message) -> None:
        """A message of the simulated line; before the crew ends the shift, it says why the line stood."""
        if message.topic == self._topics.book(self._name, "shift-end"):
            for stop in self._line.live(message.arrived).stops:
                self._write("reason", message.arrived, stop=stop.id, reason=_REASONS.get(stop.condition, "other"))
        elif message.topic == self._topics.book(self._name, "load") and not self._ticket:
            self._ticket = msgspec.json.decode(message.payload)
        self._feed_on(message)

    def put_right_a_load(self) -> None:
        """Some days later somebody finds that the first load's ticket was misread."""
        at = self._row.arrived
        made = read_entry("load", encode(self._ticket), arrived=at, latest=at)
        if isinstance(made, EntryMade):
            self._write("correct", at + _LATER, entry=made.id, net_kg=self._ticket["net_kg"] - 100)

    def outputs(self) -> Outputs:
        """What the service would have stored."""
        self._row = self._row._replace(seq=self._row.seq + 1)
        self._dispatch.perform(self._row, self._name, self._line.finish(), keep=True)
        outputs = self._dispatch.take(self._row.seq)
        outputs.outgoing.clear()  # there is no broker to tell
        return outputs

    def _write(self, kind: str, at: float, **fields: object) -> None:
        payload = encode({**fields, "at": to_rfc3339(at), "by": "shift lead"})
        self._feed_on(Message(at, self._topics.book(self._name, kind), payload))

    def _feed_on(self, message: Message) -> None:
        self._row = Row(self._row.seq + 1, message.arrived, message.topic, message.payload)
        self._feed.row(self._row)


def _simulate(*arguments: str) -> None:
    """Run the simulated line to its end."""
    done = subprocess.run(
        [sys.executable, "-m", "tumpline_sim.cli", *arguments], capture_output=True, text=True, check=False
    )
    if done.returncode:
        words = done.stderr.strip().rpartition("\n")[2]
        raise _ShiftError(f"The simulated line ended with status {done.returncode}: {words}")
