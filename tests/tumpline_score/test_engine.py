"""One shift through the engine in memory."""

import itertools

import pytest

from score_shifts import pressed
from tumpline.pressing.quantities import Estimate


def test_the_service_hears_the_shift() -> None:
    """The summary is that of the simulated shift, its fruit near the truth."""
    heard = pressed()
    assert heard.summary.shift == heard.truth["shift"]
    assert isinstance(heard.summary.fruit, Estimate)
    assert heard.summary.fruit.value == pytest.approx(heard.truth["fruit_kg"], rel=0.03)


def test_the_live_view_is_asked_every_minute() -> None:
    """There is a look a minute from the start of the shift to its end."""
    times = [minute.at for minute in pressed().minutes]
    assert all(b - a == pytest.approx(60.0) for a, b in itertools.pairwise(times))
    assert len(times) == pytest.approx(pressed().truth["end"] / 60.0, abs=2.0)


def test_alarms_are_told_with_their_time() -> None:
    """The blocked mill was raised within seconds of its beginning, as time since the shift began."""
    (blocked,) = [alarm for alarm in pressed().raised if alarm.name == "mill-blocked"]
    (fault,) = pressed().truth["faults"]
    assert 0.0 < blocked.at - fault["at"] < 15.0
