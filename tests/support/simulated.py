"""Simulated shifts, each run once for all tests that look at it."""

import json
from collections import defaultdict
from dataclasses import dataclass
from datetime import datetime
from functools import cache
from typing import Any

from tumpline_sim import Message, Options, shift


@dataclass
class Run:
    """A shift that has been: its messages, its readings by signal (s since the start, value), its book, its truth."""

    messages: list[Message]
    truth: dict[str, Any]

    def __post_init__(self) -> None:
        self.readings: dict[str, list[tuple[float, float]]] = defaultdict(list)
        self.book: list[tuple[str, dict[str, Any]]] = []
        for message in self.messages:
            _, _, where, name = message.topic.split("/", 3)
            told = json.loads(message.payload)
            if where == "book":
                self.book.append((name, told))
            else:
                self.readings[name] += [(record["t"] - self.truth["t0"], record["v"]) for record in told]
        for readings in self.readings.values():
            readings.sort()

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


@cache
def _run(options: Options) -> Run:
    simulated = shift(options)
    messages = list(simulated)
    return Run(messages, simulated.truth)


def run(**options: Any) -> Run:
    """The shift that these options make; every message of it is SenML unless asked otherwise."""
    return _run(Options(**options))
