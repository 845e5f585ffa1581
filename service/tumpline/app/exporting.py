"""Loads, vats and shifts as tables that a spreadsheet opens, and that `import` reads again."""

import csv
import io
from collections.abc import Iterable, Mapping, Sequence
from pathlib import Path

from tumpline.adapters.sqlite import Archive
from tumpline.app.season import opened
from tumpline.pressing.entries import Load
from tumpline.pressing.events import EntryMade
from tumpline.pressing.standing import standing
from tumpline.reports.table import shifts_csv
from tumpline.runtime.ports import EntryRow
from tumpline.wire.entries import read_entry
from tumpline.wire.figures import Document
from tumpline.wire.flat import Cell, flat, parts_of, shares_cell
from tumpline.wire.season import season_span
from tumpline.wire.sheets import cells_of, columns
from tumpline.wire.times import to_rfc3339

_ALWAYS = (float("-inf"), float("inf"))
_SHIFT = ("line", "shift", "start", "end")


def export_csv(what: str, store: Path, season: int | None) -> str:
    """The `loads`, `vats` or `shifts` of a season, or of all there is, oldest first. Raises CommandError."""
    span = _ALWAYS if season is None else season_span(season)
    with opened(store) as archive:
        summaries, pressed = archive.shifts(span)
        if what == "shifts":
            return shifts_csv(summaries)
        if what == "vats":
            return _csv([row for summary in summaries for row in _vats(summary)], columns("vats"))
        return _csv(_loads(archive, pressed, span), columns("loads"))


def _loads(archive: Archive, pressed: Iterable[Document], span: tuple[float, float]) -> list[dict[str, Cell]]:
    """Every load that was weighed in, as the book has it now, with what became of it; a row for each of its shifts."""
    became: dict[tuple[str, str], list[dict[str, Cell]]] = {}
    for load in pressed:
        row = flat(load) | {"vats": shares_cell(load["vats"], "vat", "juice_l")}
        became.setdefault((load["line"], load["load"]), []).append(row)
    rows: list[dict[str, Cell]] = []
    for line, made in _weighed_in(archive.entries("load", "correct")):
        entry = made.entry
        own = became.pop((line, entry.load), []) if isinstance(entry, Load) else []
        if own or span[0] <= made.at < span[1]:
            said: dict[str, Cell] = {**cells_of(entry), "at": to_rfc3339(made.at), "by": made.by}
            rows += [pressed_row | said for pressed_row in own or [{"line": line}]]
    return rows + [row for own in became.values() for row in own]


def _weighed_in(entries: Sequence[EntryRow]) -> list[tuple[str, EntryMade]]:
    """
    By line, the last that was said about each load, in the order of their times.

    A load of that name from another grower was refused when it was written.
    """
    loads: dict[tuple[str, str], EntryMade] = {}
    for line in dict.fromkeys(entry.line for entry in entries):
        for made in standing(_made(entry for entry in entries if entry.line == line)):
            if isinstance(made.entry, Load):
                known = loads.setdefault((line, made.entry.load), made)
                if isinstance(known.entry, Load) and known.entry.grower == made.entry.grower:
                    loads[line, made.entry.load] = made
    return sorted(((line, made) for (line, _), made in loads.items()), key=lambda pair: pair[1].at)


def _made(entries: Iterable[EntryRow]) -> list[EntryMade]:
    """What people wrote, in the order in which it arrived."""
    read = (
        read_entry(entry.kind, entry.payload, arrived=entry.arrived, latest=float("inf"))
        for entry in sorted(entries, key=lambda entry: entry.arrived)
    )
    return [made for made in read if isinstance(made, EntryMade)]


def _vats(summary: Document) -> list[dict[str, Cell]]:
    """A row for every vat that got juice in a shift, as it stood at the shift's end."""
    rows = parts_of(summary, "vats", *_SHIFT)
    for row, vat in zip(rows, summary["vats"], strict=True):
        row["from"] = shares_cell(vat["from"], "load", "juice_l")
        row["at"] = summary["end"]
    return rows


def _csv(rows: Sequence[Mapping[str, Cell]], first: Sequence[str]) -> str:
    """A header and the rows, these columns first; what is not known is an empty cell."""
    names = dict.fromkeys((*first, *(name for row in rows for name in row)))
    text = io.StringIO()
    writer = csv.DictWriter(text, fieldnames=list(names), restval="", lineterminator="\n")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()
