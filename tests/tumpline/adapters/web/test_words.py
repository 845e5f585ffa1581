"""How the page says things."""

import pytest

from fake_line import NOW, alarm
from tumpline.adapters.web.words import THIN_SPACE, Clock, Words, duration, sentence

WORDS = Words("en")


def test_times_are_the_sites_own() -> None:
    """The wall clock of the site is shown, summer time included."""
    assert (Clock("Europe/London", WORDS).second(NOW), Clock("UTC", WORDS).minute(NOW)) == ("10:24:07", "09:24")


def test_the_hour_that_comes_twice_names_its_zone() -> None:
    """At the end of summer time, 25 October 2026, 00:30 and 01:30 UTC both read 01:30 in London."""
    before, after = 1792888200.0, 1792891800.0
    clock = Clock("Europe/London", WORDS)
    assert [clock.minute(at) for at in (before, after)] == ["01:30 BST", "01:30 GMT"]
    assert clock.minute(after + 3600.0) == "02:30"


def test_another_day_is_named() -> None:
    """A time of yesterday cannot be taken for today's."""
    assert Clock("Europe/London", WORDS).minute(NOW - 86400.0, now=NOW) == "13 Oct 10:24"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(-3.0, "0 s"), (59.9, "59 s"), (60.0, "1 min"), (6120.0, "1 h 42"), (3660.0, "1 h 01"), (180_000.0, "2 d 2 h")],
)
def test_durations_are_whole_units(seconds: float, words: str) -> None:
    """Durations are written with their units, never like a time of day."""
    assert duration(seconds) == words


def test_numbers_are_written_for_people() -> None:
    """Thousands stand apart, a minus is a minus, and there is no negative zero."""
    assert [WORDS.number(v, 1) for v in (10025.04, -2.5, -0.04)] == [f"10{THIN_SPACE}025.0", "−2.5", "0.0"]


def test_an_interval_never_looks_like_a_point() -> None:
    """Ends that would read the same get one more decimal."""
    assert (WORDS.between(698.2, 726.4, 0), WORDS.between(705.8, 706.3, 0)) == (
        "between 698 and 726",
        "between 705.8 and 706.3",
    )


def test_a_clause_becomes_a_sentence() -> None:
    """A capital and one full stop."""
    assert [sentence(text) for text in ("the line is filling", "Done.")] == ["The line is filling.", "Done."]


def test_an_alarm_names_what_it_is_about() -> None:
    """The subject stands beside the name where there is one."""
    lost = alarm(name="signal-lost", subject="juice/flow")
    assert [WORDS.alarm(a) for a in (alarm(), lost)] == ["Mill blocked", "Signal lost: juice/flow"]
