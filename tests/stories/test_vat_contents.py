"""How much is in a vat: what somebody said, and what came after that was said."""

import pytest

from press_stories import RATED, YIELD, Story, known, play
from tumpline.pressing.entries import Vat

POURED = 600 * RATED * YIELD
"""m³ of juice of ten minutes of pressing."""


def test_a_dip_during_the_shift_replaces_what_was_reckoned() -> None:
    """Dipped at 900 L after the vat had been filled and left: only what comes after the dip is added."""
    story = Story().start().write(Vat("A", capacity_l=6000.0, contents_l=100.0)).idle(10).run(600).idle(300)
    story.write(Vat("B")).write(Vat("A", contents_l=900.0)).run(600).idle(300).end()
    (vat,) = [v for v in play(story.events).summary.vats if v.vat == "A"]
    assert vat.contents == pytest.approx(0.9 + POURED, abs=0.002)
    assert known(vat.juice).value == pytest.approx(2.0 * POURED, abs=0.002)
    assert vat.capacity == 6.0


def test_a_vat_goes_on_filling_over_a_change_of_shift() -> None:
    """Its contents at the end of the early shift are where the late one begins."""
    story = Story().start("early").write(Vat("A", contents_l=100.0)).idle(10).run(600).idle(300)
    early, late = play(story.start("late").run(600).idle(300).end().events).summaries
    assert early.vats[0].contents == pytest.approx(0.1 + POURED, abs=0.002)
    assert late.vats[0].contents == pytest.approx(0.1 + 2.0 * POURED, abs=0.002)
    assert known(late.vats[0].juice).value == pytest.approx(POURED, abs=0.002)
