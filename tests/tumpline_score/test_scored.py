"""The score of one shift."""

import pytest

from score_shifts import draw, pressed
from tumpline_score.figures import FIGURES
from tumpline_score.scored import scored


def test_one_shift_is_scored() -> None:
    """Every figure of a real shift is compared, and its blocked mill was found."""
    score = scored(pressed().draw)
    assert {c.figure for c in score.compared} == set(FIGURES) - {"small share of vat"}
    assert [(w.kind, w.found) for w in score.alarms.faults] == [("blocked", True)]
    assert 0.4 < score.hours < 1.0
    assert score.draw == pressed().draw != draw()


def test_a_bug_is_told_with_its_shift() -> None:
    """Whatever goes wrong in the engine, the shift it happened in is named."""
    with pytest.raises(ValueError, match="flood") as told:
        scored(draw(number=17, faults="flood@1"))
    assert "--first 17" in told.value.__notes__[0]
