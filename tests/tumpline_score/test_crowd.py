"""Many shifts at once."""

import pytest

from score_shifts import draw
from tumpline_score.crowd import ShiftFailedError, score_all


def test_results_do_not_depend_on_the_number_of_processes() -> None:
    """The same shifts in the same order, whether one after the other or two at a time."""
    some = [draw(number=n, seed=n, hours=0.3, faults="stone@9" if n else "none") for n in range(3)]
    assert list(score_all(some, jobs=1)) == list(score_all(some, jobs=2))


def test_a_shift_that_fails_is_named() -> None:
    """A process that ends without a score ends the run with the shift's number."""
    broken = [draw(number=3, hours=0.3), draw(number=17, faults="flood@1")]
    with pytest.raises(ShiftFailedError, match=r"shift 17 ended with status 1 .* --first 17 "):
        list(score_all(broken, jobs=2))
