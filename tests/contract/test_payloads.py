"""Payloads as devices send them, and what each has meant since the first version."""

import json
from pathlib import Path

import pytest

from tumpline.pressing.events import ReadingRefused, ReadingTaken
from wire_line import events

GOLDEN = Path(__file__).parent / "golden" / "payloads.jsonl"
CASES = [json.loads(line) for line in GOLDEN.read_text(encoding="utf-8").splitlines()]


@pytest.mark.parametrize("case", CASES, ids=[f"{n}" for n in range(1, len(CASES) + 1)])
def test_payloads_mean_what_they_meant(case: dict[str, object]) -> None:
    """Signal, time and SI value of every reading, or the sentence of the refusal."""
    found = events(str(case["topic"]), str(case["payload"]).encode())
    if "refused" in case:
        assert [event.reason for event in found if isinstance(event, ReadingRefused)] == [case["refused"]]
        return
    readings = [
        [event.signal, event.at, pytest.approx(event.value)] for event in found if isinstance(event, ReadingTaken)
    ]
    assert case["readings"] == readings
