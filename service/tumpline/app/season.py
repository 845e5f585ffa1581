"""What documents are made from: a shift with its trace and its earlier versions, or a whole season."""

from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from pathlib import Path
from typing import NamedTuple

import msgspec

from tumpline.adapters.sqlite import Archive
from tumpline.app.errors import CommandError, Status
from tumpline.runtime.ports import StoreError, SummaryRow
from tumpline.wire.figures import Document
from tumpline.wire.season import TracePoint, season_of


class ShiftFile(NamedTuple):
    """Everything there is about a shift that is over."""

    summary: Document
    """`tumpline.summary/1`, as it stands now."""
    earlier: Sequence[Document]
    """The same as it was told before it was corrected, oldest first."""
    trace: Sequence[TracePoint]
    """Computed figures from its start to its end, a few seconds apart; none where they are no longer kept."""


def shift_file(store: Path, shift: str | None) -> ShiftFile:
    """This shift, the last of that name, or the last of all. Raises CommandError."""
    with opened(store) as archive:
        rows = archive.summaries()
        found = [row for row in rows if shift in (None, row.shift)][-1:]
        if not found:
            raise CommandError(Status.BAD_DATA, f"{store} holds no such shift; it holds {_names(rows)}.")
        (row,) = found
        summary = msgspec.json.decode(row.document)
        return ShiftFile(summary, archive.earlier(row), archive.trace(row.line, row.start, row.end))


def season(store: Path, year: int) -> Document:
    """The season that began in July of this year. Raises CommandError, also where no shift of it is stored."""
    with opened(store) as archive:
        found = archive.season(year)
        if not found["summaries"]:
            years = ", ".join(str(year) for year in sorted({season_of(row.start) for row in archive.summaries()}))
            raise CommandError(Status.BAD_DATA, f"{store} holds no shift of season {year}; it holds {years or 'none'}.")
        return found


def newest_season(store: Path) -> int:
    """The season of the last shift that is stored. Raises CommandError where there is none."""
    with opened(store) as archive:
        rows = archive.summaries()
    if not rows:
        raise CommandError(Status.BAD_DATA, f"{store} holds no shift yet.")
    return season_of(rows[-1].start)


@contextmanager
def opened(store: Path) -> Iterator[Archive]:
    """The store for reading; what is wrong with it is a CommandError."""
    try:
        with Archive(store) as archive:
            yield archive
    except StoreError as error:
        raise CommandError(Status.BAD_DATA, str(error)) from error


def _names(rows: Sequence[SummaryRow]) -> str:
    return ", ".join(dict.fromkeys(row.shift for row in rows)) or "none"
