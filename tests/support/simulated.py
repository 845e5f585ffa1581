"""Simulated shifts, each run once for all tests that look at it."""

from collections import defaultdict
from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from functools import cached_property, lru_cache
from typing import Any

import msgspec

from tumpline_sim import Message, Options, shift

DAY: dict[str, Any] = {
    "seed": 3,
    "hours": 3.0,
    "signals": "mill/throughput,mill/current,juice/flow,vat/V1/volume,vat/V2/volume",
}
"""Three hours with several loads, a change of vat and, as on most days, drop-outs."""

_decoded = msgspec.json.Decoder().decode


@dataclass
class Run:
    """A shift that has been: its messages and its truth; its readings and its book are looked at only where asked."""

    messages: list[Message]
    truth: dict[str, Any]

    @cached_property
    def readings(self) -> dict[str, list[tuple[float, float]]]:
        """By signal what was read: s since the start, value; in that order."""
        readings: dict[str, list[tuple[float, float]]] = defaultdict(list)
        start = self.truth["t0"]
        for name, told in self._told("signal"):
            readings[name] += [(record["t"] - start, record["v"]) for record in told]
        for of_one in readings.values():
            of_one.sort()
        return readings

    @cached_property
    def book(self) -> list[tuple[str, dict[str, Any]]]:
        """Each entry's kind and fields, in order."""
        return list(self._told("book"))

    def _told(self, where: str) -> Iterator[tuple[str, Any]]:
        """Name and decoded payload of every message of one branch of the line's topics."""
        for message in self.messages:
            _, _, branch, name = message.topic.split("/", 3)
            if branch == where:
                yield name, _decoded(message.payload)

    def values(self, name: str, start: float, end: float) -> list[float]:
        """What a signal read between two times, s since the start."""
        return [value for at, value in self.readings[name] if start <= at < end]

    def mean(self, name: str, start: float, end: float) -> float:
        """The mean of that."""
        values = self.values(name, start, end)
        return sum(values) / len(values)

    def entries(self, kind: str) -> list[dict[str, Any]]:
        """The book entries of a kind, in order."""
        return [fields for entry, fields in self.book if entry == kind]

    def seconds(self, entry: dict[str, Any]) -> float:
        """When a book entry was made, s since the start."""
        return datetime.fromisoformat(entry["at"]).timestamp() - float(self.truth["t0"])


@lru_cache(maxsize=24)  # as many as are looked at again soon: all of them together would fill a gigabyte
def _run(options: Options) -> Run:
    simulated = shift(options)
    messages = list(simulated)
    return Run(messages, simulated.truth)


def run(**options: Any) -> Run:
    """The shift that these options make; every message of it is SenML unless asked otherwise."""
    return _run(Options(**options))
