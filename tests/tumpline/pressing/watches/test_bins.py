"""The closed bins of the ledger."""

import pytest

from bins import FED, Press
from tumpline.pressing.watches.bins import Bins, thinned


def after(press: Press, *runs: tuple[int, float]) -> Bins:
    """The bins after so many bins of so much fruit, one run after the other."""
    return [bins for many, fruit in runs for bins in press.run(many, fruit=fruit)][-1]


@pytest.mark.parametrize(("u_mean", "learned", "late"), [(2.0, True, 4), (6.0, True, 6), (35.0, False, 8)])
def test_juice_may_be_as_late_as_its_way_is_unknown(u_mean: float, learned: bool, late: int) -> None:
    """Two standard uncertainties either way and half the spread, and forty seconds at the most."""
    bins = after(Press(u_mean=u_mean), (1, FED))
    assert (bins.learned, bins.late) == (learned, late)


def test_the_least_fruit_is_that_of_the_dip() -> None:
    """Fruit that was less a few bins ago may be what shows only now."""
    bins = after(Press(u_mean=6.0), (20, FED), (4, 0.5 * FED), (3, FED))
    assert bins.least() == pytest.approx(4.0 * 0.5 * FED)
    assert bins.shown(0) == pytest.approx(3.5 * FED)


def test_fruit_since_a_time_between_two_bins() -> None:
    """Of the bin in which it began, the rest counts."""
    bins = after(Press(), (20, FED))
    assert bins.fruit_since(17.25) == pytest.approx(2.75 * FED)
    assert bins.fruit_since(17.25, late=2) == pytest.approx(2.75 * FED)


def test_a_thicker_layer_keeps_less_and_a_thinner_one_no_more() -> None:
    """Twice as thick keeps a good three quarters."""
    assert thinned(2.0) == pytest.approx(0.78, abs=0.01)
    assert thinned(0.5) == 1.0


def test_what_was_fed_is_what_may_show_now() -> None:
    """Fruit of some way ago, give or take; before the first of all there was none."""
    bins = after(Press(u_mean=2.0), (30, FED), (4, 0.0), (16, FED))
    assert (len(bins.fed()), min(bins.fed())) == (14, 0.0)
    assert min(after(Press(u_mean=2.0), (30, FED), (4, 0.0), (30, FED)).fed()) == FED
    assert bins.fed()[-1] == FED
    assert after(Press(), (10, FED)).fed()[0] == 0.0
