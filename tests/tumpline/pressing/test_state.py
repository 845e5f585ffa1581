"""What a line remembers survives being put away, and nothing else is mistaken for it."""

import msgspec
import pytest

from press_stories import params, plain_shift, play
from tumpline.pressing import state as states
from tumpline.pressing.line import PressLine
from tumpline.pressing.params import Accuracy, Quantity, SignalParams

LEVEL = SignalParams("pulp/level", Quantity.FRACTION, 0.0, 1.0, Accuracy(fixed=0.02))


def used() -> states.State:
    """The state of a line in the middle of a shift."""
    story = plain_shift(minutes=3)
    return states.decode(params(), play(story.events[:1200], finish=False).line.snapshot())


def test_a_state_comes_back_as_it_was() -> None:
    """A line that has just begun, and one in the middle of a shift."""
    for state in (states.fresh(params()), used()):
        assert states.decode(params(), states.encode(state)) == state


@pytest.mark.parametrize(
    "data",
    [
        b"",
        b"not a snapshot",
        msgspec.msgpack.encode({"layout": states.LAYOUT}),
        msgspec.msgpack.encode({"layout": states.LAYOUT, "state": {"signals": [], "alarms": {}}}),
    ],
    ids=["empty", "text", "no state", "another shape"],
)
def test_bytes_that_are_no_snapshot_are_refused(data: bytes) -> None:
    """Whoever restores from them is told, and can replay instead."""
    with pytest.raises(states.SnapshotUnreadable):
        PressLine.restore(params(), data)


def test_a_snapshot_of_another_layout_is_refused_and_named() -> None:
    """It is not guessed at, even where it could be read."""
    whole = msgspec.msgpack.decode(states.encode(states.fresh(params())))
    whole["layout"] = states.LAYOUT + 1
    with pytest.raises(states.SnapshotUnreadable, match=f"layout {states.LAYOUT + 1}"):
        states.decode(params(), msgspec.msgpack.encode(whole))


def test_signals_gained_and_lost_by_the_settings_find_their_place() -> None:
    """A new signal starts unheard, one no longer fitted is gone, the others remember."""
    state = states.decode(params(LEVEL, current=False), states.encode(used()))
    assert "mill/current" not in state.signals
    assert state.signals["pulp/level"].times == []
    assert state.signals["mill/throughput"].counts.received > 100
