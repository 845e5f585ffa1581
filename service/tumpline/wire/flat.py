"""Documents as rows of a table: every figure in three columns, what stands in lists in a table of its own."""

from __future__ import annotations

from collections.abc import Mapping

from tumpline.wire.figures import Document

Cell = str | float | int | bool | None


def flat(document: Document) -> dict[str, Cell]:
    """
    A document's own values by column.

    A figure is `<key>_value`, `<key>_low` and `<key>_high`; one that is not known has only `<key>_unknown`, so
    that it is an empty cell and never 0. An object's own values have its key before theirs; lists are left out.
    """
    row: dict[str, Cell] = {}
    for key, value in document.items():
        if isinstance(value, Mapping):
            row |= {f"{key}_{name}": cell for name, cell in flat(dict(value)).items()}
        elif not isinstance(value, list) and not (value is None and f"{key}_unknown" in document):
            row[key] = value
    return row


def parts_of(document: Document, key: str, *shared: str) -> list[dict[str, Cell]]:
    """The objects in a list of the document, each as a row with the document's `shared` values before its own."""
    own = {name: document[name] for name in shared}
    return [own | flat(part) for part in document[key]]


def shares_cell(shares: list[Document], name: str, key: str) -> str:
    """Who has how much, as one cell: `V1 1879.4 / V2 2.5`."""
    told = ((share[name] or "no load", share[key]) for share in shares)
    return " / ".join(f"{who} {figure['value']:g}" if figure else f"{who} ?" for who, figure in told)
