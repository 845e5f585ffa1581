"""The mill stops taking fruit, or fruit stops coming: the program says which, and why it thinks so."""

from press_stories import IDLE_CURRENT, RATED, Story, Told, load, params, play
from tumpline.pressing.entries import Acknowledge, Reason
from tumpline.pressing.events import Event, ReadingRefused, TimePassed
from tumpline.pressing.records import AlarmState, Condition

HIGH_CURRENT = 42.0  # A, a mill that turns against a plug


def pressing(*, current: bool = True, net: float = 9800.0) -> Story:
    """Twelve minutes of pressing from a load with tonnes still to come."""
    return Story(current=current).start().write(load("41", net)).put_on("41").idle(20).run(720)


def listen(story: Story) -> Told:
    """The story as a line with or without a current meter hears it."""
    events: list[Event] = story.events
    return play(events, params(current=story.current))


def test_a_blocked_mill_is_noticed_within_six_seconds() -> None:
    """Fruit stops, the current rises, water still runs: `mill-blocked`, with its cause and its caution."""
    story = pressing()
    collapsed = story.now
    told = listen(story.run(20, fruit=0.0, current=HIGH_CURRENT))
    (alarm,) = told.alarms("mill-blocked")
    assert alarm.raised is not None
    assert 0.0 <= alarm.raised - collapsed <= 6.0
    assert alarm.state is AlarmState.UNACKNOWLEDGED
    assert "current was high" in alarm.cause
    assert alarm.caution is not None
    assert "isolate" in alarm.caution
    assert "stored air" in alarm.caution


def test_a_blocked_mill_is_acknowledged_and_clears_when_fruit_flows_again() -> None:
    """The alarm goes from unacknowledged over acknowledged to normal, and is one occurrence in the summary."""
    story = pressing().run(60, fruit=0.0, current=HIGH_CURRENT).write(Acknowledge("mill-blocked"), by="Isla")
    told = listen(story.run(120, fruit=0.0, current=0.0).run(300).idle(200).end())
    assert [a.state for a in told.alarms("mill-blocked")] == [
        AlarmState.UNACKNOWLEDGED,
        AlarmState.ACKNOWLEDGED,
        AlarmState.NORMAL,
    ]
    (alarm,) = [a for a in told.summary.alarms if a.name == "mill-blocked"]
    assert alarm.by == "Isla"
    assert alarm.cleared is not None
    assert told.summary.alarm_load.count == len(told.summary.alarms)


def test_a_blockage_is_a_stop_with_a_reason() -> None:
    """The stop begins with the collapse, lasts until fruit flows again, and keeps the reason people gave."""
    story = pressing(net=1020 * RATED)
    collapsed = story.now
    story.run(240, fruit=0.0, current=HIGH_CURRENT)
    back = story.now
    (began,) = listen(story).events("stop.began")
    story.write(Reason(str(began.data["stop"]), "mill", "a stone in it")).run(300).idle(200).end()
    (stop,) = listen(story).summary.stops
    assert stop.condition is Condition.BLOCKED
    assert abs(stop.start - collapsed) <= 2.0
    assert stop.end is not None
    assert abs(stop.end - back) <= 10.0
    assert (stop.reason, stop.note, stop.by) == ("mill", "a stone in it", "Ned")


def test_a_reason_for_a_stop_that_never_was_is_refused() -> None:
    """Whoever mistypes a stop's id is told so."""
    told = listen(pressing().write(Reason("stop-1", "mill")))
    (refused,) = told.events("entry.refused")
    assert "stop-1" in str(refused.data["reason"])


def test_without_a_current_meter_the_sentence_says_it_is_less_sure() -> None:
    """The collapse alone raises the alarm, and the cause says what is missing."""
    story = pressing(current=False)
    collapsed = story.now
    (alarm,) = listen(story.run(30, fruit=0.0)).alarms("mill-blocked")
    assert alarm.raised is not None
    assert alarm.raised - collapsed <= 6.0
    assert "less sure" in alarm.cause
    assert "not finished by its weight" in alarm.cause


def test_a_mill_that_trips_is_told_from_one_that_turns_idle() -> None:
    """Current gone while water runs is a tripped mill: an alarm of the mill, not of the fruit."""
    told = listen(pressing().run(40, fruit=0.0, current=0.0))
    assert told.raised == ["mill-blocked"]
    assert "tripped" in told.alarms("mill-blocked")[0].cause


def test_a_planned_gap_between_two_loads_raises_nothing() -> None:
    """A load milled to its weight has run out: with or without a current meter nobody is called."""
    for current in (True, False):
        story = pressing(current=current, net=720 * RATED).write(load("42", 9800.0, grower="Long Acre"))
        story.idle(240).put_on("42").idle(20).run(300)
        assert listen(story).raised == []


def test_the_last_load_of_the_day_leaves_no_alarm_behind() -> None:
    """With the load milled to its weight and none put on after it, an idle mill is no news, however long it lasts."""
    told = listen(pressing(net=720 * RATED).idle(1200))
    assert told.raised == []


def test_a_load_put_on_that_never_comes_starves_the_mill() -> None:
    """Minutes after the next load was put on there is still no fruit: somebody should know."""
    story = pressing(net=720 * RATED).idle(60).write(load("42", 9800.0)).put_on("42").idle(420)
    told = listen(story)
    assert told.raised == ["fruit-starved"]
    assert "another load was put on" in told.alarms("fruit-starved")[0].cause


def test_a_starved_mill_is_not_called_blocked() -> None:
    """Fruit stops, the mill turns idle, tonnes of the load are still to come: `fruit-starved` alone."""
    told = listen(pressing().run(60, fruit=0.0, current=IDLE_CURRENT))
    assert told.raised == ["fruit-starved"]
    assert "idle" in told.alarms("fruit-starved")[0].cause
    assert told.conditions[-1] == "starved"


def test_fruit_that_stays_behind_with_the_water_is_said_to() -> None:
    """When the flume's water has fallen too, the sentence says that nothing carries the fruit."""
    told = listen(pressing().run(60, fruit=0.0, current=IDLE_CURRENT, water=0.006))
    assert told.raised == ["flume-low", "fruit-starved"]
    assert "water is low" in told.alarms("fruit-starved")[0].cause


def test_fruit_that_dwindles_is_not_called_a_blockage() -> None:
    """A blocked mill stops within seconds; fruit that thins out over a minute is not the mill's doing."""
    story = pressing(current=False)
    for tenths in range(9, -1, -1):
        story.run(6, fruit=RATED * tenths / 10.0)
    assert "mill-blocked" not in listen(story.run(60, fruit=0.0)).raised


def test_a_mill_whose_current_follows_its_fruit_late_is_not_called_blocked() -> None:
    """The belt weighs fruit some seconds before the mill has it: the idle current of those seconds is not the usual."""
    story = Story().start().write(load("41", 9800.0)).put_on("41").idle(25).run(4, current=IDLE_CURRENT).run(600)
    assert listen(story.idle(60)).raised == ["fruit-starved"]


def test_harder_fruit_that_draws_more_current_becomes_the_usual() -> None:
    """Half as much current again for ten minutes, with the fruit going in as ever, is no sign of a blockage later."""
    assert listen(pressing().run(600, current=27.0).run(60, fruit=0.0, current=IDLE_CURRENT)).raised == [
        "fruit-starved"
    ]


def test_an_acknowledgement_written_before_the_alarm_was_raised_is_not_about_it() -> None:
    """Somebody saw the last alarm; this one still waits to be seen."""
    story = pressing()
    before = story.now
    story.run(30, fruit=0.0, current=HIGH_CURRENT).write(Acknowledge("mill-blocked"), at=before, by="Isla")
    (alarm,) = listen(story).alarms("mill-blocked")
    assert alarm.state is AlarmState.UNACKNOWLEDGED


def test_a_current_that_its_meter_cannot_read_is_a_high_one() -> None:
    """The readings are refused and counted, and still show that the mill is blocked."""
    story = pressing()
    collapsed = story.now
    story.run(6, fruit=0.0, silent=["mill/current"])
    for second in range(6):
        at = collapsed + second
        story.events.append(ReadingRefused("mill/current", at, "107 A is outside the physical range.", "high"))
    story.events.sort(key=lambda event: event.at if isinstance(event, TimePassed) else event.arrived)
    (alarm,) = listen(story.run(20, fruit=0.0, current=0.0)).alarms("mill-blocked")
    assert "current was high" in alarm.cause
    assert alarm.raised is not None
    assert alarm.raised - collapsed <= 6.0


def test_people_who_stop_the_line_for_a_break_call_nobody() -> None:
    """Water, fruit and mill in turn, half an hour of nothing, and up again, with a current meter or without."""
    for current in (True, False):
        story = pressing(current=current)
        story.run(12, fruit=0.3 * RATED, water=0.0).run(60, fruit=0.0, water=0.0, current=IDLE_CURRENT)
        story.run(1800, fruit=0.0, water=0.0, current=0.0).run(20, fruit=0.0, current=IDLE_CURRENT).run(900)
        assert listen(story).raised == []
