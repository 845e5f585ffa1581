"""The shift book's page."""

import re

from fake_line import half_hour, live
from page_book import morning
from page_style import style
from tumpline.adapters.web.book_page import BUTTONS, parts
from tumpline.adapters.web.forms import FORMS
from tumpline.runtime.board import Board

SPACE = "\N{NARROW NO-BREAK SPACE}"


def shown(*, written: bool = True) -> dict[str, str]:
    """The page's parts without their markup."""
    board = Board(["line-1"])
    half_hour(board)
    if written:
        morning(board)
    else:
        board.line("line-1").vats.clear()
    made = parts(board.line("line-1"), style())
    return {key: " ".join(re.sub("<[^>]+>", " ", part.text).split(" ")).strip() for key, part in made.items()}


def test_loads_stand_in_the_order_of_their_turn() -> None:
    """Those waiting first, with how much that is; then the one on the line; then those pressed."""
    lots = re.sub(" +", " ", shown()["lots"])
    assert "4.1 t waiting in the yard." in lots
    places = [lots.index(words) for words in ("15, Withy Bottom", "14, Coppice Farm", "13, Long Acre")]
    assert places == sorted(places)
    for words in ("waiting since 09:54", "on the line since 09:58", "pressed until 09:58", "712 L/t"):
        assert words in lots


def test_every_vat_says_how_much_room_is_left() -> None:
    """By what was last seen of it, and where the juice goes now."""
    vats = re.sub(" +", " ", shown()["vats"])
    assert f"11{SPACE}200 of 12{SPACE}000 L, nearly full, room for 800 L" in vats
    assert f"7{SPACE}600 of 20{SPACE}000 L, room for 12{SPACE}400 L juice goes here now" in vats


def test_every_form_of_the_day_is_one_touch_away() -> None:
    """All but those that belong to a stop or an alarm."""
    linked = {form for group in BUTTONS for form in group}
    assert set(FORMS) - linked == {"reason", "shelve", "out-of-service"}


def test_an_empty_book_says_so() -> None:
    """Nothing is made up."""
    made = shown(written=False)
    assert "No load has been weighed in yet." in made["lots"]
    assert "No vat has been named yet." in made["vats"]
    assert "Nothing has been written yet." in made["entries"]


def test_a_name_in_the_address_cannot_leave_it() -> None:
    """A load named with odd letters is one load's name only."""
    assert live().load is not None
    board = Board(["line-1"])
    morning(board)
    assert 'href="/line/line-1/book/load-on?load=15"' in parts(board.line("line-1"), style())["lots"].text
