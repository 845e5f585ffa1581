"""One step back and one step forward over a season: whose fruit is in a vat or trailer, and where a load went."""

from collections.abc import Callable, Sequence
from pathlib import Path

from tumpline.app.errors import CommandError, Status
from tumpline.app.season import newest_season, season
from tumpline.wire.figures import Document
from tumpline.wire.traces import trace_load, trace_trailer, trace_vat
from tumpline.wire.words import Refused

TRACES: dict[str, Callable[[Sequence[Document], str], Document | Refused]] = {
    "vat": trace_vat,
    "load": trace_load,
    "trailer": trace_trailer,
}
"""What can be traced."""


def trace(store: Path, kind: str, name: str, year: int | None) -> Document:
    """`tumpline.trace/1` of this one, in this season or the newest. Raises CommandError, also where there is none."""
    found = TRACES[kind](season(store, newest_season(store) if year is None else year)["summaries"], name)
    if isinstance(found, Refused):
        raise CommandError(Status.BAD_DATA, f"{store}: {found.reason}")
    return found
