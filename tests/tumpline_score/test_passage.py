"""What truly passed, and when the line was left in peace."""

import pytest

from score_shifts import fault, truth
from tumpline_score.passage import Passage, Peace


def test_yields_of_the_truth() -> None:
    """The true yield is that of the juice's own fruit; the plain ratio is off while the line fills."""
    passage = Passage(truth())
    assert passage.yield_l_per_t(1000.0, 1605.0) == pytest.approx(700.0)
    assert passage.unaligned_l_per_t(1000.0, 1605.0) == pytest.approx(700.0)
    assert passage.unaligned_l_per_t(300.0, 900.0) == pytest.approx(0.7 * 510.0 / 600.0 * 1000.0)


def test_time_pressed() -> None:
    """An hour of pressing is an hour with fruit milled."""
    assert Passage(truth()).pressed_for(3600.0) == pytest.approx(3900.0, abs=10.0)
    assert Passage(truth()).pressed_for(10_000.0) is None
    assert Passage(truth()).milling_s(0.0, 900.0) == pytest.approx(600.0)


def test_windows_of_a_pump() -> None:
    """Behind a sump a window goes from pump start to pump start, as near to its length as they come."""
    passage = Passage(truth(pump_starts=[400.0, 550.0, 700.0, 850.0, 1000.0, 1150.0]))
    assert passage.pumped_window(1149.0, 430.0) == (550.0, 1000.0)
    assert passage.pumped_window(500.0, 430.0) is None


def test_peace() -> None:
    """Pressing is steady from five minutes after the first fruit, and five after anything that disturbs."""
    assert Peace(truth()).held(600.0, 7500.0)
    assert not Peace(truth()).held(599.0, 1200.0)
    stopped = Peace(truth(faults=[fault("blocked", 2000.0, 2400.0), fault("stone", 5000.0, 5000.5)]))
    assert not stopped.held(1500.0, 2100.0)
    assert not stopped.held(2600.0, 3200.0)
    assert stopped.held(2701.0, 7000.0)


def test_gaps_and_events() -> None:
    """A gap disturbs, except for who looks beyond gaps; hard fruit disturbs only when it comes and goes."""
    gap = Peace(truth(gaps=[[3000.0, 3100.0]]))
    assert not gap.held(2800.0, 3400.0) and gap.held_but_for_gaps(2800.0, 3400.0)
    hard = Peace(truth(events=[fault("hard-fruit", 2000.0, 4000.0), fault("variety", 5000.0, 5000.0)]))
    assert hard.held(2400.0, 3900.0) and not hard.held(2300.0, 3900.0)
    assert hard.held(4600.0, 5600.0)


@pytest.mark.parametrize(
    ("signal", "lasts", "held"), [("juice/flow", 30.0, False), ("juice/flow", 5.0, True), ("mill/current", 30.0, True)]
)
def test_silence(signal: str, lasts: float, held: bool) -> None:
    """A meter that was silent for more than ten seconds disturbs; no other sensor does."""
    silent = {"signal": signal, "at": 3000.0, "until": 3000.0 + lasts}
    assert Peace(truth(dropouts=[silent])).held(2900.0, 3500.0) is held
