"""People write down late when a shift began or ended: the fruit is where it was milled, and counted once."""

import pytest

from press_stories import RATED, START, Story, inside, known, play
from tumpline.pressing.entries import ShiftEnd, ShiftStart
from tumpline.pressing.records import Condition


@pytest.mark.parametrize("minutes", [1, 5, 30])
def test_a_change_of_shift_typed_late_moves_the_fruit_and_counts_it_once(minutes: int) -> None:
    """Fruit, time and a blockage after the change belong to the late shift, however late the change was typed."""
    story = Story().start("early").idle(10).run(600)
    changed = story.now
    story.run(60 * minutes).write(ShiftStart("late", ("Isla",)), at=changed).run(300).idle(300).end()
    early, late = play(story.events).summaries
    assert (early.shift, early.end, late.shift, late.start) == ("early", changed, "late", changed)
    assert known(early.fruit).value == pytest.approx(600 * RATED, abs=5.0 * RATED)
    assert known(early.fruit).value + known(late.fruit).value == pytest.approx(sum(story.milled.values()))
    assert inside(600 * RATED, early.fruit)
    for summary in (early, late):
        assert sum(summary.time.values()) == pytest.approx(summary.end - summary.start)
    assert late.time[Condition.PRESSING] == pytest.approx(60.0 * minutes + 300.0, abs=5.0)


def test_a_shift_named_after_its_first_fruit_is_one_shift() -> None:
    """Typed an hour late with the right time, the name is the whole shift's, and no nameless one is left over."""
    story = Story().idle(60).run(3600).write(ShiftStart("early"), at=START).run(300).idle(300).end()
    summary = play(story.events).summary
    assert (summary.shift, summary.start) == ("early", START)
    assert known(summary.fruit).value == pytest.approx(sum(story.milled.values()))


def test_an_end_typed_late_leaves_what_came_after_to_the_next() -> None:
    """The shift ended five minutes ago; what was milled since is another, nameless shift's."""
    story = Story().start("early").idle(10).run(600)
    over = story.now
    story.run(300).write(ShiftEnd(), at=over).run(300).idle(300)
    early, nameless = play(story.events).summaries
    assert early.end == over
    assert inside(600 * RATED, early.fruit)
    assert inside(600 * RATED, nameless.fruit)


def test_alarms_and_stops_stay_with_their_shift() -> None:
    """A blockage after the change is the late shift's, although the early one was still open when it happened."""
    story = Story().start("early").idle(10).run(600)
    changed = story.now
    story.run(120).run(120, fruit=0.0, current=42.0).run(120).write(ShiftStart("late"), at=changed)
    early, late = play(story.run(120).idle(300).end().events).summaries
    assert (early.stops, early.alarms) == ((), ())
    assert [s.condition for s in late.stops] == [Condition.BLOCKED]
    assert [a.name for a in late.alarms] == ["mill-blocked"]
