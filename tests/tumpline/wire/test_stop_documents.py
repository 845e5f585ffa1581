"""What stops come to, as documents say it."""

from msgspec.structs import replace

from records import STOP, SUMMARY
from tumpline.wire.book_documents import stop_document
from tumpline.wire.documents import summary_document
from tumpline.wire.stop_documents import stops_by

UNREASONED = replace(STOP, id="stop-2", reason=None, start=STOP.start + 3600.0, end=STOP.start + 3700.0)
GOING_ON = replace(STOP, id="stop-3", end=None)


def test_stops_are_ranked_by_reason_and_by_condition() -> None:
    """Reason and condition each have their list; a stop without a reason is there as null, one going on is left out."""
    stops = [stop_document(stop) for stop in (STOP, UNREASONED, GOING_ON)]
    by_reason = stops_by("reason", stops)
    assert [(row["reason"], row["count"], row["duration_s"]) for row in by_reason] == [
        ("blocked mill", 1, 300.25),
        (None, 1, 100.0),
    ]
    (blocked,) = stops_by("condition", stops)
    assert (blocked["condition"], blocked["count"], blocked["cumulative_pct"]) == ("blocked", 2, 100.0)
    assert blocked["fruit_not_pressed_kg"] == 666.666


def test_a_summary_names_the_convention_of_every_figure_about_time() -> None:
    """Availability, effectiveness and mean times each say how they were computed."""
    document = summary_document(SUMMARY)
    for key in ("availability", "effectiveness", "mean_time_between_stops_s", "mean_stop_s"):
        assert key in document
        assert document["conventions"][key]
    assert "ISO 22400-2" in document["conventions"]["availability"]
