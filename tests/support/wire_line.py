"""A line as the wire room sees it, with one signal for each way of sending."""

from __future__ import annotations

from tumpline.pressing.events import Event, ReadingRefused, ReadingTaken
from tumpline.pressing.params import Accuracy, LineParams, Quantity, ResidenceParams, SignalParams
from tumpline.wire.decode import Decoder, LineWire
from tumpline.wire.formats import PayloadFormat

ARRIVED = 1791961200.0
"""2026-10-14T07:00:00Z."""

_SIGNALS = {
    "mill/throughput": (Quantity.MASS_FLOW, 0.0, 8.0 / 3.6, PayloadFormat(unit="t/h")),
    "mill/total": (Quantity.MASS, 0.0, 1e7, PayloadFormat(unit="kg")),
    "juice/total": (Quantity.VOLUME, 0.0, 1e4, PayloadFormat(unit="L")),
    "juice/brix": (Quantity.BRIX, 0.0, 30.0, PayloadFormat(unit="%Bx", kind="number")),
    "juice/temperature": (Quantity.TEMPERATURE, -5.0, 40.0, PayloadFormat(unit="Cel")),
    "press/pressure": (
        Quantity.PRESSURE, 0.0, 1e6, PayloadFormat(unit="bar", kind="scaled", from_=(4.0, 20.0), to=(0.0, 10.0)),
    ),
    "flume/flow": (
        Quantity.VOLUME_FLOW, 0.0, 0.04,
        PayloadFormat(unit="L/s", kind="scaled", from_=(0.0, 65535.0), to=(0.0, 40.0), pointer="/counts"),
    ),
    "juice/flow": (
        Quantity.VOLUME_FLOW, 0.0, 2.5e-3,
        PayloadFormat(unit="L/min", kind="json", pointer="/values/0/flow", time_pointer="/time", topic="meters/juice"),
    ),
    "line/emergency-stop": (Quantity.STATUS, 0.0, 1.0, PayloadFormat(unit="0/1")),
}  # fmt: skip


def line_wire(**formats: PayloadFormat) -> LineWire:
    """The line, with other formats for signals written as `mill_throughput`."""
    changed = {name.replace("_", "/", 1): form for name, form in formats.items()}
    params = LineParams(
        id="line-1",
        rated_throughput=4.0 / 3.6,
        expected_yield=0.7e-3,
        residence=ResidenceParams(),
        signals=tuple(SignalParams(name, q, low, high, Accuracy()) for name, (q, low, high, _) in _SIGNALS.items()),
    )
    return LineWire(params, "tumpline", {name: changed.get(name, s[3]) for name, s in _SIGNALS.items()})


def events(topic: str, payload: bytes, *, now: float | None = None, wire: LineWire | None = None) -> list[Event]:
    """What a message on this topic means; a topic without a root is a signal of the line."""
    full = topic if topic.startswith(("tumpline/", "meters/")) else f"tumpline/line-1/signal/{topic}"
    decoded = Decoder([wire or line_wire()]).decode(full, payload, ARRIVED, now)
    assert decoded is not None and decoded.line == "line-1"
    return list(decoded.events)


def taken(topic: str, payload: bytes, *, wire: LineWire | None = None) -> ReadingTaken:
    """The one reading of a message."""
    (event,) = events(topic, payload, wire=wire)
    assert isinstance(event, ReadingTaken), event
    return event


def reason(topic: str, payload: bytes, *, now: float | None = None) -> str:
    """The sentence with which the one event of a message is refused."""
    (event,) = events(topic, payload, now=now)
    assert isinstance(event, ReadingRefused), event
    return event.reason
