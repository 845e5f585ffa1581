"""The learned way from mill to juice."""

import pytest

from score_shifts import fault, heard, truth
from tumpline.pressing.learnt import Residence
from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.records import Unknown
from tumpline_score.delays import delay, true_residence
from tumpline_score.engine import Minute


def test_what_was_learned_after_an_hour_of_pressing() -> None:
    """The first look after an hour of fruit counts, beside the truth up to then."""
    spread = Estimate(30.0, (limits("guess", 5.0),))
    early, then = (
        Residence(mean=Estimate(mean, (limits("guess", 10.0),)), spread=spread, learned=True, why="")
        for mean in (120.0, 93.0)
    )
    minutes = [Minute(at, Unknown("filling"), told) for at, told in ((600.0, early), (3960.0, then))]
    found = delay(heard(minutes=minutes))
    assert found is not None
    assert (found.mean, found.true_mean) == (93.0, pytest.approx(90.0))
    assert (found.spread, found.true_spread, found.learned) == (30.0, pytest.approx(40.0), True)
    assert found.mean_inside and not found.spread_inside


def test_a_shift_too_short_tells_nothing() -> None:
    """Without a look after an hour there is no comparison."""
    assert delay(heard(minutes=[Minute(600.0, Unknown("filling"), None)])) is None


def test_the_truth_leaves_disturbances_out() -> None:
    """Fruit that waited in a stopped line does not count, and ages are weighted by fruit."""
    rows = [
        {"at": 1000.0, "fruit_kg": 30.0, "mean_s": 80.0, "spread_s": 0.0},
        {"at": 1060.0, "fruit_kg": 10.0, "mean_s": 120.0, "spread_s": 0.0},
        {"at": 2060.0, "fruit_kg": 90.0, "mean_s": 900.0, "spread_s": 9.0},
        {"at": 2120.0, "fruit_kg": 0.0, "mean_s": None, "spread_s": None},
    ]
    stopped = truth(mill_to_juice_by_minute=rows, faults=[fault("blocked", 2000.0, 2050.0)])
    mean, spread = true_residence(stopped, until=3000.0) or (0.0, 0.0)
    assert mean == pytest.approx(90.0)
    assert spread == pytest.approx(300.0**0.5)
