"""Times as text."""

from datetime import UTC, datetime

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.wire.times import from_broker_time, from_rfc3339, to_rfc3339

SEVEN = datetime(2026, 10, 14, 7, 0, tzinfo=UTC).timestamp()


@pytest.mark.parametrize(
    ("text", "at"),
    [
        ("2026-10-14T07:00:00Z", SEVEN),
        ("2026-10-14t07:00:00z", SEVEN),
        ("2026-10-14 07:00:00.5Z", SEVEN + 0.5),
        ("2026-10-14T08:00:00+01:00", SEVEN),
        ("2026-10-14T04:30:00-02:30", SEVEN),
        ("2026-10-14T07:00:00.123456789Z", SEVEN + 0.123456),
        ("2026-10-14T07:00:00-00:00", SEVEN),
    ],
)
def test_rfc3339_is_read(text: str, at: float) -> None:
    """Every form RFC 3339 allows names one moment."""
    assert from_rfc3339(text) == at


@pytest.mark.parametrize(
    "text",
    ["", "now", "2026-10-14", "2026-10-14T07:00:00", "2026-10-14T07:00Z", "2026-13-14T07:00:00Z",
     "2026-10-14T25:00:00Z", "20261014T070000Z", "2026-W42-3T07:00:00Z", "2026-10-14T07:00:00+0100",
     "2026-10-14T07:00:00Z+0100", "٢٠٢٦-10-14T07:00:00Z"],
)  # fmt: skip
def test_anything_else_is_no_time(text: str) -> None:
    """A time without an offset could be any of a day's hours, so it is none."""
    assert from_rfc3339(text) is None


@pytest.mark.parametrize(
    "text",
    ["2026-10-14T07:00:00.000000Z", "2026-10-14T07:00:00.000000Z+0000", "2026-10-14T08:00:00.000000Z+0100",
     "2026-10-14T08:00:00.000000+0100", "2026-10-14T08:00:00.000000Z+01:00", "2026-10-14T03:30:00.000000Z-0330"],
)  # fmt: skip
def test_a_broker_clients_odd_time_is_local_time(text: str) -> None:
    """Where both `Z` and an offset stand, the offset is the true one."""
    assert from_broker_time(text) == SEVEN


@given(st.integers(0, 4_000_000_000_000_000))
def test_times_survive_to_the_microsecond(microseconds: int) -> None:
    """A time written out and read again is the same number."""
    at = microseconds / 1e6
    assert from_rfc3339(to_rfc3339(at)) == at


def test_times_are_written_in_utc() -> None:
    """Documents hold one spelling of a time."""
    assert to_rfc3339(SEVEN) == "2026-10-14T07:00:00.000000Z"
