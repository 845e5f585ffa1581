"""Juice often comes through a sump that a float switch empties: the meter reads nothing, then twice the flow."""

import pytest

from press_stories import Story, inside, load, play
from tumpline.pressing.events import Event, ReadingTaken
from tumpline.pressing.records import Condition

PUMP = 0.0016  # m³/s
HIGH, LOW = 0.045, 0.005  # m³ in the sump at which the pump starts and stops


def through_a_sump(events: list[Event]) -> list[Event]:
    """The same shift with the juice meter behind a sump, which is emptied by hand at the end."""
    level, pumping = 0.0, False
    told: list[Event] = []
    last = max(e.at for e in events if isinstance(e, ReadingTaken))
    for event in events:
        if isinstance(event, ReadingTaken) and event.signal == "juice/flow":
            level += event.value
            pumping = level > (LOW if pumping else HIGH) or event.at > last - 120.0
            pumped = min(PUMP * (1.0 + 0.003 * (event.at % 3.0 - 1.0)), level) if pumping else 0.0
            level -= pumped
            told.append(ReadingTaken(event.signal, event.at, pumped, event.arrived))
        else:
            told.append(event)
    return told


def shift() -> Story:
    """Half an hour of one load, milled to its weight."""
    return Story().start().write(load("41", 1800 * 4.0 / 3.6)).put_on("41").idle(20).run(1800).idle(500)


def test_the_figures_are_those_of_the_fruit() -> None:
    """Fruit, juice and yield lie in their intervals, as with a steady flow."""
    story = shift()
    summary = play(through_a_sump(story.events)).summary
    assert inside(sum(story.milled.values()), summary.fruit)
    assert inside(sum(story.pressed.values()), summary.juice)
    assert inside(0.7e-3, summary.extraction)


def test_the_line_presses_between_two_bursts() -> None:
    """A pump that waits for its float is no line that fills: one spell of pressing, and nothing raised."""
    told = play(through_a_sump(shift().events))
    assert told.raised == []
    assert told.conditions.count("pressing") == 1
    assert told.summary.time[Condition.PRESSING] == pytest.approx(1800.0 - 90.0, abs=60.0)


def test_juice_that_stays_away_for_minutes_is_not_pressing() -> None:
    """With fruit going in and no juice at all the line is not said to press for ever, and the loss stays told."""
    told = play(Story().start().idle(10).run(900).run(900, juice=0.0).events)
    assert told.conditions[-1] == "filling"
    assert [a.active for a in told.alarms("juice-low")] == [True]
