"""Times as text: RFC 3339, to and from seconds since 1970-01-01 UTC."""

from __future__ import annotations

import re
from datetime import datetime, timedelta

_EPOCH = datetime(1970, 1, 1)  # noqa: DTZ001 -- UTC, of which the text says so itself
A_TIME = "a time such as 2026-10-14T07:30:00Z, with Z or an offset,"
"""For sentences that say what is accepted."""
_RFC3339 = re.compile(r"\d{4}-\d\d-\d\d[Tt ]\d\d:\d\d:\d\d(\.\d+)?([Zz]|[+-]\d\d:\d\d)", re.ASCII)
_NOISY = re.compile(r"(.*[\d])[Zz]?([+-]\d\d):?(\d\d)", re.ASCII)


def from_rfc3339(text: str) -> float | None:
    """Seconds since 1970 of a time with `Z` or an offset; None for anything else. Microseconds count."""
    if not _RFC3339.fullmatch(text):
        return None
    try:
        return datetime.fromisoformat(text.upper()).timestamp()
    except (ValueError, OverflowError):
        return None


def from_broker_time(text: str) -> float | None:
    """
    The same for `tst` of a recording. Some versions print local time with a `Z` before the offset
    (`2026-10-14T07:00:00.123456Z+0100`): the offset counts, the `Z` does not.
    """
    at = from_rfc3339(text[:-5] if text.endswith("Z+0000") else text)
    if at is None and (found := _NOISY.fullmatch(text)):
        return from_rfc3339(f"{found[1]}{found[2]}:{found[3]}")
    return at


def to_rfc3339(at: float) -> str:
    """`2026-10-14T07:00:00.000000Z`: UTC, to the microsecond."""
    return f"{(_EPOCH + timedelta(seconds=at)).isoformat(timespec='microseconds')}Z"
