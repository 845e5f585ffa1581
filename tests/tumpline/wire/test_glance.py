import json
from typing import Any

import pytest

from glances import glance
from records import LIVE
from tumpline.wire.documents import encode, live_document
from tumpline.wire.glance import Interval, read_glance
from tumpline.wire.words import Refused


def document(**changes: Any) -> bytes:
    """The live document of an invented line, with other values for some keys."""
    return json.dumps({**live_document(LIVE), **changes}).encode()


def test_what_is_written_is_read() -> None:
    """A live document read back says what the line knew, and why it does not know the rest."""
    found = glance()
    assert (found.line, found.condition, found.at.timestamp()) == ("line-1", "pressing", LIVE.at)
    assert found.yield_l_per_t == Interval(value=700.0, low=690.5, high=709.5)
    assert (found.yield_10min_l_per_t, found.yield_10min_l_per_t_unknown) == (None, "the line is filling")
    assert (found.juice_l_per_min, found.juice_l_per_min_unknown[:16]) == (None, "no reading since")
    assert found.load is not None and found.load.left_kg == 10.0
    assert [alarm.name for alarm in found.alarms] == ["mill-blocked"]
    assert found.heard


def test_a_line_of_which_nothing_is_fresh_is_not_heard() -> None:
    """Signals that were heard once are not heard now."""
    assert not glance(signals=LIVE.signals[1:3]).heard


def test_keys_that_are_added_later_do_no_harm() -> None:
    """A newer service may say more."""
    assert not isinstance(read_glance(document(moon={"phase": 0.5})), Refused)


@pytest.mark.parametrize(
    ("payload", "said"),
    [
        (b"", "cannot be read"),
        (b"{", "cannot be read"),
        (b"\xff", "cannot be read"),
        (b"[]", "cannot be read"),
        (document(at="yesterday"), "at"),
        (document(fruit_kg=7.0), "fruit_kg"),
        (document(schema="tumpline.live/2"), "tumpline.live/1"),
        (document(at="2026-10-14T08:00:00"), "offset"),
    ],
)
def test_what_cannot_be_read_is_refused_with_a_reason(payload: bytes, said: str) -> None:
    """Whatever stands on the topic, the reader gets a sentence and no exception."""
    refused = read_glance(payload)
    assert isinstance(refused, Refused)
    assert said in refused.reason


def test_the_document_itself_is_what_the_service_writes() -> None:
    """The encoder's bytes are read as they are."""
    assert not isinstance(read_glance(encode(live_document(LIVE))), Refused)
