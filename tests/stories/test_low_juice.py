"""Less juice than the fruit should give is noticed; less juice because there was less fruit is not."""

from press_stories import RATED, Story, play


def pressing() -> Story:
    """A quarter of an hour in which the line learns what this fruit gives."""
    return Story().start().idle(10).run(900)


def test_juice_thirty_per_cent_low_is_noticed_and_says_what_it_may_be() -> None:
    """`juice-low` within two minutes of the loss, naming possible causes, and with a caution."""
    story = pressing()
    lost = story.now
    (alarm,) = play(story.run(180, juice=0.7).events).alarms("juice-low")
    assert alarm.raised is not None
    assert alarm.raised - lost <= 120.0
    assert alarm.value is not None
    assert abs(alarm.value - 70.0) < 11.0
    assert alarm.unit == "%"
    assert "leak" in alarm.cause
    assert alarm.caution is not None
    assert "lock it off" in alarm.caution


def test_the_alarm_ends_when_the_juice_is_back() -> None:
    """Juice at its usual level again clears the alarm, which waits to be acknowledged."""
    told = play(pressing().run(180, juice=0.7).run(300).events)
    states = [a.state.value for a in told.alarms("juice-low")]
    assert states == ["unacknowledged", "returned-unacknowledged"]


def test_a_gap_in_the_fruit_is_no_loss_of_juice() -> None:
    """A minute without fruit shows in the juice a minute later: the program knows why and says nothing."""
    for seconds in (20, 60, 150):
        told = play(pressing().idle(seconds).run(600).events)
        assert "juice-low" not in told.raised


def test_slower_fruit_is_no_loss_of_juice() -> None:
    """Half the fruit gives half the juice."""
    assert play(pressing().run(600, fruit=0.55 * RATED).run(300).events).raised == []


def test_juice_ten_per_cent_low_is_not_an_alarm() -> None:
    """Fruit differs from load to load by as much."""
    assert "juice-low" not in play(pressing().run(600, juice=0.9).events).raised


def test_a_leak_that_lasts_does_not_become_the_usual() -> None:
    """What is normal is not learned from what is wrong: half an hour on, the alarm still stands."""
    told = play(pressing().run(1800, juice=0.7).events)
    assert [a.active for a in told.alarms("juice-low")] == [True]
