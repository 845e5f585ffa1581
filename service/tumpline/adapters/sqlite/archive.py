"""Reads what is stored, also while the service writes: shifts, seasons, their traces, and the book."""

import sqlite3
from collections.abc import Iterator, Sequence
from pathlib import Path
from types import TracebackType
from typing import Any, Self

import msgspec

from tumpline.adapters.sqlite.tables import VERSION, in_words
from tumpline.runtime.ports import EntryRow, StoreError, SummaryRow
from tumpline.wire.figures import Document
from tumpline.wire.season import Means, TracePoint, load_rows, season_document, season_span

_decode = msgspec.json.Decoder(Document).decode
_decode_figures = msgspec.json.Decoder(dict[str, float]).decode
_ALWAYS = (float("-inf"), float("inf"))


class Archive:
    """A store opened for reading; use as `with`. Everything raises StoreError where the file cannot be read."""

    def __init__(self, path: Path) -> None:
        """Open it; a file that is not there, or has other tables, is a StoreError and is left as it is."""
        self._path = path
        with in_words(path):
            self._db = sqlite3.connect(f"{path.absolute().as_uri()}?mode=ro", uri=True)
            try:
                (version,) = self._db.execute("PRAGMA user_version").fetchone()
            except sqlite3.DatabaseError:
                self._db.close()
                raise
        if version != VERSION:
            self._db.close()
            raise StoreError(
                f"{path} has tables of version {version}; version {VERSION} is accepted. The service brings an earlier "
                "one up to it when it starts."
            )

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._db.close()

    def summaries(self, span: tuple[float, float] = _ALWAYS) -> Sequence[SummaryRow]:
        """Shifts that began in this span of time, in the order of their ends, each as it stands now."""
        with in_words(self._path):
            found = self._db.execute('SELECT * FROM summary WHERE start >= ? AND start < ? ORDER BY "end", line', span)
            return [SummaryRow(*row) for row in found]

    def earlier(self, summary: SummaryRow) -> list[Document]:
        """This shift's summaries as they were told before a correction, oldest first."""
        with in_words(self._path):
            found = self._db.execute(
                "SELECT document FROM superseded WHERE line = ? AND shift = ? AND start = ? ORDER BY number",
                (summary.line, summary.shift, summary.start),
            )
            return [_decode(document) for (document,) in found]

    def season(self, year: int) -> Document:
        """`tumpline.season/1`: the shifts of a season as they stand now, and a row for every load pressed in them."""
        return season_document(year, *self.shifts(season_span(year)))

    def shifts(self, span: tuple[float, float] = _ALWAYS) -> tuple[list[Document], list[Document]]:
        """Summaries of the shifts that began in this time, and a row for every load (see `wire.season.load_rows`)."""
        means: dict[tuple[str, str, float], dict[str, Means]] = {}
        with in_words(self._path):
            for line, shift, start, load, pressure, throughput in self._db.execute("SELECT * FROM pressed"):
                means.setdefault((line, shift, start), {})[load] = Means(pressure, throughput)
        rows = self.summaries(span)
        documents = [_decode(row.document) for row in rows]
        loads = [
            load
            for row, document in zip(rows, documents, strict=True)
            for load in load_rows(document, means.get((row.line, row.shift, row.start), {}))
        ]
        return documents, loads

    def trace(self, line: str, start: float, end: float) -> list[TracePoint]:
        """The line's computed figures from `start` to `end`, a few seconds apart."""
        with in_words(self._path):
            found = self._db.execute(
                "SELECT at, document FROM figures WHERE line = ? AND at >= ? AND at <= ? ORDER BY at",
                (line, start, end),
            )
            return [TracePoint(at, _decode_figures(document)) for at, document in found]

    def entries(self, *kinds: str) -> list[EntryRow]:
        """Book entries of these kinds as they were written, in the order of their times; of all kinds without any."""
        named = f"WHERE kind IN ({', '.join('?' * len(kinds))})" if kinds else ""
        with in_words(self._path):
            return [EntryRow(*row) for row in self._db.execute(f"SELECT * FROM entry {named} ORDER BY at, id", kinds)]

    def rows(self, table: str, columns: Sequence[str]) -> Iterator[tuple[Any, ...]]:
        """Every row of a table, these columns of it, in its own order."""
        with in_words(self._path):
            for row in self._db.execute(f"SELECT {', '.join(columns)} FROM {table}"):  # noqa: UP028 delegating closes it
                yield row  # and a reader that is left half-way may be closed after the store is
