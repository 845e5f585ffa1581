"""Whole documents."""

import re

from fake_line import live
from tumpline.adapters.web.document import live_page, message_page, name_page, reason_page
from tumpline.adapters.web.screen import Style, draw
from tumpline.adapters.web.words import Clock
from tumpline.runtime.board import LineBoard
from tumpline.wire.documents import CAUTION


def page(*lines: str, who: str | None = None) -> str:
    """The page of the first line."""
    board = LineBoard(lines[0])
    board.show(live(line=lines[0]))
    style = Style(clock=Clock("Europe/London"), imperial=False, silent_after=15.0, reasons=())
    screen = draw(board, style, now=board.live.at if board.live else 0.0)
    return live_page(screen, line=lines[0], lines=lines, site="Hollow <Lane>", build="b1", who=who)


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
    assert "<nav" not in page("line-1")


def test_names_are_escaped() -> None:
    """Site and person cannot be markup."""
    made = page("line-1", who="<b>")
    assert "<Lane>" not in made
    assert "<b>" not in made


def test_asking_for_a_name_keeps_what_was_sent() -> None:
    """The alarm goes along with the name."""
    made = name_page(action="/a", back="/", kept={"alarm": 'x"y'}, refused="A name is needed.")
    assert 'name="alarm" value="x&quot;y"' in made
    assert '<p role="alert" class="trouble">A name is needed.</p>' in made


def test_small_pages_lead_back() -> None:
    """Nobody is stuck on a page that asks or tells."""
    for made in (reason_page(action="/a", back="/line/x", stop="s"), message_page("T", "x", back="/line/x")):
        assert 'href="/line/x"' in made
