"""What is usual, and how long something has to be unusual."""

import pytest

from tumpline.pressing.watches.baseline import Baseline, Held, SetPoint


def test_a_baseline_follows_what_is_normal_and_hardly_what_may_not_be() -> None:
    """After a minute of 20 it says 20; ten creeping seconds of 40 hardly move it."""
    baseline = Baseline()
    for _ in range(60):
        baseline.learn(20.0)
    assert baseline.value == pytest.approx(20.0)
    for _ in range(10):
        baseline.creep(40.0)
    assert 20.0 < baseline.value < 21.0


def test_a_set_point_is_not_dragged_along_by_what_drifts_away() -> None:
    """A strainer that clogs by half in half an hour leaves the usual nearly where it was."""
    water = SetPoint()
    for second in range(60 + 1800):
        water.learn(20.0 * (1.0 - 0.5 * max(0, second - 60) / 1800.0))
    assert water.value == pytest.approx(20.0, rel=0.06)


def test_a_set_point_that_is_forgotten_is_learned_anew() -> None:
    """After people may have set it anew, the first minute says what it is."""
    water = SetPoint()
    for _ in range(100):
        water.learn(20.0)
    assert water.known
    water.forget()
    assert not water.known
    for _ in range(60):
        water.learn(12.0)
    assert water.known
    assert water.value == pytest.approx(12.0)


def test_a_condition_has_to_last_to_count_and_ends_by_a_rule_of_its_own() -> None:
    """Ten seconds raise it, a break in them does not; between the limits it stays."""
    held = Held()
    for at in range(9):
        assert not held.step(float(at), beyond=True, back=False, delay=10.0)
    assert not held.step(9.0, beyond=False, back=False, delay=10.0)
    for at in range(10, 20):
        assert not held.step(float(at), beyond=True, back=False, delay=10.0)
    assert held.step(20.0, beyond=True, back=False, delay=10.0)
    assert held.step(21.0, beyond=False, back=False, delay=10.0)
    assert not held.step(22.0, beyond=False, back=True, delay=10.0)
    held.end()
    assert not held.active
