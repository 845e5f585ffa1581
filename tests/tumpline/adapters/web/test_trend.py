"""The last half hour as a drawing."""

import re
from xml.etree import ElementTree as ET

from fake_line import MINUTE, NOW, half_hour, live, stop, stopped
from page_style import style
from tumpline.adapters.web.trend import draw
from tumpline.runtime.board import Board, LineBoard


def drawn(board: LineBoard, *, imperial: bool = False) -> ET.Element:
    """The drawing, read back as XML: well-formed at least."""
    return ET.fromstring(f"<div>{draw(board, style(imperial=imperial)).text}</div>")


def scale(tree: ET.Element, panel: str) -> list[str | None]:
    """The words at the top and at the bottom of a panel's scale."""
    return [mark.text for mark in tree.iterfind(f".//div[@class='panel {panel}']/div[@class='scale']/span")]


def begun(board: LineBoard) -> None:
    """A shift of which little is known in its first minutes: 700 L/t, at first from 100 to 1300, then ±14."""
    for step in range(200):
        half = 600.0 if step < 20 else 14.0
        figures = {"yield_l_per_t": 700.0, "yield_low": 700.0 - half, "yield_high": 700.0 + half}
        board.trend.add(NOW + 5.0 * step, figures)


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


def test_names_do_not_run_into_each_other() -> None:
    """A name at the right edge ends at its place; where it would meet the one before, that one stands alone."""
    board = Board(["line-1"])
    half_hour(board)
    ended = [stop(id=f"stop-{ago}", start=NOW - ago * MINUTE, end=NOW - (ago - 1) * MINUTE) for ago in (7, 4)]
    board.show("line-1", live(stops=tuple(ended)))
    names = [name.text for name in drawn(board.line("line-1")).iterfind(".//div[@class='names']//span")]
    assert names.count("stood 1 min") == 1


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


def test_the_first_wide_interval_does_not_flatten_the_rest() -> None:
    """The scale is that of the settled figures; where the band goes on beyond it, dots and words say so."""
    board = LineBoard("line-1")
    begun(board)
    tree = drawn(board)
    assert scale(tree, "yield") == ["725", "675"]
    cuts = [path.get("d") for path in tree.iterfind(".//path[@class='cut']")]
    assert cuts == ["M447 0H501", "M447 1000H501"]
    assert "Dots at an edge" in "".join(tree.itertext())


def test_what_fits_is_not_marked_as_cut() -> None:
    """A band within its scale has no dots, and nothing is said of any."""
    board = Board(["line-1"])
    half_hour(board)
    tree = drawn(board.line("line-1"))
    assert tree.findall(".//path[@class='cut']") == []
    assert "Dots" not in "".join(tree.itertext())


def test_an_imperial_trend_is_imperial() -> None:
    """700 L/t are 156.4 imperial gallons to the long ton: scale, name at the line's end and description say so."""
    board = LineBoard("line-1")
    begun(board)
    tree = drawn(board, imperial=True)
    assert scale(tree, "yield") == ["160", "150"]
    said = " ".join("".join(tree.itertext()).split())
    assert "156 gal/ton" in said
    assert "L/t" not in said
