"""What juice from a sump tells of its fruit."""

from collections.abc import Iterable

import pytest

from bins import FED, USUAL, Press
from tumpline.pressing.watches.bins import Bins
from tumpline.pressing.watches.bursts import Bursts, Stretch


def told(bursts: Bursts, bins: Iterable[Bins], *, since: int = 0) -> list[Stretch | None]:
    """What the pump says bin by bin, as a share of the usual yield."""
    found = [bursts.close_bin(one, since=since, rated=FED, nothing=0.1 * FED * USUAL) for one in bins]
    return [None if one is None else one._replace(gave=one.gave / USUAL) for one in found]


def test_every_run_and_every_rest_of_the_pump_tells_the_yield() -> None:
    """Steady fruit gives what it always gave, at its own layer."""
    last = told(Bursts(), Press(pumped=True).run(120))[-20:]
    assert [one is not None and (round(one.gave, 3), round(one.layer / FED, 3)) for one in last] == [(1.0, 1.0)] * 20


def test_less_juice_shows_when_the_pump_stops_early() -> None:
    """A run that pumps no more than the sump's fill and some says so at once, and the rest after it bears it out."""
    press, bursts = Press(pumped=True), Bursts()
    told(bursts, press.run(122))
    shares = [one.gave for one in told(bursts, press.run(12, share=0.5)) if one is not None]
    assert min(shares) == pytest.approx(0.5, abs=0.1)


def test_a_rest_that_lasts_tells_the_most_it_can_have_been() -> None:
    """A pump that does not start says less with every bin."""
    press, bursts = Press(pumped=True), Bursts()
    told(bursts, press.run(120))
    shares = [one.gave for one in told(bursts, press.run(20, share=0.0)) if one is not None]
    assert shares == sorted(shares, reverse=True)
    assert shares[-1] < 0.3


def test_a_break_in_the_fruit_says_nothing() -> None:
    """Stretches that began before fruit came again are left out."""
    press, bursts = Press(pumped=True), Bursts()
    told(bursts, press.run(120))
    assert told(bursts, press.run(2), since=120) == [None, None]


def test_what_came_a_moment_ago_is_known_after_three_stretches() -> None:
    """The least of the two before the last one; nothing before there are two."""
    press, bursts = Press(pumped=True), Bursts()
    told(bursts, press.run(12))
    assert bursts.lately(FED) == 0.0
    told(bursts, press.run(108))
    assert bursts.lately(FED) == pytest.approx(USUAL)
    assert bursts.lately(2.0 * FED) < USUAL
