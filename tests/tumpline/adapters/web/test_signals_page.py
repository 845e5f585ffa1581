"""The signals' page."""

import re

from fake_line import NOW, half_hour, live, signals
from page_style import style
from tumpline.adapters.web.signals_page import parts, readable
from tumpline.pressing.records import Live, SignalRecord
from tumpline.runtime.board import Board
from tumpline.runtime.ports import RefusedRow


def shown(view: Live, *refused: RefusedRow) -> dict[str, str]:
    """The page's parts without their markup."""
    board = Board(["line-1"])
    half_hour(board)
    board.show("line-1", view)
    for row in refused:
        board.refuse(row)
    made = parts(board.line("line-1"), style(), now=NOW + 4.0)
    return {key: re.sub(" +", " ", re.sub("<[^>]+>", " ", part.text)) for key, part in made.items()}


def test_every_signal_says_its_last_value_and_how_old_that_is() -> None:
    """In the unit documents use; a silent one says since when, and is no zero."""
    meters = shown(live(signals=signals()[:3] + signals(at=NOW - 240.0, fresh=False)[3:]))["meters"]
    assert "press/pressure 1.35 bar 4 s ago" in meters
    assert "juice/flow 48 L/min silent for 4 min, last heard 10:20:07" in meters
    assert "never heard" in shown(live(signals=signals(mill_throughput=None)))["meters"]


def test_how_well_it_was_heard_is_counted() -> None:
    """Received, used, twice, late, refused; what is missing and the longest gap."""
    heard = SignalRecord("juice/flow", 400, 395, 2, 1, 2, 75.0, 62.0)
    meters = shown(live(heard=(heard,)))["meters"]
    assert "400 received, 395 used; 2 twice, 1 late, 2 refused" in meters
    assert "1 min missing in this shift, 1 min at the longest" in meters


def test_what_is_not_fitted_says_what_it_would_add() -> None:
    """Expected ones are marked; what is fitted is not listed."""
    missing = shown(live(signals=signals()[:3]))["missing"]
    assert "mill/current mill motor current: confirms a blocked mill, and notices a hard object" in missing
    assert "juice/flow juice leaving the press: the juice of every yield This one is expected." in missing
    assert "mill/throughput" not in missing


def test_what_was_refused_stands_there_with_its_bytes_and_the_reason() -> None:
    """Newest first; markup in it is text."""
    rows = (
        RefusedRow(1, 0, "line-1", "juice/flow", NOW, "It is no number.", b'{"v": "<script>"}'),
        RefusedRow(2, 0, "line-1", "mill/current", NOW, "It is not UTF-8.", b"\xff\xfe"),
    )
    refusals = shown(live(), *rows)["refusals"]
    assert refusals.index("mill/current") < refusals.index("juice/flow")
    assert "It is no number. {&quot;v&quot;: &quot;&lt;script&gt;&quot;} 10:24" in refusals
    assert "ff fe" in refusals


def test_many_bytes_are_cut_and_odd_letters_are_marked() -> None:
    """A payload of a quarter megabyte does not fill the page."""
    assert readable(b"x" * 262_144) == "x" * 300 + "…"
    assert readable(b"a\x00b\n") == "a\N{REPLACEMENT CHARACTER}b\n"


def test_the_same_refusal_twice_stands_there_once() -> None:
    """Told again after a restart, it is the same one."""
    row = RefusedRow(1, 0, "line-1", "juice/flow", NOW, "It is no number.", b"x")
    assert shown(live(), row, row)["refusals"].count("It is no number.") == 1
