"""Somebody puts a load on in the book minutes after its fruit came: the weights show it, and the figures say so."""

from __future__ import annotations

import pytest

from press_stories import RATED, Story, Told, inside, known, load, params, play
from tumpline.pressing.entries import Correct, LoadOn
from tumpline.pressing.line import PressLine

_MINUTES = 15
_LATE = 240


def shift(*, late: int, corrected: bool = False) -> Story:
    """Two weighed loads of a quarter of an hour with a minute between them; the second one's entry comes `late`, s."""
    story, net = Story().start(), RATED * 60.0 * _MINUTES
    story.write(load("41", net)).write(load("42", net, grower="Long Acre"))
    story.put_on("41").idle(20).run(60 * _MINUTES).idle(60).put_on("42", typed_late=True)
    put_on = story.now
    if late <= 20:
        story.idle(late).write(LoadOn("42")).idle(20 - late).run(60 * _MINUTES)
    else:
        story.idle(20).run(late - 20).write(LoadOn("42")).run(60 * _MINUTES - late + 20)
    if corrected:
        entry = next(e.id for e in reversed(story.events) if getattr(e, "entry", None) == LoadOn("42"))
        story.write(Correct(entry, {"at": put_on}))
    return story.idle(400).end()


def width(told: Told) -> float:
    """The width of the first load's interval as a share of what was milled."""
    figure = known(told.summary.loads[0].milled).figure()
    return (figure.high - figure.low) / figure.value


def test_fruit_counted_by_the_weights_is_the_right_load_s_and_is_said() -> None:
    """Four minutes late: each load keeps its own fruit and juice, with an interval that reaches the entry."""
    story = shift(late=_LATE)
    told = play(story.events)
    assert told.summary.notes == (
        "By the weights, load 42 came to the mill 4 min before its entry: it counts from there.",
    )
    for record in told.summary.loads:
        assert known(record.milled).value == pytest.approx(story.milled[record.load], rel=0.01)
        assert inside(story.pressed[record.load], record.juice)
    assert width(told) > 0.2


def test_an_entry_in_time_leaves_nothing_to_say() -> None:
    """The same loads, put on as their fruit is tipped: no word, and the meter's own interval."""
    told = play(shift(late=0).events)
    assert told.summary.notes == ()
    assert width(told) < 0.05


def test_an_entry_put_right_later_is_as_if_it_had_been_made_in_time() -> None:
    """Once its time is corrected the weights have nothing to add."""
    in_time, corrected = (play(shift(late=late, corrected=late > 0).events).summary for late in (0, _LATE))
    assert corrected.notes == ()
    assert corrected.loads == in_time.loads


def test_a_line_restored_anywhere_tells_the_same() -> None:
    """Before the late entry, right after it, and at the end: a snapshot changes no figure."""
    story = shift(late=_LATE)
    whole = play(story.events).summary
    written = next(n for n, e in enumerate(story.events) if getattr(e, "entry", None) == LoadOn("42"))
    for cut in (written - 700, written + 1, written + 600, len(story.events) - 300):
        before = play(story.events[:cut], finish=False)
        again = PressLine.restore(params(), before.line.snapshot())
        effects = [effect for event in story.events[cut:] for effect in again.handle(event)]
        assert Told(again, before.effects + effects + again.finish()).summary == whole


def test_the_live_view_has_the_figures_of_the_summary() -> None:
    """When all is milled and pressed, what the page shows of the load is what the summary says of it."""
    story = shift(late=_LATE)
    told = play(story.events[:-400], finish=False)
    live = told.line.live(told.line.next_deadline() or 0.0).load
    assert live is not None
    (last,) = (record for record in play(story.events).summary.loads if record.load == live.load)
    now, summed = known(live.milled).figure(), known(last.milled).figure()
    assert tuple(now) == pytest.approx(tuple(summed), rel=1e-6)
