"""A sensor that is heard but tells nothing is doubted by name, and sends nobody to a machine."""

from collections.abc import Callable

import pytest

from press_stories import RATED, START, YIELD, Story, Told, params, play
from tumpline.pressing.events import Event, ReadingRefused, ReadingTaken

AT = START + 910.0
"""Fifteen minutes after the fruit began."""


def pressing() -> Story:
    """Half an hour of pressing."""
    return Story().start().idle(10).run(1800)


def telling(signal: str, say: Callable[[ReadingTaken], Event | None], *, lasts: float = 120.0) -> list[Event]:
    """That half hour with one signal saying something else from `AT` on; None where it says nothing."""
    events: list[Event] = []
    for event in pressing().events:
        if isinstance(event, ReadingTaken) and event.signal == signal and AT <= event.at < AT + lasts:
            said = say(event)
            if said is not None:
                events.append(said)
        else:
            events.append(event)
    return events


def the_same(value: float) -> Callable[[ReadingTaken], Event]:
    """A reading that is always this one, SI."""
    return lambda event: ReadingTaken(event.signal, event.at, value, event.arrived)


def doubts(told: Told) -> list[tuple[bool, str]]:
    """What was told of `signal-lost`: whether it stands, and why."""
    return [(alarm.active, alarm.cause) for alarm in told.alarms("signal-lost")]


@pytest.mark.parametrize(
    ("signal", "value"), [("mill/throughput", RATED), ("juice/flow", YIELD * RATED), ("flume/flow", 0.0227)]
)
def test_a_frozen_signal_is_doubted_and_nothing_else_is_raised(signal: str, value: float) -> None:
    """A reading that stands still while the others move is named within a minute, and believed again when it moves."""
    told = play(telling(signal, the_same(value)))
    (raised, why), (still, _) = doubts(told)
    assert (raised, still) == (True, False)
    assert why.startswith(f"{signal} has not changed for ") and "probably frozen" in why
    raised_at = told.alarms("signal-lost")[0].raised
    assert raised_at is not None and AT + 25.0 < raised_at < AT + 60.0
    assert told.raised == ["signal-lost"]


def test_a_meter_at_the_end_of_its_range_is_doubted() -> None:
    """A juice meter that shows all it can show is not taken for that much juice."""
    meter = params().signal("juice/flow")
    assert meter is not None
    told = play(telling("juice/flow", the_same(meter.high)))
    assert doubts(told)[0][1].startswith("juice/flow has stood at the end of its range for ")


def test_refused_readings_are_told_from_silence() -> None:
    """A transmitter that signals its failure is not only not heard: what it sends is refused, and that is said."""

    def fails(event: ReadingTaken) -> Event:
        return ReadingRefused(event.signal, event.arrived, "3.5 mA is the sensor failure signal of NAMUR NE 43.")

    told = play(telling("press/pressure", fails))
    assert any("The readings of press/pressure are refused" in why for _, why in doubts(told))


def test_a_gateway_that_repeats_itself_is_found_out() -> None:
    """When every signal stands still to its last digit while fruit is said to go in, that is said."""
    events: list[Event] = []
    last: dict[str, float] = {}
    for event in pressing().events:
        if isinstance(event, ReadingTaken) and AT <= event.at < AT + 120.0:
            events.append(ReadingTaken(event.signal, event.at, last[event.signal], event.arrived))
            continue
        if isinstance(event, ReadingTaken):
            last[event.signal] = event.value
        events.append(event)
    told = play(events)
    assert any("what passes them on has probably stopped and repeats itself" in why for _, why in doubts(told))
