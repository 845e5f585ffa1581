"""Tables as spreadsheets write them, read row by row into the bodies of book entries."""

import csv
import io
from collections.abc import Iterator, Sequence
from pathlib import Path

from tumpline.app.errors import CommandError, Status
from tumpline.wire.sheets import Rejected, body_of, header_problem, read_columns

Row = dict[str, object]
"""The JSON object of a book entry."""


def read_table(what: str, path: Path, by: str | None) -> tuple[dict[int, Row], list[tuple[int, Rejected]]]:
    """
    A table's rows by their line in the file: those that make an entry, and those that do not.

    Commas or semicolons between the cells; with semicolons a number may have a decimal comma. Raises CommandError where
    the file is no such table at all.
    """
    try:
        text = path.read_text(encoding="utf-8-sig")
    except OSError as error:
        raise CommandError(Status.BAD_DATA, f"{path} cannot be read ({error.strerror}).") from error
    except UnicodeDecodeError as error:
        raise CommandError(
            Status.BAD_DATA, f"{path} is not UTF-8 from byte {error.start} on; UTF-8 is accepted."
        ) from error
    first = text.partition("\n")[0]
    semicolons = first.count(";") > first.count(",")
    rows = _rows(text, ";" if semicolons else ",", path)
    _, header = next(rows, (0, []))
    problem = header_problem(what, read_columns(header))
    if problem is not None:
        raise CommandError(Status.BAD_DATA, f"{path}: {problem}.")
    good, bad = {}, []
    for number, cells in rows:
        found = _body(what, header, cells, by, decimal_comma=semicolons)
        if isinstance(found, Rejected):
            bad.append((number, found))
        else:
            good[number] = found
    return good, bad


def _rows(text: str, delimiter: str, path: Path) -> Iterator[tuple[int, list[str]]]:
    reader = csv.reader(io.StringIO(text, newline=""), delimiter=delimiter, strict=True)
    try:
        for cells in reader:
            if any(cell.strip() for cell in cells):
                yield reader.line_num, [cell.strip() for cell in cells]
    except csv.Error as error:
        raise CommandError(Status.BAD_DATA, f"{path}, line {reader.line_num}: {error}; a table is accepted.") from error


def _body(
    what: str, header: Sequence[str], cells: Sequence[str], by: str | None, *, decimal_comma: bool
) -> Row | Rejected:
    if len(cells) != len(header):
        return Rejected(None, None, f"it has {len(cells)} cells; {len(header)} is accepted, as in the first row")
    named = dict(zip(read_columns(header), cells, strict=False))
    return body_of(what, {**named, "by": named.get("by") or by or ""}, decimal_comma=decimal_comma)
