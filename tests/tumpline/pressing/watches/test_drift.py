"""A yield that drifts away slowly."""

import random
from collections.abc import Iterable

import numpy as np
import pytest

from bins import FED, Press
from looks import LINE
from tumpline.pressing.watches.bins import Bins
from tumpline.pressing.watches.drift import DriftWatch

LIMITS = LINE.watches["yield-drift"]


def minutes_until(watch: DriftWatch, bins: Iterable[Bins], *, pumped: bool = False) -> float | None:
    """Minutes until the drift is told; None where it is not."""
    for count, one in enumerate(bins, start=1):
        watch.close_bin(one, LINE, pumped=pumped, normal=True)
        if watch.active:
            return count / 12.0
    return None


def drifting(press: Press, *, by: float, over: int) -> Iterable[Bins]:
    """Bins in which the yield falls evenly by that share."""
    for n in range(over):
        yield from press.run(1, share=1.0 - by * (n + 1) / over)


@pytest.mark.parametrize("pumped", [False, True], ids=["steady", "in bursts"])
def test_a_tenth_lost_over_half_an_hour_is_told_within_it(pumped: bool) -> None:
    """The sentence says how far it has gone."""
    press, watch = Press(pumped=pumped), DriftWatch()
    assert minutes_until(watch, press.run(240), pumped=pumped) is None
    found = minutes_until(watch, drifting(press, by=0.1, over=360), pumped=pumped)
    assert found is not None and found < 30.0
    verdict = watch.verdict(LIMITS, " Possible: belts blinding.")
    assert (verdict.limit, verdict.unit) == (95.0, "%")
    assert "Yield has drifted to 9" in verdict.cause
    assert verdict.cause.endswith("belts blinding.")


@pytest.mark.parametrize(("owner", "told"), [("", False), ("41", True)], ids=["no load in the book", "one load"])
def test_where_nobody_names_a_load_fruit_after_a_pause_may_be_anothers(owner: str, told: bool) -> None:
    """It gives a tenth less: that may be the fruit, unless the book says it is the same."""
    press, watch = Press(), DriftWatch()
    minutes_until(watch, press.run(240, owner=owner))
    minutes_until(watch, press.run(12, fruit=0.0, owner=owner))
    found = minutes_until(watch, press.run(240, share=0.9, owner=owner))
    assert (found is not None) is told


def test_what_fills_up_when_fruit_comes_back_is_no_drift_when_it_is_full() -> None:
    """For four minutes after each pause more juice comes than fruit says, and then what always came."""
    press, watch = Press(), DriftWatch()
    for _ in range(6):
        minutes_until(watch, press.run(48, share=1.06))
        assert minutes_until(watch, press.run(240)) is None
        minutes_until(watch, press.run(12, fruit=0.0))


def test_what_is_less_than_half_the_limit_is_never_told() -> None:
    """Two and a half per cent less, for two hours."""
    press, watch = Press(), DriftWatch()
    minutes_until(watch, press.run(240))
    assert minutes_until(watch, press.run(1440, share=0.975)) is None


def test_another_load_that_gives_less_is_no_drift() -> None:
    """The step belongs to the fruit; and a drift before it is carried on across it."""
    press, watch = Press(), DriftWatch()
    minutes_until(watch, press.run(240))
    assert minutes_until(watch, press.run(480, share=0.88, owner="42")) is None
    press, watch = Press(), DriftWatch()
    minutes_until(watch, press.run(240))
    assert minutes_until(watch, press.run(120, share=0.96)) is None
    assert minutes_until(watch, press.run(240, share=0.85, owner="42")) is None
    assert minutes_until(watch, press.run(120, share=0.96 * 0.85, owner="42")) is not None


def test_slower_fruit_that_gives_more_is_no_measure_for_the_usual_feed() -> None:
    """A quarter of an hour of thin layers between two of usual ones raises nothing."""
    press, watch = Press(), DriftWatch()
    minutes_until(watch, press.run(240))
    assert minutes_until(watch, press.run(180, share=1.12, fruit=0.7 * FED)) is None
    assert minutes_until(watch, press.run(360)) is None


def test_one_odd_minute_is_no_drift() -> None:
    """Half of the juice missing once, as when a bucket is taken from the pipe, raises nothing."""
    press, watch = Press(), DriftWatch()
    minutes_until(watch, press.run(240))
    assert minutes_until(watch, press.run(12, share=0.5)) is None
    assert minutes_until(watch, press.run(240)) is None


def test_the_night_is_no_part_of_a_drift() -> None:
    """What was lost yesterday is no longer told once the line has stood for a night."""
    press, watch = Press(), DriftWatch()
    minutes_until(watch, press.run(240))
    assert minutes_until(watch, press.run(360, share=0.9)) is not None
    for one in press.run(8 * 720, fruit=0.0):
        watch.close_bin(one, LINE, pumped=False, normal=True)
    assert not watch.active
    assert minutes_until(watch, press.run(240, share=0.9)) is None


def test_a_yield_that_comes_back_ends_it() -> None:
    """Cloths that were changed are told by the yield itself."""
    press, watch = Press(), DriftWatch()
    minutes_until(watch, press.run(240))
    assert minutes_until(watch, press.run(360, share=0.9)) is not None
    for one in press.run(180):
        watch.close_bin(one, LINE, pumped=False, normal=True)
    assert not watch.active
    assert not watch.verdict(LIMITS, "").active


def test_the_filter_says_what_least_squares_over_all_samples_would() -> None:
    """With no drift allowed between them, after any number of samples: the oracle is weighted least squares."""
    rng = random.Random(4)
    watch = DriftWatch(mean=[-7.2, -0.3, 0.0], covariance=[[0.04, 0.0, 0.0], [0.0, 0.01, 0.0], [0.0, 0.0, 0.0025]])
    rows = [[5.0, 0.0, 0.0], [0.0, 10.0, 0.0], [0.0, 0.0, 20.0]]
    right = [-7.2 * 5.0, -0.3 * 10.0, 0.0]
    for _ in range(25):
        layer, sd = rng.uniform(-0.5, 0.3), rng.uniform(0.005, 0.02)
        gave = -7.25 - 0.35 * layer + rng.gauss(0.0, sd)
        watch.learn(gave, (1.0, layer, 1.0), sd**2)
        rows.append([1.0 / sd, layer / sd, 1.0 / sd])
        right.append(gave / sd)
        best = np.linalg.lstsq(np.array(rows), np.array(right), rcond=None)[0]
        assert watch.mean == pytest.approx(best, abs=1e-7)
