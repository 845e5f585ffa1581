"""The last half hour as a drawing."""

import re
from xml.etree import ElementTree as ET

from fake_line import NOW, half_hour, stopped
from page_style import style
from tumpline.adapters.web.trend import draw
from tumpline.runtime.board import Board, LineBoard


def drawn(board: LineBoard) -> ET.Element:
    """The drawing, read back as XML: well-formed at least."""
    return ET.fromstring(f"<div>{draw(board, style()).text}</div>")


def line(tree: ET.Element, panel: str) -> list[list[tuple[int, int]]]:
    """The unbroken stretches of a panel's line, in seconds and thousandths from the top."""
    runs = []
    for path in tree.iterfind(f".//div[@class='panel {panel}']//path[@class='line']"):
        numbers = [int(n) for n in re.findall(r"-?\d+", path.get("d", ""))]
        places = list(zip(numbers[::2], numbers[1::2], strict=True))
        run = [places[0]]
        for dx, dy in places[1:]:
            run.append((run[-1][0] + dx, run[-1][1] + dy))
        runs.append(run)
    return runs


def test_lines_run_from_half_an_hour_ago_to_now() -> None:
    """The left edge is 30 minutes ago, the right edge the newest figure; thousandths of the width between."""
    board = Board(["line-1"])
    half_hour(board)
    (run,) = line(drawn(board.line("line-1")), "fruit")
    assert (run[0][0], run[-1][0], len(run)) == (0, 1000, 361)


def test_what_was_not_known_is_a_gap() -> None:
    """The yield is not joined across the time in which it was not known, nor drawn as zero."""
    board = Board(["line-1"])
    half_hour(board)
    before, after = line(drawn(board.line("line-1")), "yield")
    assert after[0][0] - before[-1][0] > 222
    assert max(y for run in (before, after) for _, y in run) < 1000


def test_higher_is_up() -> None:
    """3 t/h of 5 lies at three fifths of the height."""
    board = LineBoard("line-1")
    board.trend.add(NOW, {"throughput_t_per_h": 5.0})
    board.trend.add(NOW + 5.0, {"throughput_t_per_h": 3.0})
    assert [y for _, y in line(drawn(board), "fruit")[0]] == [0, 400]


def test_stops_are_bands() -> None:
    """A stop that is over and one that goes on both stand behind the lines."""
    board = Board(["line-1"])
    half_hour(board)
    board.show("line-1", stopped())
    boxes = drawn(board.line("line-1")).findall(".//div[@class='panel fruit']//rect")
    assert [(int(box.get("x", "")), int(box.get("width", ""))) for box in boxes] == [(433, 134), (800, 200)]


def test_a_drawing_says_what_it_shows() -> None:
    """Title and description tell those who cannot see it."""
    board = Board(["line-1"])
    half_hour(board)
    tree = drawn(board.line("line-1"))
    assert [title.text for title in tree.iter("title")] == [
        "Fruit in, t/h, last 30 minutes",
        "Juice per tonne, L/t, last 30 minutes",
    ]
    assert "stood from 10:07 to 10:11" in (next(tree.iter("desc")).text or "")


def test_no_figures_are_not_a_flat_line() -> None:
    """Before the first figures the page says so, and with a yield never known there is no line."""
    board = LineBoard("line-1")
    assert "No figures yet." in draw(board, style()).text
    board.trend.add(NOW, {})
    assert (line(drawn(board), "fruit"), line(drawn(board), "yield")) == ([], [])
    assert "not known now" in draw(board, style()).text


def test_a_single_figure_and_a_constant_one_can_be_drawn() -> None:
    """One point, and a yield without any spread, make no fault."""
    board = LineBoard("line-1")
    board.trend.add(NOW, {"throughput_t_per_h": 0.0, "yield_l_per_t": 700.0, "yield_low": 700.0, "yield_high": 700.0})
    assert len(line(drawn(board), "yield")) == 1
