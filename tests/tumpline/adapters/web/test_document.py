"""Whole documents."""

import re

from fake_line import NOW, live
from page_style import style
from tumpline.adapters.web.document import Frame, floor_page, message_page, name_page, reason_page
from tumpline.adapters.web.door import Visitor
from tumpline.adapters.web.panels import Span
from tumpline.adapters.web.screen import Screen, View, common, floor
from tumpline.runtime.board import LineBoard
from tumpline.wire.documents import CAUTION

STYLE = style()


def page(*lines: str, who: str = "") -> str:
    """The page of the first line."""
    board = LineBoard(lines[0])
    board.show(live(line=lines[0]))
    screen = common(board, STYLE, now=NOW)
    parts = floor(board, STYLE, Span.HALF_HOUR, None, now=NOW)
    whole = Screen(screen.old, screen.heard, screen.parts | {key: part.text for key, part in parts.items()})
    frame = Frame(STYLE.words, "Hollow <Lane>", lines, "b1", Visitor(who, "manage", proven=False))
    return floor_page(whole, View(lines[0], "floor"), frame)


def test_nothing_in_the_page_needs_more_than_the_strict_policy_allows() -> None:
    """No inline script, no inline style, no handler in an attribute, nothing from elsewhere."""
    made = page("line-1", "line-2", who="Ada")
    assert re.search(r"<style|\sstyle=|\son\w+=|<script(?! src=\"/static/)|https?://", made) is None


def test_every_id_is_there_once() -> None:
    """The script finds one element for every part."""
    ids = re.findall(r' id="([^"]*)"', page("line-1"))
    assert len(ids) == len(set(ids))


def test_the_standing_notice_is_on_the_page() -> None:
    """Word for word as in the documents."""
    assert CAUTION.replace("'", "&#x27;") in page("line-1")


def test_several_lines_are_one_touch_apart() -> None:
    """The other lines are linked, this one is marked; a single line needs no choice."""
    assert '<a href="/line/line-1" aria-current="page"' in page("line-1", "line-2")
    assert 'aria-label="Lines"' not in page("line-1")


def test_names_are_escaped() -> None:
    """Site and person cannot be markup."""
    made = page("line-1", who="<b>")
    assert "<Lane>" not in made
    assert "<b>" not in made


def test_asking_for_a_name_keeps_what_was_sent() -> None:
    """The alarm goes along with the name."""
    made = name_page(STYLE.words, action="/a", back="/", kept={"alarm": 'x"y'}, refused="A name is needed.")
    assert 'name="alarm" value="x&quot;y"' in made
    assert 'role="alert" class="trouble">A name is needed.</p>' in made


def test_small_pages_lead_back() -> None:
    """Nobody is stuck on a page that asks or tells."""
    for made in (
        reason_page(STYLE.words, action="/a", back="/line/x", stop="s"),
        message_page(STYLE.words, "T", "x", back="/line/x"),
    ):
        assert 'href="/line/x"' in made
