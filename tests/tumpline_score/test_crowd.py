"""Many shifts at once."""

from score_shifts import draw
from tumpline_score.crowd import score_all


def test_results_do_not_depend_on_the_number_of_processes() -> None:
    """The same shifts in the same order, whether one after the other or two at a time."""
    some = [draw(number=n, seed=n, hours=0.3, faults="stone@9" if n else "none") for n in range(3)]
    assert list(score_all(some, jobs=1)) == list(score_all(some, jobs=2))
