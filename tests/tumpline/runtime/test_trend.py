"""Figures over time: finely for half an hour, by the minute for a shift."""

from tumpline.runtime.trend import Trend

START = 1_792_000_020.0  # the beginning of a minute
MINUTE = 60.0


def worked(minutes: int) -> Trend:
    """A trend of so many minutes, a point every five seconds; the fruit is the number of the minute."""
    trend = Trend()
    for step in range(minutes * 12):
        trend.add(START + 5.0 * step, {"fruit": float(step // 12)} | ({"yield": 700.0} if step % 12 == 0 else {}))
    return trend


def test_half_an_hour_is_kept_as_it_came() -> None:
    """Every point of the last thirty minutes is there, and none that is older."""
    points = worked(60).last(30 * MINUTE)
    assert (len(points), points[-1].at - points[0].at) == (361, 30 * MINUTE)


def test_a_moment_that_is_there_already_does_not_come_twice() -> None:
    """The same figures told again after a restart change nothing."""
    trend = worked(1)
    trend.add(START + 55.0, {"fruit": 9.9})
    assert [point.figures["fruit"] for point in trend.last(5.0)] == [0.0, 0.0]


def test_a_shift_is_drawn_from_the_means_of_minutes() -> None:
    """A figure known for part of a minute is that part's mean; the newest point is as it came."""
    points = worked(120).last(120 * MINUTE)
    assert len(points) == 120
    assert [point.figures["fruit"] for point in points[:3]] == [0.0, 1.0, 2.0]
    assert {point.figures.get("yield") for point in points[:-1]} == {700.0}
    assert points[-1].at == START + 120 * MINUTE - 5.0


def test_a_day_is_the_longest_there_is() -> None:
    """Fourteen hours are kept, and the memory does not grow after that."""
    points = worked(15 * 60).last(1e9)
    assert abs(points[-1].at - points[0].at - 14 * 3600.0) < MINUTE


def test_without_figures_there_is_nothing() -> None:
    """Nothing is made up before the first figures."""
    assert Trend().last(30 * MINUTE) == ()
