"""What a trend draws."""

from fake_line import NOW, live
from page_style import style
from tumpline.adapters.web.panels import SIZE, Cut, Span, Window, fruit, juice_per_tonne, window_of
from tumpline.runtime.board import LineBoard
from tumpline.runtime.trend import TrendPoint

STYLE = style()
WINDOW = Window(NOW - 100.0, NOW, "last 30 minutes")


def yields(*halves: float) -> list[TrendPoint]:
    """700 L/t every five seconds up to NOW, each with that half of an interval."""
    first = NOW - 5.0 * (len(halves) - 1)
    return [
        TrendPoint(first + 5.0 * i, {"yield_l_per_t": 700.0, "yield_low": 700.0 - half, "yield_high": 700.0 + half})
        for i, half in enumerate(halves)
    ]


def test_the_scale_is_that_of_the_settled_figures() -> None:
    """Three wide intervals of ten leave the others their room, and are cut at both edges, each for as long as it is."""
    panel = juice_per_tonne(yields(500.0, 500.0, *[14.0] * 7, 300.0), WINDOW, STYLE)
    assert (panel.low, panel.high) == (675.0, 725.0)
    assert panel.cuts == [
        Cut(0, NOW - 45.0, NOW - 40.0),
        Cut(0, NOW, NOW),
        Cut(SIZE, NOW - 45.0, NOW - 40.0),
        Cut(SIZE, NOW, NOW),
    ]


def test_a_fall_that_is_well_known_is_never_cut() -> None:
    """What makes the scale wide is shown whole, where its interval is as narrow as ever."""
    fallen = [TrendPoint(NOW, {"yield_l_per_t": 480.0, "yield_low": 470.0, "yield_high": 490.0})]
    panel = juice_per_tonne([*yields(14.0, 14.0)[:1], *fallen], WINDOW, STYLE)
    assert panel.low <= 470.0
    assert panel.cuts == []


def test_fruit_begins_at_nothing() -> None:
    """Higher is more, and an imperial site reads long tons: 5 t/h are 4.92."""
    points = [TrendPoint(NOW, {"throughput_t_per_h": 5.0})]
    metric, imperial = (fruit(points, WINDOW, style(imperial=imperial)) for imperial in (False, True))
    assert (metric.low, metric.high, metric.unit) == (0.0, 5.0, "t/h")
    assert (f"{imperial.runs[0][0][1]:.2f}", imperial.unit) == ("4.92", "ton/h")


def test_the_whole_shift_begins_where_it_began() -> None:
    """But not before there are figures, and never less than half an hour."""
    board = LineBoard("line-1")
    for minute in range(300, -1, -1):
        board.trend.add(NOW - 60.0 * minute, {"throughput_t_per_h": 4.0})
    board.show(live(shift_start=NOW - 7200.0))
    assert window_of(board, Span.SHIFT, NOW, STYLE.words).seconds == 7200.0
    board.show(live(shift_start=NOW - 60.0))
    assert window_of(board, Span.SHIFT, NOW, STYLE.words).seconds == 1800.0
