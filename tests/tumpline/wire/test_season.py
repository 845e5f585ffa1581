"""A season's years, and what a load's row says."""

from datetime import UTC, datetime

import pytest

from records import SEVEN, SUMMARY
from tumpline.wire.documents import summary_document
from tumpline.wire.season import (
    Means,
    TracePoint,
    load_rows,
    load_times,
    means_of,
    season_document,
    season_of,
    season_span,
)

DOCUMENT = summary_document(SUMMARY)


@pytest.mark.parametrize(
    ("day", "season"), [("2026-07-01", 2026), ("2026-06-30", 2025), ("2026-12-31", 2026), ("2027-02-03", 2026)]
)
def test_a_season_is_named_after_the_year_it_begins_in(day: str, season: int) -> None:
    """It lasts from July to June, and its span says the same."""
    at = datetime.fromisoformat(day).replace(tzinfo=UTC).timestamp()
    since, until = season_span(season)
    assert season_of(at) == season
    assert since <= at < until


def test_fruit_runs_as_long_as_the_crew_wrote_but_not_beyond_the_shift() -> None:
    """A load that was never said to be off ran to the end."""
    assert load_times(DOCUMENT, SEVEN, SEVEN + 600.0) == {"L-7": (SEVEN + 60.0, SEVEN + 600.0)}


def test_a_load_is_judged_while_its_fruit_ran() -> None:
    """A gap in the fruit lowers no mean, and what was not read has none."""
    running = [TracePoint(n, {"throughput_t_per_h": t, "pressure_bar": 1.5}) for n, t in enumerate((3.0, 5.0))]
    gap = [TracePoint(9.0, {"throughput_t_per_h": 0.1, "pressure_bar": 0.0}), TracePoint(10.0, {"juice_l": 4.0})]
    assert means_of([*running, *gap]) == Means(pressure=1.5, throughput=4.0)
    assert means_of([TracePoint(0.0, {"throughput_t_per_h": 3.0})]) == Means(None, 3.0)
    assert means_of([]) == Means()


def test_a_row_says_how_a_load_was_pressed_and_where_it_went() -> None:
    """It has the summary's own figures, with the shift, the means, the vats and the trailers beside them."""
    (row,) = load_rows(DOCUMENT, {"L-7": Means(1.6, 3.9)})
    assert (row["line"], row["shift"], row["day"]) == ("line-1", "early", "2026-10-14")
    assert row["fruit_kg"] == DOCUMENT["loads"][0]["fruit_kg"]
    assert (row["pressure_bar"], row["throughput_t_per_h"]) == (1.6, 3.9)
    assert row["vats"] == [{"vat": "V1", "juice_l": DOCUMENT["vats"][0]["from"][0]["juice_l"]}]
    assert [trailer["trailer"] for trailer in row["trailers"]] == ["T2"]
    assert load_rows(DOCUMENT, {})[0]["pressure_bar"] is None


def test_a_season_sums_up_its_stops_and_its_alarms() -> None:
    """The stops of all shifts are ranked together; over one day there is not enough data about the alarms."""
    document = season_document(2026, [summary_document(SUMMARY), summary_document(SUMMARY)], [])
    assert [(row["reason"], row["count"]) for row in document["stops_by_reason"]] == [("blocked mill", 2)]
    assert [(row["condition"], row["count"]) for row in document["stops_by_condition"]] == [("blocked", 2)]
    assert document["alarms"]["count"] == 2
    assert "not enough data" in document["alarms"]["per_hour_unknown"]
