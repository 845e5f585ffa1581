"""A yield that drifts away slowly."""

from collections.abc import Iterable

import pytest

from bins import FED, Press
from looks import LINE
from tumpline.pressing.watches.drift import DriftWatch
from tumpline.pressing.watches.bins import Bins

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
    assert (verdict.limit, verdict.unit) == (93.0, "%")
    assert "Yield has drifted to 9" in verdict.cause
    assert verdict.cause.endswith("belts blinding.")


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
    assert minutes_until(watch, press.run(90, share=0.92)) is None
    assert minutes_until(watch, press.run(480, share=0.85, owner="42")) is not None


def test_slower_fruit_that_gives_more_is_no_measure_for_the_usual_feed() -> None:
    """A quarter of an hour of thin layers between two of usual ones raises nothing."""
    press, watch = Press(), DriftWatch()
    minutes_until(watch, press.run(240))
    assert minutes_until(watch, press.run(180, share=1.06, fruit=0.7 * FED)) is None
    assert minutes_until(watch, press.run(360)) is None


def test_a_yield_that_comes_back_ends_it() -> None:
    """Cloths that were changed are told by the yield itself."""
    press, watch = Press(), DriftWatch()
    minutes_until(watch, press.run(240))
    assert minutes_until(watch, press.run(360, share=0.9)) is not None
    for one in press.run(180):
        watch.close_bin(one, LINE, pumped=False, normal=True)
    assert not watch.active
    assert not watch.verdict(LIMITS, "").active
