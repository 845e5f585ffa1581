"""What is assumed of a meter the settings say little about. Common practice, no source: wide on purpose."""

from __future__ import annotations

from typing import NamedTuple


class Typical(NamedTuple):
    """Range in the unit of documents, and limits of error as they would be written."""

    low: float
    high: float
    accuracy: str


_TYPICAL = {
    "flume/flow": Typical(0.0, 200.0, "5 % of reading"),
    "mill/throughput": Typical(0.0, 30.0, "2 % of reading"),
    "press/pressure": Typical(0.0, 16.0, "0.1 bar"),
    "juice/flow": Typical(0.0, 1000.0, "1.5 % of reading"),
    "juice/total": Typical(0.0, 1e9, "1.5 % of reading"),
    "mill/total": Typical(0.0, 1e9, "2 % of reading"),
    "mill/current": Typical(0.0, 400.0, "2 % of reading"),
    "pulp/level": Typical(0.0, 100.0, "5 %"),
    "press/belt-speed": Typical(0.0, 30.0, "2 % of reading"),
    "press/wash-pressure": Typical(0.0, 40.0, "0.5 bar"),
    "juice/brix": Typical(0.0, 40.0, "0.3 °Bx"),
    "juice/temperature": Typical(-5.0, 60.0, "1 °C"),
    "pomace/flow": Typical(0.0, 15000.0, "3 % of reading"),
    "pomace/trailer": Typical(0.0, 40000.0, "50 kg"),
    "water/make-up": Typical(0.0, 1000.0, "3 % of reading"),
    "line/emergency-stop": Typical(0.0, 1.0, "0 0/1"),
}
_VAT = Typical(0.0, 1e6, "2 % of reading")


def typical_of(name: str) -> Typical:
    """What is assumed of a signal that has a `SignalKind`."""
    return _TYPICAL.get(name, _VAT)
