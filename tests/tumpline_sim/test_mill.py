"""The mill's current and the pulp buffer."""

from simulated import run


def test_current_follows_the_work() -> None:
    """Nothing when off, 30 to 45 % of full load (28 A) idle, 50 to 80 % milling: common practice, no source."""
    made = run(hours=1.0, signals="all", tidy=True)
    fruit = made.truth["edges"][0]
    assert max(made.values("mill/current", 0.0, 60.0)) == 0.0
    assert 0.30 * 28.0 < made.mean("mill/current", fruit - 20.0, fruit - 2.0) < 0.45 * 28.0
    assert 0.50 * 28.0 < made.mean("mill/current", fruit + 120.0, fruit + 600.0) < 0.80 * 28.0


def test_the_buffer_fills_with_the_feed_and_empties() -> None:
    """Near half full while milling, empty at the end."""
    made = run(hours=1.0, signals="all", tidy=True)
    fruit, end = made.truth["edges"][0], made.truth["end"]
    offset = made.truth["meter_biases"]["pulp/level"]["offset"]
    assert 35.0 < made.mean("pulp/level", fruit + 300.0, fruit + 900.0) - offset < 55.0
    assert made.mean("pulp/level", end - 60.0, end) < 3.0
