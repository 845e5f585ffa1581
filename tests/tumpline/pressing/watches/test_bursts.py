"""What juice from a sump tells of its fruit."""

from collections.abc import Iterable

import pytest

from bins import FED, USUAL, Press
from tumpline.pressing.ledger import Ledger, PumpMark
from tumpline.pressing.watches.bins import Bins
from tumpline.pressing.watches.bursts import Bursts


def told(bursts: Bursts, bins: Iterable[Bins], *, since: int = 0) -> list[float | None]:
    """What the pump says bin by bin, as a share of the usual yield."""
    found = [bursts.close_bin(one, since=since, rated=FED, nothing=0.1 * FED * USUAL) for one in bins]
    return [None if one is None else one / USUAL for one in found]


def test_every_run_and_every_rest_of_the_pump_tells_the_yield() -> None:
    """Steady fruit gives what it always gave."""
    assert told(Bursts(), Press(pumped=True).run(120))[-20:] == pytest.approx([1.0] * 20)


def test_less_juice_shows_when_the_pump_stops_early() -> None:
    """A run that pumps no more than the sump's fill and some says so at once, and the rest after it bears it out."""
    press, bursts = Press(pumped=True), Bursts()
    told(bursts, press.run(122))
    shares = [one for one in told(bursts, press.run(12, share=0.5)) if one is not None]
    assert min(shares) == pytest.approx(0.5, abs=0.1)


def last_run(*shares: float) -> float:
    """What the last of some runs says; each pumps six bins of fruit after a rest of twelve, at shares of the usual."""
    bursts, ledger, aligned, said = Bursts(), Ledger(0.0), list[float](), 0.0
    for share in shares:
        for bins, on, juice in ((12, True, 0.0), (6, False, 12.0 + 6.0 * share)):
            aligned += [FED] * bins
            ledger.juice.amounts += [juice / bins * FED * USUAL] * bins
            ledger.marks.append(PumpMark(float(len(aligned)), sum(ledger.juice.amounts), on))
            (one,) = told(bursts, [Bins(ledger, aligned, "41", True, 100.0, 3.0, 30.0)])
            said = said if one is None else one
    return said


def test_a_run_says_as_much_as_the_runs_before_it_agreed() -> None:
    """The same low run is less of a loss where runs have differed by themselves."""
    assert last_run(*[1.0] * 8, 0.7) == pytest.approx(0.7)
    assert last_run(*[1.2, 0.8] * 4, 0.7) > 0.8


def test_a_run_that_is_over_in_seconds_says_nothing() -> None:
    """One reading more or less of a strong pump would be half of what ran in meanwhile; the rests still tell."""
    press = Press(pumped=True, pump=6.0, misread=(1.2, 0.8, 1.0))
    shares = [one for one in told(Bursts(), press.run(240)) if one is not None]
    assert min(shares[40:]) == pytest.approx(1.0, abs=0.05)
    assert len(shares) > 100


def test_fruit_that_runs_out_says_nothing_of_its_juice() -> None:
    """The pump rests longer for want of fruit, and nobody knows to the second since when."""
    press, bursts = Press(pumped=True), Bursts()
    told(bursts, press.run(121))
    assert all(one is None or one > 0.9 for one in told(bursts, press.run(10, fruit=0.4 * FED, share=0.5)))


def test_a_rest_that_lasts_tells_the_most_it_can_have_been() -> None:
    """A pump that does not start says less with every bin."""
    press, bursts = Press(pumped=True), Bursts()
    told(bursts, press.run(120))
    shares = [one for one in told(bursts, press.run(20, share=0.0)) if one is not None]
    assert shares == sorted(shares, reverse=True)
    assert shares[-1] < 0.3


def test_a_break_in_the_fruit_says_nothing() -> None:
    """Stretches that began before fruit came again are left out."""
    press, bursts = Press(pumped=True), Bursts()
    told(bursts, press.run(120))
    assert told(bursts, press.run(2), since=120) == [None, None]
