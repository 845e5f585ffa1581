"""Which fruit is in this juice: the way from mill to juice meter, against the distribution it is said to be."""

import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy.stats import gamma

from tumpline.pressing.params import ResidenceParams
from tumpline.pressing.residence import BIN, Passage, Transport, aligned, configured

WAYS = [
    Transport(45.0, 20.0),
    Transport(33.0, 17.0, 22.0),
    Transport(33.0, 17.0, 22.0, follows=True),
    Transport(33.0, 17.0, 22.0, pace=0.8),
    Transport(0.0, 12.0),
]
fruits = st.lists(st.floats(0.0, 8.0), min_size=1, max_size=80)


@pytest.mark.parametrize(("delay", "spread"), [(45.0, 20.0), (60.0, 25.0), (35.0, 47.0), (0.0, 12.0)])
def test_a_pulse_comes_out_as_a_gamma_distribution_after_the_delay(delay: float, spread: float) -> None:
    """Summed from the pulse on it is scipy's gamma of shape 2, within the five seconds a bin is wide."""
    shown = aligned([10.0] + [0.0] * 200, Transport(delay, spread), 1.0)
    for k in range(0, 60, 4):
        share = math.fsum(shown[: k + 1]) / 10.0
        early, late = (
            float(gamma.cdf(k * BIN + shift - delay, a=2.0, scale=spread / math.sqrt(2.0))) for shift in (-6.0, 6.0)
        )
        assert early - 0.01 <= share <= late + 0.01


@settings(max_examples=40, derandomize=True, deadline=None)
@given(fruit=fruits, way=st.sampled_from(WAYS))
def test_all_fruit_becomes_juice_once(fruit: list[float], way: Transport) -> None:
    """Every kilogram milled shows once in the end, and none of it is negative on the way."""
    shown = aligned(fruit + [0.0] * 1500, way, 1.0)
    assert math.fsum(shown) == pytest.approx(math.fsum(fruit), rel=5e-3, abs=1e-3)
    assert min(shown) >= -1e-9


def test_nothing_shows_before_the_delay() -> None:
    """A plug of 45 s lets nothing through in the first nine bins."""
    assert aligned([5.0] * 20, Transport(45.0, 20.0), 1.0)[:9] == [0.0] * 9


@settings(max_examples=25, derandomize=True, deadline=None)
@given(fruit=fruits, way=st.sampled_from(WAYS), change=st.integers(0, 80))
def test_loads_on_their_way_sum_to_what_shows(fruit: list[float], way: Transport, change: int) -> None:
    """Two loads that share the line show together what one load of the same fruit would."""
    passage, whole = Passage(), aligned(fruit, way, 1.0)
    for j, kg in enumerate(fruit):
        parts = passage.step("41" if j < change else "42", kg, way, 1.0)
        assert math.fsum(parts.values()) == pytest.approx(whole[j], abs=2e-3)


def mean_age(way: Transport, feed: float) -> float:
    """Mean time between fruit and its juice in steady running, from what the way holds (Little's law)."""
    shown = aligned([feed * BIN] * 600, way, 1.0)
    return sum(feed * BIN - kg for kg in shown) / feed


@pytest.mark.parametrize("way", WAYS)
@pytest.mark.parametrize("feed", [0.4, 1.0])
def test_what_the_line_holds_over_its_feed_is_the_mean_time(way: Transport, feed: float) -> None:
    """At 40 % feed a following pump makes the buffer wait 1.58 times as long, a line that keeps pace all of it."""
    assert mean_age(way, feed) == pytest.approx(way.mean_at(feed), rel=0.02, abs=2.0)


def test_a_line_that_runs_long_enough_shows_what_it_mills() -> None:
    """In steady running aligned fruit equals fruit."""
    for way in WAYS:
        assert aligned([5.5] * 300, way, 1.0)[-1] == pytest.approx(5.5, rel=1e-3)


def test_the_settings_guess_keeps_its_mean_and_spread_when_part_of_it_is_put_into_the_buffer() -> None:
    """Whoever writes 45 s and 20 s into the settings gets just that."""
    way = configured(ResidenceParams(45.0, 20.0))
    assert way.mean == pytest.approx(45.0 + 20.0 * math.sqrt(2.0))
    assert way.sd == pytest.approx(20.0)
