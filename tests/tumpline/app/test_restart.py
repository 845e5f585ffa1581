"""From what is stored back to where the program was."""

import asyncio
from collections.abc import Awaitable, Callable, Sequence
from contextlib import closing
from pathlib import Path

import msgspec
import pytest

from press_stories import START
from records import SUMMARY
from settings_files import good
from stored_shifts import row as summary_row
from tapes import lines, short_shift
from tumpline.adapters.sqlite import SqliteStore
from tumpline.app.restart import Restored, catch_up, recall, restore
from tumpline.pressing.line import PressLine
from tumpline.runtime.board import Board
from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.feed import Feed
from tumpline.runtime.journal import Journal
from tumpline.runtime.lull import Lull
from tumpline.runtime.ports import FiguresRow, Outputs, Row, Snapshot
from tumpline.settings import Settings
from tumpline.wire.decode import Decoder
from tumpline.wire.recordings import Message, parse_line
from tumpline.wire.topics import Topics

NAME = "line-1"


@pytest.fixture(name="settings")
def _settings(tmp_path: Path) -> Settings:
    return good(tmp_path)


@pytest.fixture(name="store")
def _store(tmp_path: Path) -> SqliteStore:
    return SqliteStore(tmp_path / "works.db")


class Running:
    """What a restored program is made of."""

    def __init__(self, settings: Settings, restored: Restored) -> None:
        self.line = restored.lines[NAME]
        self.board = Board([NAME])
        self.dispatch = Dispatch(topics=Topics("tumpline"), screen=self.board, points=False)
        self.feed = Feed(
            decoder=Decoder([line.wire("tumpline") for line in settings.lines]),
            lines=restored.lines,
            lulls={NAME: Lull(lateness=5.0)},
            dispatch=self.dispatch,
            known=restored.known,
        )


def rows() -> list[Row]:
    """The journal of a short shift."""
    found = [parse_line(line.encode()) for line in lines(short_shift())]
    messages = [message for message in found if isinstance(message, Message)]
    return [Row(seq, m.arrived, m.topic, m.payload, NAME) for seq, m in enumerate(messages, 1)]


def fresh(settings: Settings) -> Running:
    """A program that has heard nothing yet."""
    restored = Restored()
    restored.lines[NAME], restored.known[NAME] = PressLine(settings.lines[0].params()), 0
    return Running(settings, restored)


def fed(settings: Settings, journal: Sequence[Row]) -> Running:
    """A program that has heard these rows."""
    running = fresh(settings)
    for row in journal:
        running.feed.row(row)
    return running


def restarted(store: SqliteStore, then: Callable[[Journal], Awaitable[None]]) -> None:
    """Open the journal of the store, and close both in the end."""

    async def start() -> None:
        with closing(store), closing(Journal(store)) as journal:
            await journal.open()
            await then(journal)

    asyncio.run(start())


def test_a_restarted_line_is_as_if_it_had_never_stopped(store: SqliteStore, settings: Settings) -> None:
    """From a snapshot and the rows after it come the same state and the same outputs, those stored before left out."""
    journal = rows()
    store.commit(
        journal, Outputs(through=800), [Snapshot(NAME, 500, 0.2, fed(settings, journal[:500]).line.snapshot())]
    )
    unbroken = fed(settings, journal[:800])
    unbroken.dispatch.take(800)
    for row in journal[800:]:
        unbroken.feed.row(row)

    async def then(opened: Journal) -> None:
        restored = await restore(opened, [settings.lines[0].params()])
        assert (restored.known[NAME], restored.lags[NAME]) == (500, 0.2)
        running = Running(settings, restored)
        await catch_up(opened, running.feed, restored.known)
        assert running.line.snapshot() == unbroken.line.snapshot()
        assert running.dispatch.take(len(journal)) == unbroken.dispatch.take(len(journal))

    restarted(store, then)


def test_nothing_is_told_twice(store: SqliteStore, settings: Settings) -> None:
    """Where all outputs were stored before the end, catching up stores and tells nothing."""
    journal = rows()
    store.commit(journal, Outputs(through=len(journal)), [Snapshot(NAME, 1, None, fresh(settings).line.snapshot())])

    async def then(opened: Journal) -> None:
        restored = await restore(opened, [settings.lines[0].params()])
        running = Running(settings, restored)
        await catch_up(opened, running.feed, restored.known)
        assert not running.dispatch.gathered
        assert running.feed.through == len(journal)

    restarted(store, then)


@pytest.mark.parametrize(
    ("kept", "known"),
    [({500: True, 900: True}, 900), ({500: True, 900: False}, 500), ({500: False, 900: False}, 0), ({}, 1000)],
    ids=["the newest", "the one before", "the whole journal", "none ever"],
)
def test_a_line_starts_from_the_newest_snapshot_that_can_be_read(
    store: SqliteStore, settings: Settings, kept: dict[int, bool], known: int
) -> None:
    """Unreadable ones are passed over, to the whole journal if need be; a line new to the settings starts now."""
    journal = rows()[:1000]
    states = {seq: fed(settings, journal[:seq]).line.snapshot() if good_one else b"?" for seq, good_one in kept.items()}
    store.commit(journal, Outputs(), [Snapshot(NAME, seq, None, state) for seq, state in states.items()])

    async def then(opened: Journal) -> None:
        restored = await restore(opened, [settings.lines[0].params()])
        assert restored.known[NAME] == known
        assert restored.lines[NAME].snapshot() == states.get(known, fresh(settings).line.snapshot())

    restarted(store, then)


def test_the_screen_shows_what_it_showed(store: SqliteStore, settings: Settings) -> None:
    """Trend, newest view and the last shift are there before the first message."""
    figures = [FiguresRow(NAME, START + at, b'{"yield_l_per_t": 700.0}') for at in (1.0, 2.0)]
    store.commit([], Outputs(figures=figures, summaries=[summary_row(SUMMARY)]), [])
    again = fresh(settings)
    recall(store, {NAME: fed(settings, rows()[:900]).line}, again.board, again.dispatch)
    store.close()
    shown = again.board.line(NAME)
    assert [(point.at, point.figures["yield_l_per_t"]) for point in shown.trend.last(60.0)] == [
        (START + 1.0, 700.0),
        (START + 2.0, 700.0),
    ]
    assert shown.live is not None and shown.live.shift == "early"
    assert shown.summary == SUMMARY


def test_a_summary_of_another_build_does_not_keep_the_program_from_starting(
    store: SqliteStore, settings: Settings
) -> None:
    """What cannot be read is not shown, nor is the summary of a line that the settings no longer name."""
    unreadable = summary_row(SUMMARY)._replace(record=msgspec.msgpack.encode({"line": 1}))
    elsewhere = summary_row(msgspec.structs.replace(SUMMARY, line="line-9"))
    store.commit([], Outputs(summaries=[unreadable, elsewhere]), [])
    was = fresh(settings)
    recall(store, {NAME: was.line}, was.board, was.dispatch)
    store.close()
    assert was.board.line(NAME).summary is None
