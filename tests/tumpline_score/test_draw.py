"""Which shifts are scored."""

from itertools import islice

import pytest

from tumpline_score.draw import LABELS, drawn, draws
from tumpline_sim import shift


def test_a_shift_depends_on_seed_and_number_alone() -> None:
    """Shift 7 is the same whether it is the first drawn or the eighth."""
    (alone,) = islice(draws(3, first=7), 1)
    assert alone == list(islice(draws(3), 8))[7] == drawn(3, 7)
    assert drawn(4, 7) != alone


def test_shifts_differ() -> None:
    """In twenty shifts all kinds of signals, pumps and meters occur, at many rates and lengths."""
    some = list(islice(draws(1), 20))
    assert frozenset().union(*(one.labels for one in some)) == LABELS
    assert len({one.options.rate for one in some}) > 10 and len({one.options.hours for one in some}) == 20


@pytest.mark.parametrize(("conditions", "wrong"), [("normal", {"none"}), ("faults", set())])
def test_conditions(conditions: str, wrong: set[str]) -> None:
    """Normal shifts have no faults, the others all have some."""
    faults = {one.options.faults for one in islice(draws(1, conditions=conditions), 12)}
    assert faults == wrong or "none" not in faults


def test_only_some() -> None:
    """Only shifts that carry every word asked for are drawn, and they keep their numbers."""
    found = list(islice(draws(1, only=frozenset({"sump", "auto"})), 5))
    assert all({"sump", "auto"} <= one.labels and one.options.sump and one.pump == "auto" for one in found)
    assert all(drawn(1, one.number) == one for one in found)


def test_every_list_of_faults_can_be_simulated() -> None:
    """The simulated line takes what is drawn."""
    for one in islice(draws(2, conditions="faults"), 60):
        assert shift(one.options).start == one.options.start.timestamp()
