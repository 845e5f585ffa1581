"""Tables of loads and vats as people keep them: a row of cells to the body of a book entry, and an entry to cells."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import NamedTuple

import msgspec

from tumpline.pressing.entries import KINDS, Entry
from tumpline.wire.entry_fields import entry_of
from tumpline.wire.figures import rounded
from tumpline.wire.times import A_TIME, from_rfc3339
from tumpline.wire.words import Refused, did_you_mean, listed, quoted

KIND_OF = {"loads": "load", "vats": "vat-known"}
"""What a table may be of, and the kind of entry that a row of it makes."""

_COMMON = ("at", "by")
_LINE = "line"
_A_SHARE = re.compile(r"(?P<name>.+?)\s+(?P<share>\d+(?:[.,]\d+)?)\s*(?P<percent>%?)", re.ASCII)
_AND = " / "
"""Between the varieties of a load."""
_VARIETIES = '"Coppice Red", or "Coppice Red 70 % / Pedlar\'s Bitter 30 %",'


class Rejected(NamedTuple):
    """A row that cannot be used."""

    column: str | None
    """None where it is about the row as a whole."""
    value: str | None
    reason: str
    """A clause: what is wrong, and what is accepted."""


def columns(what: str) -> tuple[str, ...]:
    """The columns that a table of these may have."""
    return (*KINDS[KIND_OF[what]].__struct_fields__, *_COMMON)


def read_columns(header: Sequence[str]) -> Sequence[str]:
    """Those of a table's columns that people fill in: the program's own tables have `line` and what it found after."""
    return header[: header.index(_LINE)] if _LINE in header else header


def header_problem(what: str, header: Sequence[str]) -> str | None:
    """What is wrong with the names of the columns that are read."""
    known = columns(what)
    for name in header:
        if name not in known:
            return f"the column {quoted(name)} is not known{did_you_mean(name, known)}; {listed(known)} is accepted"
        if header.count(name) > 1:
            return f"the column {quoted(name)} is there {header.count(name)} times; once is accepted"
    fields = msgspec.structs.fields(KINDS[KIND_OF[what]])
    missing = [field.name for field in fields if field.required and field.name not in header]
    if missing:
        return f"the first row does not name {listed(missing, last='and')}; names of columns are accepted there"
    return None


def body_of(what: str, cells: Mapping[str, str], *, decimal_comma: bool) -> dict[str, object] | Rejected:
    """
    The entry's JSON object with `by`, and `at` where it is told; an empty cell tells nothing.

    `decimal_comma` where a number may be written `4210,5`.
    """
    numbers = {f.name for f in msgspec.structs.fields(KINDS[KIND_OF[what]]) if f.type in (float, float | None)}
    body: dict[str, object] = {}
    for name, cell in cells.items():
        if name in columns(what) and cell.strip():
            value = _value(name, cell.strip(), numeric=name in numbers, decimal_comma=decimal_comma)
            if isinstance(value, Refused):
                return Rejected(name, cell, value.reason)
            body[name] = value
    entry = entry_of(KIND_OF[what], {name: value for name, value in body.items() if name not in _COMMON})
    if isinstance(entry, Refused):
        named = (word for word in re.findall(r"\w+", entry.reason) if word in columns(what))
        column = next(named, None)
        return Rejected(column, cells.get(column or ""), entry.reason)
    if "by" not in body:
        return Rejected("by", "", "it does not say who made the entry; a name is accepted, there or with --by")
    return body


def cells_of(entry: Entry) -> dict[str, str]:
    """An entry's fields as cells that `body_of` reads."""
    fields: dict[str, object] = msgspec.to_builtins(entry)
    return {name: _cell(name, value) for name, value in fields.items()}


def _value(name: str, cell: str, *, numeric: bool, decimal_comma: bool) -> object:
    if name == "varieties":
        return _varieties(cell)
    if name == "at":
        return cell if from_rfc3339(cell) is not None else Refused(f"it is {quoted(cell)}; {A_TIME} is accepted")
    if not numeric:
        return cell
    try:
        return float(cell.replace(",", ".") if decimal_comma else cell)
    except ValueError:
        return Refused(f"it is {quoted(cell)}; a number such as 4210.5 is accepted")


def _varieties(cell: str) -> object:
    """One variety, or several with their shares between them."""
    parts = [part.strip() for part in cell.split("/")]
    if len(parts) == 1 and not _A_SHARE.fullmatch(cell):
        return [{"name": cell, "share": 1.0}]
    varieties = []
    for part in parts:
        found = _A_SHARE.fullmatch(part)
        if found is None:
            return Refused(f"{quoted(part)} says no share; {_VARIETIES} is accepted")
        share = float(found["share"].replace(",", "."))
        varieties.append({"name": found["name"], "share": share / 100.0 if found["percent"] else share})
    return varieties


def _cell(name: str, value: object) -> str:
    if value is None:
        return ""
    if name == "varieties" and isinstance(value, list | tuple):
        if len(value) == 1:
            return str(value[0]["name"])
        return _AND.join(f"{variety['name']} {rounded(100.0 * variety['share']):g} %" for variety in value)
    return f"{rounded(value):.10g}" if isinstance(value, float) else str(value)
