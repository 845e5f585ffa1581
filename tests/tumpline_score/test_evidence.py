"""When low juice first shows."""

import pytest

from score_shifts import fault, truth
from tumpline_score.evidence import first_shown
from tumpline_sim import Options

LOSS = truth(faults=[fault("juice-low", 1200.0, 1500.0)])


def options(*, sump: bool = False, faults: str = "juice-low@20") -> Options:
    """Half an hour, with juice lost from the twentieth minute."""
    return Options(seed=3, hours=0.6, tidy=True, sump=sump, faults=faults)


@pytest.mark.parametrize(("sump", "latest"), [(False, 25.0), (True, 150.0)])
def test_a_loss_shows_when_a_reading_is_other_than_without_it(sump: bool, latest: float) -> None:
    """Within seconds where the juice runs by, and behind a sump not before its pump starts or stops otherwise."""
    shown = first_shown(options(sump=sump), LOSS)
    assert shown is not None
    assert 1200.0 < shown <= 1200.0 + latest


def test_without_a_loss_nothing_shows() -> None:
    """Other faults are not asked about."""
    assert first_shown(options(faults="stone@20"), truth(faults=[fault("stone", 1200.0, 1201.0)])) is None
    assert first_shown(options(faults="none"), truth()) is None
