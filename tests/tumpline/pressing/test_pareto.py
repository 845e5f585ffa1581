"""Stops ranked by what they have in common."""

from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing.pareto import Lost, Rank, pareto

_STOPS = st.lists(
    st.builds(
        Lost,
        st.sampled_from(["cloth", "no fruit", "break", None]),
        st.floats(1.0, 1e4),
        st.none() | st.floats(0.0, 1e3),
    ),
    max_size=30,
)


def test_the_longest_together_comes_first() -> None:
    """Two short stops for cloth are more than one long break; their shares add up as one goes down the list."""
    found = pareto([Lost("break", 900.0, 0.0), Lost("cloth", 600.0, 400.0), Lost("cloth", 500.0, 300.0)])
    assert found == [
        Rank("cloth", 2, 1100.0, 0.55, 0.55, 700.0),
        Rank("break", 1, 900.0, 0.45, 1.0, 0.0),
    ]


def test_what_nobody_gave_a_reason_for_is_not_left_out() -> None:
    """It has no name, comes after a named one of the same length, and its fruit is unknown where one's is."""
    found = pareto([Lost(None, 60.0, None), Lost("other", 120.0, 5.0), Lost(None, 60.0, 40.0)])
    assert [(rank.name, rank.fruit) for rank in found] == [("other", 5.0), (None, None)]


def test_no_stop_is_no_list() -> None:
    """A shift without stops has nothing to rank."""
    assert pareto([]) == []


@given(_STOPS)
def test_every_stop_is_ranked_once_and_nothing_is_lost(stops: list[Lost]) -> None:
    """Counts and seconds add up to the whole, and the last cumulative share is one."""
    found = pareto(stops)
    assert sum(rank.stops for rank in found) == len(stops)
    assert abs(sum(rank.seconds for rank in found) - sum(stop.seconds for stop in stops)) < 1e-6
    assert [rank.seconds for rank in found] == sorted((rank.seconds for rank in found), reverse=True)
    assert not found or abs(found[-1].cumulative - 1.0) < 1e-9
