"""Nothing heard is not nothing there: a silent signal is told, counted, and never read as zero."""

import pytest
from msgspec import structs

from press_stories import YIELD, Story, inside, known, load, params, play
from tumpline.pressing.entries import Vat
from tumpline.pressing.events import Event, ReadingRefused, ReadingTaken
from tumpline.pressing.records import Condition, Unknown


def pressing() -> Story:
    """Ten minutes of pressing."""
    return Story().start().idle(10).run(600)


def test_a_silent_signal_is_an_alarm_with_its_name() -> None:
    """Some seconds after the juice meter fell silent `signal-lost` names it, and clears when it is heard again."""
    told = play(pressing().run(60, silent=["juice/flow"]).run(60).events)
    raised, cleared = told.alarms("signal-lost")
    assert "juice/flow" in raised.cause
    assert not cleared.active


def test_a_signal_whose_own_clock_is_behind_is_not_lost() -> None:
    """Readings that come every second are heard, though each says it was taken twelve seconds ago; silence is told."""

    def behind(story: Story) -> list[Event]:
        return [
            structs.replace(e, at=e.at - 12.0) if isinstance(e, ReadingTaken) and e.signal == "press/pressure" else e
            for e in story.events
        ]

    assert play(behind(pressing()), finish=False).raised == []
    assert play(behind(pressing().run(30, silent=["press/pressure"])), finish=False).raised == ["signal-lost"]


def test_a_line_nobody_hears_is_unknown_and_not_stopped() -> None:
    """With the mill's throughput silent the condition is unknown, and says from what."""
    story = pressing().run(60, silent=["mill/throughput"])
    told = play(story.events, finish=False)
    live = told.line.live(story.now)
    assert live.condition is Condition.UNKNOWN
    assert "not heard" in live.why
    assert isinstance(live.recent_yield, Unknown)


def test_time_alone_is_enough_to_notice_that_everything_fell_silent() -> None:
    """With no message at all, passing time raises the alarm and makes the condition unknown."""
    story = pressing().wait(30)
    told = play(story.events, finish=False)
    (lost,) = told.alarms("signal-lost")
    for name in ("flume/flow", "mill/throughput", "press/pressure", "juice/flow"):
        assert name in lost.cause
    assert told.line.live(story.now).condition is Condition.UNKNOWN
    assert told.conditions[-1] == "unknown"


def test_a_minute_without_the_juice_meter_widens_the_interval_and_keeps_the_truth() -> None:
    """Missing juice is filled by what came before and after, and the interval says so."""
    whole = pressing().run(600).idle(400).end()
    broken = pressing().run(60, silent=["juice/flow"]).run(540).idle(400).end()
    told, full = play(broken.events).summary, play(whole.events).summary
    assert inside(sum(broken.pressed.values()), told.juice)
    assert known(told.juice).u > known(full.juice).u
    juice = next(s for s in told.signals if s.name == "juice/flow")
    assert 40.0 <= juice.missing <= 61.0
    assert 59.0 <= juice.longest_gap <= 62.0


def test_half_an_hour_without_the_juice_meter_is_worth_little_and_says_so() -> None:
    """The juice of a meter that is not waited for any longer may be nothing, or twice what it gave last."""
    story = pressing().run(1800, juice=0.6, silent=["juice/flow"]).run(300, juice=0.6).idle(400).end()
    summary = play(story.events).summary
    assert inside(sum(story.pressed.values()), summary.juice)
    value, low, high = known(summary.juice).figure()
    assert high - low > 0.3 * value


@pytest.mark.parametrize("meter", ["juice/flow", "mill/throughput"])
def test_a_meter_that_never_spoke_leaves_unknown_and_not_zero(meter: str) -> None:
    """What it would have measured, the yields and the dryness are unknown, and the reason names the meter."""
    story = Story().start().write(load("41", 600.0)).put_on("41").write(Vat("A")).idle(20).run(600).idle(60)
    summary = play(e for e in story.events if not (isinstance(e, ReadingTaken) and e.signal == meter)).summary
    own = summary.juice if meter == "juice/flow" else summary.fruit
    other = summary.fruit if meter == "juice/flow" else summary.juice
    assert known(other).value > 0.0
    for figure in (own, summary.extraction, summary.mass_yield, summary.pomace_dry_matter):
        assert isinstance(figure, Unknown)
        assert meter in figure.why
    assert summary.balance.statistic is None
    if meter == "juice/flow":
        assert isinstance(summary.loads[0].juice, Unknown)
        assert all(isinstance(v.juice, Unknown) for v in summary.vats)


def test_readings_refused_or_of_no_fitted_signal_change_nothing_but_the_counts() -> None:
    """A refused reading is counted under its signal; one of an unknown signal is nobody's."""
    story = pressing()
    story.events.append(ReadingRefused("juice/flow", story.now, "The value is not a number; a finite one would do."))
    story.events.append(ReadingTaken("cellar/temperature", story.now, 12.0, story.now))
    told = play(story.idle(400).end().events, params())
    juice = next(s for s in told.summary.signals if s.name == "juice/flow")
    assert juice.refused == 1
    assert juice.received == juice.used + 1
    assert inside(YIELD, told.summary.extraction)


def test_a_clock_that_runs_ahead_does_not_drag_the_line_along() -> None:
    """One sensor whose clock is an hour fast does not make all the others late."""
    story = pressing()
    story.events.append(ReadingTaken("press/pressure", story.now + 3600.0, 1.4e5, story.now))
    told = play(story.run(300).idle(400).end().events)
    assert inside(sum(story.pressed.values()), told.summary.juice)
    assert next(s for s in told.summary.signals if s.name == "juice/flow").late == 0
