"""A morning at Hollow Lane, written into the book: two loads waiting, one on the line, one pressed."""

from fake_line import MINUTE, NOW
from tumpline.pressing.entries import (
    KINDS,
    Correct,
    Entry,
    Load,
    LoadOn,
    Note,
    Reason,
    ShiftStart,
    Trailer,
    Variety,
    Vat,
)
from tumpline.pressing.events import EntryMade
from tumpline.runtime.board import Board

KIND_OF = {entry: kind for kind, entry in KINDS.items()}


def made(number: int, minutes_ago: float, by: str, entry: Entry) -> EntryMade:
    """An entry of so many minutes before NOW; its id ends with its number."""
    at = NOW - minutes_ago * MINUTE
    return EntryMade(f"{KIND_OF[type(entry)]}-{number:012x}", at, at, by, entry)


MORNING = (
    made(1, 200, "Ada", ShiftStart("early", ("Ada", "Wystan"), "frost on the yard")),
    made(2, 190, "Wystan", Load("13", "Long Acre", 6200.0, (Variety("top late", 1.0),))),
    made(3, 181, "Ada", Vat("1", 12_000.0, 11_200.0)),
    made(4, 180, "Ada", Vat("3", 20_000.0, 5_300.0)),
    made(5, 180, "Ada", Trailer("T2", 6_000.0)),
    made(6, 170, "Wystan", Load("14", "Coppice Farm", 9800.0, (Variety("bittersweet", 0.7), Variety("sharp", 0.3)))),
    made(7, 150, "Ada", LoadOn("13")),
    made(8, 30, "Wystan", Load("15", "Withy Bottom", 4120.0, (Variety("coppice red", 1.0),))),
    made(9, 26, "Ada", LoadOn("14")),
    made(10, 20, "Ada", Correct("load-000000000002", {"net_kg": 6420.0})),
    made(11, 12, "Ada", Reason("stop-6", "break")),
    made(12, 10, "Ada", Note("belt tracking to the left, watched")),
)


def morning(board: Board, line: str = "line-1") -> None:
    """Write it all into a line's book."""
    for entry in MORNING:
        board.enter(line, entry)
