"""What there is to choose from."""

import pytest

from fake_line import blocked
from page_book import morning
from page_style import style
from tumpline.adapters.web.choices import choices
from tumpline.runtime.board import Board

SPACE = "\N{NARROW NO-BREAK SPACE}"


@pytest.mark.parametrize(
    ("known", "values"),
    [
        ("waiting", ["15"]),
        ("on", ["14"]),
        ("lots", ["13", "14", "15"]),
        ("vats", ["1", "3"]),
        ("trailers", ["T2"]),
        ("growers", ["Coppice Farm", "Long Acre", "Withy Bottom"]),
        ("varieties", ["bittersweet", "coppice red", "sharp", "top late"]),
        ("what", ["fruit", "juice", "pomace"]),
        ("reasons", ["no fruit", "break"]),
        ("minutes", ["15", "30", "60", "120", "480"]),
        ("nothing of the kind", []),
    ],
)
def test_choices_come_from_the_book_and_the_settings(known: str, values: list[str]) -> None:
    """Each once, in an order one can follow."""
    board = Board(["line-1"])
    morning(board)
    assert [choice.value for choice in choices(known, board.line("line-1"), style())] == values


def test_a_vat_says_what_is_known_of_its_room() -> None:
    """What was seen last wins over what was once written; what is not known is said so."""
    board = Board(["line-1"])
    morning(board)
    board.show("line-1", blocked())
    notes = {choice.value: choice.note for choice in choices("vats", board.line("line-1"), style())}
    assert notes["3"] == f"18{SPACE}400 of 20{SPACE}000 L, nearly full, room for 1{SPACE}600 L"
    assert notes["1"].endswith("room for 800 L")
