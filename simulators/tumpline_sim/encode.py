"""Readings and book entries as bytes: SenML (RFC 8428) or a bare number, and JSON."""

from __future__ import annotations

import json
from collections.abc import Callable
from datetime import UTC, datetime
from typing import Any

from tumpline_sim.sensors import Sensor

PAYLOADS = ("senml", "number")


def rfc3339(epoch: float) -> str:
    """A time in UTC, to the microsecond where there is a fraction."""
    return datetime.fromtimestamp(round(epoch, 6), UTC).isoformat().replace("+00:00", "Z")


def reading_encoder(sensor: Sensor, payload: str) -> Callable[[float, float], bytes]:
    """A function from time (epoch s) and value to the payload of `sensor`."""
    decimals = sensor.decimals
    if payload == "number":
        return lambda _taken, value: f"{value:.{decimals}f}".encode()
    head = f'[{{"n":"{sensor.name}","u":"{sensor.unit}","v":'
    return lambda taken, value: f'{head}{value:.{decimals}f},"t":{taken:.3f}}}]'.encode()


def entry_payload(fields: dict[str, Any]) -> bytes:
    """A book entry as JSON."""
    return json.dumps(fields, ensure_ascii=False, separators=(",", ":")).encode()


def recording_line(arrived: float, topic: str, payload: bytes) -> str:
    """One line of a recording, as a subscriber's JSON output prints a message."""
    return json.dumps(
        {
            "tst": rfc3339(arrived),
            "topic": topic,
            "qos": 1,
            "retain": 0,
            "payloadlen": len(payload),
            "payload": payload.decode(),
        },
        ensure_ascii=False,
        separators=(",", ":"),
    )
