"""
Documents byte for byte as other programs have come to know them.

A difference here is a promise changed: adding a key means a line in the golden file, removing or changing one means a
new number in `schema` and an entry in the changelog.
"""

import json
from pathlib import Path

import pytest

from records import ALARM, LIVE, SEVEN, SUMMARY
from tumpline.pressing.effects import TellEvent
from tumpline.wire.documents import alarm_document, encode, event_document, live_document, summary_document

GOLDEN = Path(__file__).parent / "golden"
EVENT = TellEvent("stop.began", SEVEN + 1800.0, {"id": "stop-1", "condition": "blocked"})


@pytest.mark.parametrize(
    ("name", "document"),
    [
        ("live", live_document(LIVE)),
        ("alarm", alarm_document(ALARM, "line-1")),
        ("event", event_document(EVENT, "line-1", "tumpline")),
        ("summary", summary_document(SUMMARY)),
    ],
)
def test_documents_are_what_they_were(name: str, document: dict[str, object]) -> None:
    """Keys, their order, units, rounding and the spelling of times hold."""
    written = json.dumps(json.loads(encode(document)), indent=2, ensure_ascii=False)
    assert written.splitlines() == (GOLDEN / f"{name}.json").read_text(encoding="utf-8").splitlines()
