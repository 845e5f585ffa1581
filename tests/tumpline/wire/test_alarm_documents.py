"""What alarms come to, as documents say it."""

from msgspec.structs import replace

from records import ALARM, SEVEN, SUMMARY
from tumpline.pressing.records import Priority
from tumpline.wire.alarm_documents import season_alarms
from tumpline.wire.documents import summary_document
from tumpline.wire.figures import Document

DAY = 86_400.0


def shift(day: int, *alarms: tuple[float, str]) -> Document:
    """The summary of a shift of eight hours on that day, with alarms so many seconds after its start."""
    start = SEVEN + day * DAY
    records = tuple(replace(ALARM, name=name, raised=start + at, priority=Priority.LOW) for at, name in alarms)
    return summary_document(replace(SUMMARY, start=start, end=start + 28_800.0, alarms=records))


def test_over_too_few_days_there_is_not_enough_data() -> None:
    """Counts are stated, rates and shares are null with the reason."""
    found = season_alarms([shift(0, (60.0, "juice-low")), shift(3, (60.0, "juice-low"))])
    assert (found["shifts"], found["count"]) == (2, 2)
    for key in ("per_hour", "over_10_in_10_minutes_pct", "flood_pct", "top_10_share_pct", "high_pct", "low_pct"):
        assert found[key] is None
        assert found[f"{key}_unknown"] == "not enough data: 3.3 of 30 days"


def test_a_season_states_its_rates_and_how_they_were_counted() -> None:
    """Two alarms in sixteen hours of shift, by the documents alone."""
    found = season_alarms([shift(0, (60.0, "juice-low")), shift(40, (60.0, "mill-blocked"))])
    assert (found["per_hour"], found["flood_pct"], found["low_pct"], found["high_pct"]) == (0.125, 0.0, 100.0, 0.0)
    assert found["top_10_share_pct"] == 100.0
    assert "ISA-18.2" in found["convention"]


def test_a_season_without_alarms_has_no_shares() -> None:
    """Nothing is shared out where there is nothing."""
    found = season_alarms([shift(0), shift(40)])
    assert (found["count"], found["per_hour"], found["top_10_share_pct"]) == (0, 0.0, None)
    assert found["top_10_share_pct_unknown"] == "there was no alarm"


def test_summaries_of_an_earlier_version_count_too() -> None:
    """They do not say whether an alarm was announced: each was."""
    old = shift(0, (60.0, "juice-low"))
    for alarm in old["alarms"]:
        del alarm["announced"], alarm["times"]
    assert season_alarms([old])["count"] == 1
