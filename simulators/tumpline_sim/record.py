"""Writing a simulated shift as a recording, compressed by the ending of the file's name."""

from __future__ import annotations

import gzip
from collections.abc import Iterable, Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Protocol

import zstandard

from tumpline_sim.encode import recording_line
from tumpline_sim.shift import Message


class _Bytes(Protocol):
    def write(self, data: bytes, /) -> int: ...


def record(messages: Iterable[Message], path: Path) -> int:
    """Write one line a message; returns how many. Raises `OSError` when the file cannot be written."""
    written = 0
    with _writer(path) as out:
        for message in messages:
            out.write(recording_line(message.arrived, message.topic, message.payload).encode() + b"\n")
            written += 1
    return written


@contextmanager
def _writer(path: Path) -> Iterator[_Bytes]:
    with path.open("wb") as plain:
        if path.suffix == ".gz":
            # No name and no time inside, so that the same shift gives the same file.
            with gzip.GzipFile(filename="", mode="wb", fileobj=plain, mtime=0) as packed:
                yield packed
        elif path.suffix == ".zst":
            with zstandard.ZstdCompressor().stream_writer(plain) as packed:
                yield packed
        else:
            yield plain
