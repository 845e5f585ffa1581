"""A whole invented season in one store: simulated shifts, worked through as the service would, several at a time."""

import multiprocessing
import os
import signal
import subprocess
import sys
from collections.abc import Callable, Iterator
from concurrent.futures import Future, ProcessPoolExecutor, as_completed
from contextlib import closing
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from pathlib import Path
from tempfile import TemporaryDirectory

from tumpline.adapters.sqlite import SqliteStore
from tumpline.app.errors import CommandError, Status
from tumpline.pressing.line import PressLine
from tumpline.runtime.board import Board
from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.feed import Feed, LineFailedError
from tumpline.runtime.lull import Lull
from tumpline.runtime.ports import Outputs, Row, StoreError
from tumpline.settings import Settings, load
from tumpline.wire.decode import Decoder
from tumpline.wire.recordings import Message, parse_line, read_lines
from tumpline.wire.times import to_rfc3339
from tumpline.wire.topics import Topics

FIRST_DAY = datetime(2026, 9, 28, 6, tzinfo=UTC)
"""A Monday; a shift every day from Monday to Friday."""
_ROWS_A_SHIFT = 10_000_000
"""More messages than a shift has: their numbers in the store must not meet."""


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
            _simulate("settings", "--signals", "all", "--store", str(wish.store), "-o", str(config))
            for done, outputs in enumerate(_shifts(wish, config), 1):
                store.commit([], outputs, [])
                say(f"{done} of {wish.shifts} shifts")
    except BaseException as error:  # half a season would pass for a whole one
        for path in (wish.store, config, *wish.store.parent.glob(f"{wish.store.name}-*")):
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
            *("record", "--signals", "all", "--faults", "random" if number % 3 == 2 else "none", "-o", str(tape)),
            *("--seed", str(wish.seed * 1000 + number), "--start", to_rfc3339(begins.timestamp())),
            *("--hours", f"{wish.hours * (0.75 + number % 6 / 10):.3f}"),
        )
        messages = [m for line in read_lines(tape) if isinstance(m := parse_line(line), Message)]
        try:
            return worked_through(messages, load(config, secrets=False), first=number * _ROWS_A_SHIFT)
        except LineFailedError as error:
            raise _ShiftError(str(error)) from error


def worked_through(messages: list[Message], settings: Settings, *, first: int) -> Outputs:
    """What the service would have stored of these messages of a whole shift, numbered from `first`."""
    lines = {line.id: PressLine(line.params()) for line in settings.lines}
    dispatch = Dispatch(topics=Topics(settings.broker.root), screen=Board(list(lines)), points=False)
    feed = Feed(
        decoder=Decoder([line.wire(settings.broker.root) for line in settings.lines]),
        lines=lines,
        lulls={line.id: Lull(lateness=line.lateness) for line in settings.lines},
        dispatch=dispatch,
        known=dict.fromkeys(lines, 0),
    )
    row = Row(first, 0.0, None, b"")
    for seq, message in enumerate(messages, first + 1):
        row = Row(seq, message.arrived, message.topic, message.payload)
        feed.row(row)
    for name, line in lines.items():
        dispatch.perform(row._replace(seq=row.seq + 1), name, line.finish(), keep=True)
    outputs = dispatch.take(row.seq + 1)
    outputs.outgoing.clear()  # there is no broker to tell
    return outputs


def _simulate(*arguments: str) -> None:
    """Run the simulated line to its end."""
    done = subprocess.run(
        [sys.executable, "-m", "tumpline_sim.cli", *arguments], capture_output=True, text=True, check=False
    )
    if done.returncode:
        words = done.stderr.strip().rpartition("\n")[2]
        raise _ShiftError(f"The simulated line ended with status {done.returncode}: {words}")
