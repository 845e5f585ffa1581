"""Sends notices of the alarms that a board shows, to each address by itself, and keeps what each was told."""

from __future__ import annotations

import asyncio
import os
from collections.abc import Callable, Mapping, Sequence
from pathlib import Path

import msgspec
import structlog

from tumpline.adapters.notices.sink import Sink
from tumpline.adapters.notices.text import Words
from tumpline.pressing.records import AlarmRecord
from tumpline.runtime.board import Board
from tumpline.runtime.notices import Item, Memory, Policy, due, remember

log = structlog.get_logger(__name__)

LOOKS = 1.0
"""s between two looks at the alarms; after a failure twice that, and twice again, up to a minute or so."""
_DOUBLINGS = 6


class ToldFile:
    """What each address was told, on disk, so that a start neither forgets nor repeats."""

    def __init__(self, path: Path) -> None:
        self._path = path
        self._lock = asyncio.Lock()
        self._memories: dict[str, Memory] = {}

    def load(self) -> None:
        """Read the file. One that is not there, or not ours, means that nobody was told anything."""
        try:
            self._memories = msgspec.json.decode(self._path.read_bytes(), type=dict[str, Memory])
        except FileNotFoundError:
            pass
        except (OSError, msgspec.MsgspecError) as error:
            log.warning("notices.told-unreadable", path=str(self._path), why=str(error))

    def of(self, key: str) -> Memory:
        """What one address was told; the caller may change it, and then calls `save`."""
        return self._memories.setdefault(key, {})

    async def save(self, keys: Sequence[str]) -> None:
        """Make it durable for the addresses there are; those that are gone are forgotten."""
        async with self._lock:
            kept = msgspec.json.encode({key: memory for key, memory in self._memories.items() if key in keys})
            try:
                await asyncio.to_thread(self._write, kept)
            except OSError as error:
                log.warning("notices.told-unwritable", path=str(self._path), why=str(error))

    def _write(self, data: bytes) -> None:
        new = self._path.with_name(self._path.name + ".new")
        with new.open("wb") as file:
            file.write(data)
            file.flush()
            os.fsync(file.fileno())
        new.replace(self._path)


class NoticeSender:
    """
    Tells every address what is due to it.

    `run(sink)` belongs in one task for each sink and ends only by being cancelled. A sink that fails or hangs is waited
    for by its own task alone, and hears afterwards what still waits then.
    """

    def __init__(
        self,
        *,
        board: Board,
        sinks: Sequence[Sink],
        policy: Policy,
        words: Words,
        told: ToldFile,
        now: Callable[[], float],
    ) -> None:
        self._board = board
        self._keys = [sink.key for sink in sinks]
        self._policy = policy
        self._words = words
        self._told = told
        self._now = now

    async def run(self, sink: Sink) -> None:
        """For ever: tell this address what is due to it. A failure is logged once, with its number at the end."""
        failures = 0
        while True:
            now = self._now()
            items = due(self._policy, self._alarms(), self._told.of(sink.key), now)
            why = await sink.send(self._words.title(items), self._words.body(items)) if items else None
            if why is not None:
                failures += 1
                if failures == 1:
                    log.warning("notices.failed", address=sink.name, why=why)
            elif items:
                await self._sent(sink, items, now, failures)
                failures = 0
            await asyncio.sleep(LOOKS * 2 ** min(failures, _DOUBLINGS) if items else LOOKS)

    def _alarms(self) -> Mapping[str, Sequence[AlarmRecord]]:
        return {line: self._board.line(line).alarms for line in self._board.lines}

    async def _sent(self, sink: Sink, items: Sequence[Item], now: float, failures: int) -> None:
        remember(self._told.of(sink.key), items, now)
        await self._told.save(self._keys)
        told = [f"{item.line}/{item.alarm.name}" for item in items]
        log.info("notices.sent", address=sink.name, alarms=told, failures_before=failures)
