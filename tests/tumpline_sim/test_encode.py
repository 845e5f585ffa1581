"""Readings, entries and recordings as bytes."""

import json

from tumpline_sim.encode import entry_payload, reading_encoder, recording_line, rfc3339
from tumpline_sim.sensors import chosen

(JUICE,) = chosen("juice/flow")


def test_a_reading_as_senml() -> None:
    """One record with name, unit, value and absolute time (RFC 8428)."""
    payload = reading_encoder(JUICE, "senml")(1791961200.0054, 48.125)
    assert json.loads(payload) == [{"n": "juice/flow", "u": "L/min", "v": 48.125, "t": 1791961200.005}]


def test_a_reading_as_a_number() -> None:
    """Nothing but the number, in the sensor's resolution."""
    assert reading_encoder(JUICE, "number")(0.0, 48.1) == b"48.100"


def test_a_line_of_a_recording() -> None:
    """One JSON object with the arrival, the topic and the payload as text."""
    line = json.loads(recording_line(1791961200.25, "tumpline/line-1/book/note", entry_payload({"text": "Äpfel"})))
    assert line == {
        "tst": "2026-10-14T07:00:00.250000Z",
        "topic": "tumpline/line-1/book/note",
        "qos": 1,
        "retain": 0,
        "payloadlen": 17,
        "payload": '{"text":"Äpfel"}',
    }


def test_times_are_utc() -> None:
    """RFC 3339 with Z, whole seconds without a fraction."""
    assert rfc3339(1791961200.0) == "2026-10-14T07:00:00Z"
