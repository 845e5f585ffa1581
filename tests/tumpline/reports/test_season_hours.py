"""What the time of a season went into."""

from seasons import season
from tumpline.reports.season_hours import alarm_words, hours
from tumpline.reports.words import Clock
from tumpline.wire.markup import join

SUMMARIES = season()["summaries"]


def test_hours_and_stops_are_summed_up() -> None:
    """Ten stops of five minutes with the same reason, in two weeks."""
    drawn = join(*hours(SUMMARIES, Clock("Europe/London"))).text
    assert "50 min 02 s, 10 stops" in drawn and "blocked mill" in drawn
    assert "week 42" in drawn and "week 43" in drawn


def test_alarms_are_counted_by_name() -> None:
    """Ten shifts had one each."""
    said = alarm_words(SUMMARIES).text
    assert "10 alarms asked for somebody: mill-blocked 10×." in said
    assert "the worst ten minutes had 1" in said


def test_a_rate_over_too_few_days_is_not_stated() -> None:
    """Ten days are no thirty."""
    assert "not enough data: 9.3 of 30 days" in alarm_words(SUMMARIES).text


def test_alarms_that_asked_for_nobody_do_not_count() -> None:
    """Those under their cause, shelved or out of service."""
    quiet = [{**s, "alarms": [{**alarm, "announced": False} for alarm in s["alarms"]]} for s in SUMMARIES]
    assert "0 alarms asked for somebody." in alarm_words(quiet).text
