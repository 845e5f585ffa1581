"""Shifts that nobody named, shifts without fruit, and shifts that follow each other."""

import pytest

from press_stories import RATED, START, YIELD, Story, inside, known, load, play
from tumpline.pressing.entries import Note, ShiftEnd, ShiftStart
from tumpline.pressing.records import Condition, Unknown


def test_without_a_shift_start_the_shift_lasts_from_first_fruit_to_last_juice() -> None:
    """Ten minutes before the fruit and half an hour after the juice are no part of it, nor is a meter's own zero."""
    story = Story().run(600, fruit=0.004 * RATED).run(900).idle(1800)
    summary = play(story.events).summary
    assert summary.start == pytest.approx(START + 600.0, abs=5.0)
    assert START + 1500.0 + 45.0 < summary.end < START + 1500.0 + 400.0
    assert inside(sum(story.milled.values()), summary.fruit)
    assert inside(YIELD, summary.extraction)
    assert summary.time[Condition.PRESSING] == pytest.approx(900.0 - 45.0, abs=30.0)


def test_an_hour_without_fruit_and_juice_ends_a_shift_that_nobody_named() -> None:
    """Two spells of pressing with two hours between them are two shifts, with other names."""
    story = Story().idle(60).run(600).idle(7200).run(600).idle(400)
    first, second = play(story.events).summaries
    assert first.shift != second.shift
    assert known(first.fruit).value == pytest.approx(known(second.fruit).value, rel=0.01)


def test_a_shift_without_fruit_has_no_yield() -> None:
    """Nothing milled is a yield that is not known, with its reason; it is neither zero nor infinite."""
    summary = play(Story().start().idle(900).end().events).summary
    assert known(summary.fruit).value == 0.0
    for figure in (summary.extraction, summary.mass_yield, summary.pomace_dry_matter):
        assert isinstance(figure, Unknown)
        assert "no fruit" in figure.why
    assert summary.loads == ()
    assert summary.effectiveness is None


def test_juice_without_fruit_has_no_yield_either() -> None:
    """Wash water through the juice meter is not an infinite yield."""
    story = Story().run(600).start("late").idle(300).end()
    late = play(story.events).summaries[-1]
    assert late.shift == "late"
    assert isinstance(late.mass_yield, Unknown)


def test_a_new_shift_ends_the_one_before_it() -> None:
    """Fruit milled before the change belongs to the early shift, fruit milled after it to the late one."""
    story = Story().start("early").idle(10).run(600).idle(400).start("late").run(300).idle(400).end()
    early, late = play(story.events).summaries
    assert (early.shift, late.shift) == ("early", "late")
    assert early.end == late.start
    assert known(early.fruit).value == pytest.approx(2.0 * known(late.fruit).value, rel=0.01)


def test_a_shift_end_without_a_shift_sums_up_what_there_was() -> None:
    """A crew that forgot to open its shift still gets a summary when it closes it."""
    story = Story().run(600).idle(300).write(ShiftEnd()).idle(30)
    (summary,) = play(story.events, finish=False).summaries
    assert inside(sum(story.milled.values()), summary.fruit)


def test_the_same_entry_twice_counts_once() -> None:
    """A message delivered again, as brokers may, changes nothing."""
    story = Story().start().idle(10).run(300).idle(300)
    story.events.append(story.events[0])
    told = play(story.end().events)
    assert len(told.events("shift.started")) == 1
    assert len(told.summaries) == 1


def test_a_line_that_heard_nothing_has_nothing_to_sum_up() -> None:
    """No reading, no summary, and no moment to wait for."""
    told = play([])
    assert told.effects == []
    assert told.line.next_deadline() is None


def test_a_shift_opened_before_the_first_reading_waits_for_it() -> None:
    """The entry alone starts the shift; its start is the entry's time."""
    story = Story()
    story.write(ShiftStart("early"), at=START - 300.0)
    summary = play(story.run(300).idle(300).end().events).summary
    assert summary.start == START - 300.0


def test_what_was_said_in_a_shift_that_nobody_named_is_not_said_of_the_next() -> None:
    """Notes are of the shift in which they were written."""
    story = Story().idle(60).run(600).write(Note("fog")).idle(7200).run(600).idle(400)
    first, second = play(story.events).summaries
    assert (first.notes, second.notes) == (("fog",), ())


def test_a_load_that_goes_on_over_a_change_of_shift_has_less_left() -> None:
    """Half of it was milled in the early shift: the late one starts with the other half to come."""
    story = Story().start("early").write(load("41", 2.0 * 600 * RATED)).put_on("41").idle(10).run(600).end()
    story.start("late").run(300)
    told = play(story.events, finish=False)
    live = told.line.live(story.now)
    assert live.load_left == pytest.approx(300 * RATED, rel=0.05)
