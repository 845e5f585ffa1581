"""Event time goes on in silence, and never past what may still be on its way."""

import pytest

from tumpline.pressing.entries import Note
from tumpline.pressing.events import EntryMade, ReadingRefused, ReadingTaken
from tumpline.runtime.lull import SHORTEST, Lull
from wire_line import ARRIVED


def reading(at: float) -> ReadingTaken:
    """A reading of that time."""
    return ReadingTaken("mill/throughput", at, 1.0, ARRIVED)


def test_silence_moves_time_in_whole_seconds() -> None:
    """A line whose meters are switched off ends its second all the same, once a second and no more."""
    lull = Lull(lateness=10.0)
    lull.heard(ARRIVED, [reading(ARRIVED)])
    asked = [lull.passed(ARRIVED + silence) for silence in (9.9, 10.0, 10.5, 11.0, 15.7)]
    assert asked == [None, ARRIVED, None, ARRIVED + 1.0, ARRIVED + 5.0]


def test_time_does_not_pass_messages_on_their_way() -> None:
    """A message as late as may be, from a sender as slow as this one, is never overtaken."""
    lateness, behind = 3.0, 40.0
    lull = Lull(lateness=lateness)
    lull.heard(ARRIVED, [reading(ARRIVED - behind)])
    assert lull.lag == behind
    for silence in range(200):
        now = ARRIVED + silence
        at = lull.passed(now)
        assert at is None or at <= now - lateness - behind
    assert at is not None and at > ARRIVED


def test_an_old_reading_says_nothing_about_the_newest() -> None:
    """A stray late reading does not make the line seem to lag, nor does one from a clock that is ahead move time."""
    lull = Lull(lateness=10.0)
    lull.heard(ARRIVED, [reading(ARRIVED - 1.0)])
    lull.heard(ARRIVED + 1.0, [reading(ARRIVED - 300.0)])
    assert lull.lag == 1.0
    lull.heard(ARRIVED + 2.0, [reading(ARRIVED + 30.0)])
    assert lull.lag == 0.0


def test_every_message_breaks_the_silence() -> None:
    """One that could not be read shows too that messages come; a book entry tells the time as well as a meter."""
    lull = Lull(lateness=10.0)
    lull.heard(ARRIVED, [EntryMade("note-1", ARRIVED - 2.0, ARRIVED, "Ada", Note("washed down"))])
    assert lull.lag == 2.0
    lull.heard(ARRIVED + 9.0, [ReadingRefused("mill/throughput", ARRIVED + 9.0, "no number.")])
    assert lull.passed(ARRIVED + 18.9) is None
    assert lull.passed(ARRIVED + 19.0) == ARRIVED + 7.0


def test_nothing_is_known_before_the_first_reading() -> None:
    """A line that was never heard has no time that could go on; a restarted one goes on with the lag it knew."""
    fresh, again = Lull(lateness=10.0), Lull(lateness=10.0, lag=4.0)
    assert again.passed(ARRIVED + 3600.0) is None
    for lull in (fresh, again):
        lull.listen(ARRIVED)
    assert fresh.passed(ARRIVED + 3600.0) is None
    assert again.passed(ARRIVED + 10.0) == ARRIVED - 4.0


@pytest.mark.parametrize(("lateness", "speed", "quiet"), [(0.0, 1.0, SHORTEST), (10.0, 60.0, 600.0), (10.0, 0.5, 10.0)])
def test_how_long_is_silence(lateness: float, speed: float, quiet: float) -> None:
    """A gap between two readings is no silence, and a clock that runs fast makes silence longer."""
    lull = Lull(lateness=lateness, speed=speed)
    lull.heard(ARRIVED, [reading(ARRIVED)])
    assert lull.passed(ARRIVED + quiet - 0.01) is None
    assert lull.passed(ARRIVED + quiet) == ARRIVED + quiet - lateness
