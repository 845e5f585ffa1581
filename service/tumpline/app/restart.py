"""From what is stored back to where the program was when it ended, however it ended."""

import asyncio
from collections.abc import Mapping, Sequence

import msgspec
import structlog

from tumpline.adapters.sqlite import SqliteStore
from tumpline.pressing.effects import TellSummary
from tumpline.pressing.line import PressLine
from tumpline.pressing.params import LineParams
from tumpline.pressing.records import Summary
from tumpline.pressing.state import SnapshotUnreadable
from tumpline.runtime.board import Board
from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.feed import Feed
from tumpline.runtime.journal import Journal
from tumpline.runtime.trend import LONGEST_SECONDS

log = structlog.get_logger(__name__)

_PAGE = 1_000
_TREND_POINTS = int(LONGEST_SECONDS / 5.0)  # one every five seconds


class Restored:
    """The lines as the newest readable snapshots left them."""

    def __init__(self) -> None:
        self.lines: dict[str, PressLine] = {}
        self.lags: dict[str, float | None] = {}
        self.known: dict[str, int] = {}
        """By line: the last journal row that is in its state."""


async def restore(journal: Journal, lines: Sequence[LineParams]) -> Restored:
    """
    Every line from its newest readable snapshot.

    A line with snapshots that none can read is to be fed the whole journal; one that never had any starts now.
    """
    restored = Restored()
    for params in lines:
        snapshots = await journal.snapshots(params.id)
        line, known, lag = PressLine(params), 0 if snapshots else journal.seq, None
        for snapshot in snapshots:
            try:
                line = PressLine.restore(params, snapshot.state)
            except SnapshotUnreadable as error:
                log.warning("snapshot.unreadable", line=params.id, row=snapshot.seq, why=str(error))
            else:
                known, lag = snapshot.seq, snapshot.lag
                break
        restored.lines[params.id], restored.known[params.id], restored.lags[params.id] = line, known, lag
    return restored


async def catch_up(journal: Journal, feed: Feed, known: Mapping[str, int]) -> None:
    """Feed the rows that came after the snapshots; what they gave is stored and told only where it was not before."""
    stored = await journal.through()
    seq, fed = min(known.values()), 0
    while rows := await journal.rows_after(seq, _PAGE):
        for row in rows:
            feed.row(row, keep=row.seq > stored)
        seq = rows[-1].seq
        fed += len(rows)
        if fed % 50_000 == 0:
            log.info("journal.catching-up", rows=fed)
        await asyncio.sleep(0)
    feed.through = max(stored, seq)
    if fed:
        log.info("journal.caught-up", rows=fed)


def recall(store: SqliteStore, lines: Mapping[str, PressLine], board: Board, dispatch: Dispatch) -> None:
    """Show again what a screen showed before the program ended, and have at hand what the broker was told last."""
    for name, line in lines.items():
        for row in store.newest_figures(name, _TREND_POINTS):
            board.figures(name, row.at, msgspec.json.decode(row.document, type=dict[str, float]))
        deadline = line.next_deadline()
        if deadline is not None:
            board.show(name, line.live(deadline))
    for summary in {row.line: row for row in store.summaries() if row.line in lines}.values():
        dispatch.summed_up(summary)
        try:
            board.tell(TellSummary(msgspec.msgpack.decode(summary.record, type=Summary)), summary.line)
        except msgspec.MsgspecError:
            log.info("summary.of-another-build", line=summary.line, shift=summary.shift)
