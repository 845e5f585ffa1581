"""Documents: their keys, and what they never say."""

import json
import re

import pytest
from msgspec.structs import replace

from records import ALARM, LIVE, SEVEN, STOP, SUMMARY
from tumpline.pressing.effects import TellEvent
from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.records import AlarmState, Condition
from tumpline.wire.documents import (
    CAUTION,
    alarm_document,
    encode,
    event_document,
    live_document,
    summary_document,
)

EVENT = TellEvent("stop.began", SEVEN + 1800.0, {"id": "stop-1", "condition": "blocked"})


def test_a_live_document_has_the_keys_that_were_agreed() -> None:
    """What subscribers look for is there, known or not."""
    document = live_document(LIVE)
    assert set(document) >= {
        "schema", "line", "at", "shift", "condition", "condition_since", "condition_why", "signals",
        "yield_10min_l_per_t", "load_yield_l_per_t", "yield_l_per_t", "fruit_kg", "juice_l", "pomace_dry_matter_pct",
        "throughput_t_per_h", "juice_l_per_min", "pressure_bar", "load", "vat", "trailer", "stop", "alarms", "caution",
    }  # fmt: skip
    assert (document["schema"], document["at"]) == ("tumpline.live/1", "2026-10-14T08:00:00.000000Z")
    assert (document["load"]["left_kg"], document["load"]["milled_kg"]["value"]) == (10.0, 4200.0)
    assert document["vat"]["full_in_s"] == 3928.571


def test_signals_are_shown_in_their_units() -> None:
    """The newest reading of each signal is in the unit of the contract, with its age to be seen."""
    signals = live_document(LIVE)["signals"]
    at = "2026-10-14T07:59:59.500000Z"
    assert signals["mill/throughput"] == {"value": 4.05, "unit": "t/h", "at": at, "fresh": True}
    assert signals["vat/V1/volume"] == {"value": None, "unit": "L", "at": None, "fresh": False}
    assert signals["juice/temperature"]["value"] == 11.5


def test_an_old_reading_is_not_what_is_so_now() -> None:
    """A signal that is lost has no present value, and the document says since when."""
    document = live_document(LIVE)
    assert document["throughput_t_per_h"] == 4.05
    assert (document["juice_l_per_min"], document["juice_l_per_min_unknown"]) == (
        None,
        "no reading since 2026-10-14T07:58:20.000000Z",
    )
    assert (document["pressure_bar"], document["pressure_bar_unknown"]) == (None, "this signal is not fitted")


def test_alarms_that_are_over_are_not_shown_live() -> None:
    """A live document lists what is not normal."""
    normal = replace(ALARM, state=AlarmState.NORMAL)
    assert live_document(replace(LIVE, alarms=(ALARM, normal)))["alarms"] == [alarm_document(ALARM, "line-1")]


def test_nothing_is_there_when_nothing_is_known() -> None:
    """Without load, vat, trailer or stop the document says null."""
    bare = live_document(replace(LIVE, load=None, vat=None, trailer=None, shift=None, shift_start=None, alarms=()))
    assert [bare[key] for key in ("load", "vat", "trailer", "stop", "shift", "shift_start")] == [None] * 6
    assert live_document(replace(LIVE, stop=STOP))["stop"]["id"] == "stop-1"


def test_an_alarm_document_has_the_fields_of_the_contract() -> None:
    """Everything about an alarm in one document."""
    document = alarm_document(ALARM, "line-1")
    assert {key: document[key] for key in ("schema", "line", "name", "state", "priority", "by", "value", "limit")} == {
        "schema": "tumpline.alarm/1", "line": "line-1", "name": "mill-blocked", "state": "acknowledged",
        "priority": "high", "by": "M. Reed", "value": 0.123457, "limit": 1.0,
    }  # fmt: skip
    assert document["raised"] == "2026-10-14T07:30:00.000000Z"
    assert document["acknowledged"] == "2026-10-14T07:30:30.000000Z"
    assert document["cleared"] is None and document["because_of"] is None
    assert document["cause"].startswith("Fruit and water") and document["caution"].startswith("Stop, isolate")


def test_an_event_is_a_cloudevent() -> None:
    """CloudEvents 1.0, structured mode: the required attributes and the data."""
    document = event_document(EVENT, "line-1", "site/tumpline")
    assert document["specversion"] == "1.0"
    assert (document["source"], document["type"]) == ("/site/tumpline/line-1", "tumpline.stop.began")
    assert (document["time"], document["data"]) == ("2026-10-14T07:30:00.000000Z", EVENT.data)
    assert document["id"]


def test_times_in_an_event_are_spelled_like_all_others() -> None:
    """A stop's start is a time and not a number; what is not over has no end."""
    stop = TellEvent("stop.began", SEVEN, {"stop": "stop-1", "start": SEVEN, "end": None})
    data = event_document(stop, "line-1", "tumpline")["data"]
    assert data == {"stop": "stop-1", "start": "2026-10-14T07:00:00.000000Z", "end": None}


def test_the_same_event_told_again_has_the_same_id() -> None:
    """Whoever hears an event twice can tell that it is one."""

    def id_of(event: TellEvent, line: str = "line-1") -> object:
        return event_document(event, line, "tumpline")["id"]

    assert id_of(EVENT) == id_of(TellEvent("stop.began", SEVEN + 1800.0, dict(EVENT.data)))
    others = [TellEvent("stop.ended", EVENT.at, EVENT.data), TellEvent(EVENT.kind, SEVEN, EVENT.data)]
    others.append(TellEvent(EVENT.kind, EVENT.at, {"id": "stop-2"}))
    assert len({id_of(EVENT), id_of(EVENT, "line-2"), *map(id_of, others)}) == 5


def test_a_summary_has_the_keys_of_the_contract() -> None:
    """`tumpline.summary/1` is complete."""
    document = summary_document(SUMMARY)
    assert set(document) >= {
        "schema", "line", "shift", "start", "end", "fruit_kg", "juice_l", "juice_kg", "yield_l_per_t", "mass_yield_pct",
        "pomace_kg", "pomace_dry_matter_pct", "flume_water_l", "potential_alcohol_pct", "time", "availability",
        "effectiveness", "stops_count", "mean_time_between_stops_s", "mean_stop_s", "stops", "alarms", "alarm_load",
        "loads", "vats", "trailers", "balance", "signals", "caution",
    }  # fmt: skip
    assert document["time"] == {
        "pressing_s": 25200.0, "slow_s": 0.0, "starved_s": 0.0, "blocked_s": 300.25, "stopped_s": 3299.75,
        "filling_s": 0.0, "draining_s": 0.0, "washing_s": 0.0, "unknown_s": 0.0,
    }  # fmt: skip
    assert document["yield_l_per_t"]["value"] == 714.286
    assert document["potential_alcohol_pct_unknown"] == "the sugar of the juice is not measured"
    assert set(document["balance"]) >= {"reconciled", "residual", "statistic", "limit", "suspect", "isolable"}
    assert document["balance"]["residual"]["value"] == -12.5
    assert document["signals"] == [
        {"name": "mill/throughput", "received": 28700, "used": 28690, "duplicate": 5, "late": 3, "refused": 2,
         "missing_s": 12.0, "longest_gap_s": 11.0},
    ]  # fmt: skip


def test_documents_say_where_a_figure_comes_from() -> None:
    """The signals behind a figure are named, the one that matters most first; an unknown figure has none."""
    fruit = Estimate(4200.0, (limits("accuracy of mill/total", 1.0), limits("time without mill/total", 60.0)))
    for document in (live_document(replace(LIVE, fruit=fruit)), summary_document(replace(SUMMARY, fruit=fruit))):
        assert document["sources"]["fruit_kg"] == ["time without mill/total", "accuracy of mill/total"]
    assert "potential_alcohol_pct" not in document["sources"]


def test_what_a_shift_cannot_know_has_its_reason() -> None:
    """Nothing is null without a word beside it."""
    bare = replace(
        SUMMARY, availability=None, effectiveness=None, mean_time_between_stops=None, mean_stop=None, stops=()
    )
    document = summary_document(bare)
    for key in ("availability", "effectiveness", "mean_time_between_stops_s", "mean_stop_s"):
        assert document[key] is None and document[f"{key}_unknown"]
    assert document["stops_count"] == 0


def test_times_of_every_condition_are_named() -> None:
    """No condition's time goes missing from a summary."""
    assert {f"{c.value}_s" for c in Condition} == set(summary_document(SUMMARY)["time"])


@pytest.mark.parametrize(
    "make", [lambda: live_document(LIVE), lambda: summary_document(SUMMARY)], ids=["live", "summary"]
)
def test_the_same_record_gives_the_same_bytes(make: object) -> None:
    """A replay can be held against what was published, byte by byte."""
    assert callable(make)
    first, again = encode(make()), encode(make())
    assert first == again
    assert list(json.loads(first))[:2] == ["schema", "line"]
    assert b"NaN" not in first


def test_the_caution_says_what_people_must_do_and_promises_nothing() -> None:
    """Isolate, lock off, release air, competent people only; and never that anything is safe."""
    for words in (
        "not a safety function",
        "isolate",
        "lock it off",
        "release stored air",
        "competent people",
        "confined",
    ):
        assert words in CAUTION
    assert not re.search(r"\bsafe\b|\bsafely\b", CAUTION)
    assert live_document(LIVE)["caution"] == summary_document(SUMMARY)["caution"] == CAUTION
