"""The figures follow from what was measured and when, not from how the messages travelled."""

import random

import msgspec
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from press_stories import RATED, START, Story, known, load, params, play
from tumpline.pressing.entries import LoadOn
from tumpline.pressing.events import EntryMade, Event, ReadingTaken
from tumpline.pressing.records import Condition, Summary

small = settings(max_examples=20, derandomize=True, deadline=None)


def shift() -> Story:
    """Seven minutes of pressing with a change of load, and the press run empty."""
    story = Story().start().write(load("41", 272.0)).write(load("42", 150.0)).put_on("41").idle(25)
    return story.run(225).put_on("42").run(170, fruit=0.9 * RATED).idle(300)


WHOLE = shift()
IN_ORDER = play(WHOLE.events).summary


def figures(summary: Summary) -> Summary:
    """A summary without what depends on the second in which something was noticed."""
    return msgspec.structs.replace(summary, time={}, signals=(), availability=None, effectiveness=None)


def delayed(events: list[Event], rng: random.Random, most: float) -> list[Event]:
    """Every reading travels for up to `most` seconds; what people wrote arrives at once."""
    arrivals = []
    for i, event in enumerate(events):
        assert isinstance(event, ReadingTaken | EntryMade)
        arrivals.append((event.at + (rng.random() * most if isinstance(event, ReadingTaken) else 0.0), i))
    return [events[i] for _, i in sorted(arrivals)]


@small
@given(seed=st.integers(0, 10_000), most=st.floats(0.5, 4.5))
def test_any_order_of_arrival_inside_the_lateness_settles_to_the_same_figures(seed: int, most: float) -> None:
    """Fruit, juice, yields, loads and balance are the same to the last digit."""
    told = play(delayed(WHOLE.events, random.Random(seed), most)).summary
    assert figures(told) == figures(IN_ORDER)
    for ours, theirs in zip(told.signals, IN_ORDER.signals, strict=True):
        assert (ours.received, ours.used, ours.late) == (theirs.received, theirs.used, 0)


def test_a_reading_sent_twice_is_counted_and_changes_nothing() -> None:
    """Every third reading comes again: the figures are those without, the duplicates are counted."""
    events: list[Event] = []
    for i, event in enumerate(WHOLE.events):
        events += [event, event] if i % 3 == 0 else [event]
    told = play(events).summary
    assert figures(told) == figures(IN_ORDER)
    doubles = sum(isinstance(e, ReadingTaken) for e in WHOLE.events[::3])
    assert sum(s.duplicate for s in told.signals) == doubles


def test_a_reading_later_than_allowed_is_kept_and_counted_but_not_used() -> None:
    """Twenty seconds late is stored and marked; the figures stay those without it."""
    late = ReadingTaken("mill/throughput", START + 100.5, 2.0, START + 300.0)
    place = next(i for i, e in enumerate(WHOLE.events) if isinstance(e, ReadingTaken) and e.at >= START + 300.0)
    told = play([*WHOLE.events[:place], late, *WHOLE.events[place:]])
    assert figures(told.summary) == figures(IN_ORDER)
    mill = next(s for s in told.summary.signals if s.name == "mill/throughput")
    assert mill.late == 1
    assert [k.quality.name for k in told.kept if k.at == late.at] == ["LATE"]


def test_a_change_of_load_typed_late_gives_the_same_figures() -> None:
    """Four minutes after the fact, with its own time, is as good as at once."""
    story = Story().start().write(load("41", 272.0)).write(load("42", 150.0)).put_on("41").idle(25).run(225)
    changed = story.now
    story.put_on("42", typed_late=True).run(170, fruit=0.9 * RATED).idle(70).write(LoadOn("42"), at=changed).idle(230)
    assert figures(play(story.events).summary) == figures(IN_ORDER)


EVERYTHING = shift().run(90, fruit=0.0, current=0.0, silent=["flume/flow"]).run(60).run(60, juice=0.4).end()
SAID = play(EVERYTHING.events).effects


@small
@given(place=st.integers(0, len(EVERYTHING.events)))
def test_a_line_put_away_and_taken_out_again_says_nothing_else(place: int) -> None:
    """A restart at any moment changes none of the later effects."""
    before = play(EVERYTHING.events[:place], finish=False)
    again = before.line.restore(params(), before.line.snapshot())
    after = [effect for event in EVERYTHING.events[place:] for effect in again.handle(event)]
    assert before.effects + after + again.finish() == SAID


@small
@given(factor=st.floats(0.25, 8.0))
def test_a_line_of_another_size_has_the_same_yield(factor: float) -> None:
    """Masses and volumes scale with the line; yield, dryness and the time spent pressing do not."""
    flows = ("mill/throughput", "juice/flow", "flume/flow")
    events: list[Event] = [
        ReadingTaken(e.signal, e.at, e.value * factor, e.arrived)
        if isinstance(e, ReadingTaken) and e.signal in flows
        else e
        for e in WHOLE.events
    ]
    meters = (msgspec.structs.replace(m, high=m.high * factor) if m.name in flows else m for m in params().signals)
    size = msgspec.structs.replace(params(), rated_throughput=RATED * factor, signals=tuple(meters))
    told = play(events, size).summary
    for ours, theirs, scale in (
        (told.fruit, IN_ORDER.fruit, factor),
        (told.juice, IN_ORDER.juice, factor),
        (told.pomace, IN_ORDER.pomace, factor),
        (told.flume_water, IN_ORDER.flume_water, factor),
        (told.extraction, IN_ORDER.extraction, 1.0),
        (told.pomace_dry_matter, IN_ORDER.pomace_dry_matter, 1.0),
    ):
        assert known(ours).figure() == pytest.approx([scale * x for x in known(theirs).figure()], rel=1e-6)
    assert told.time[Condition.PRESSING] == IN_ORDER.time[Condition.PRESSING]
