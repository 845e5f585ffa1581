"""One message in, the events it means out."""

from __future__ import annotations

from collections.abc import Sequence

from msgspec import Struct

from tumpline.pressing.events import EntryRefused, Event, ReadingRefused
from tumpline.pressing.params import LineParams
from tumpline.wire.entries import read_entry
from tumpline.wire.formats import PayloadFormat
from tumpline.wire.jsontext import LONGEST_PAYLOAD, utf8_problem
from tumpline.wire.meters import Meter
from tumpline.wire.readings import Reader, reader
from tumpline.wire.topics import Topics
from tumpline.wire.words import did_you_mean, quoted


class LineWire(Struct, frozen=True):
    """What is needed to understand one line's messages."""

    params: LineParams
    root: str
    formats: dict[str, PayloadFormat]
    """By signal; a signal without one is not read."""


class Decoded(Struct, frozen=True, gc=False):
    """What one message means."""

    line: str
    events: Sequence[Event]
    """At least one."""


class _Route(Struct, frozen=True):
    line: str
    ahead: float
    readers: tuple[Reader, ...]


class Decoder:
    """
    Turns messages into events, the same for live, late and replayed ones.

    Topics of one line only lead to that line; the settings see to it that no two lines share a transmitter's topic.
    """

    def __init__(self, lines: Sequence[LineWire]) -> None:
        """Everything that can be looked up is worked out here, once."""
        self._routes: dict[str, _Route] = {}
        self._lines = {(line.root, line.params.id): line for line in lines}
        self._roots = [Topics(root) for root in dict.fromkeys(line.root for line in lines)]
        for line in lines:
            self._routes.update(_routes(line))

    def decode(self, topic: str, payload: bytes, arrived: float, now: float | None = None) -> Decoded | None:
        """
        The events of one message; None for topics that are not a line's signal or book, our own documents included.

        Times beyond `ahead` after the later of `arrived` and `now` are refused. Nothing from outside raises.
        """
        route = self._routes.get(topic)
        if route is None:
            return self._elsewhere(topic, payload, arrived, now)
        readers = route.readers
        problem = _unfit(payload)
        if problem is not None:
            refused = [ReadingRefused(r.signal, arrived, f"{r.signal}: {problem}.") for r in readers]
            return Decoded(route.line, refused)
        latest = (arrived if now is None or now < arrived else now) + route.ahead
        if len(readers) == 1:
            return Decoded(route.line, readers[0].read(payload, arrived, latest))
        return Decoded(route.line, [event for r in readers for event in r.read(payload, arrived, latest)])

    def _elsewhere(self, topic: str, payload: bytes, arrived: float, now: float | None) -> Decoded | None:
        """Book entries, and signals nobody told us about."""
        for root in self._roots:
            address = root.parse(topic)
            line = self._lines.get((root.root, address.line)) if address else None
            if address is None or line is None or not address.name:
                continue
            if address.branch == "book":
                problem = _unfit(payload)
                if problem is not None:
                    return Decoded(address.line, [EntryRefused(address.name, arrived, f"{address.name}: {problem}.")])
                latest = max(arrived, now or arrived) + line.params.ahead
                return Decoded(address.line, [read_entry(address.name, payload, arrived=arrived, latest=latest)])
            if address.branch == "signal":
                return Decoded(address.line, [_unknown_signal(line, address.name, arrived)])
        return None


def _unfit(payload: bytes) -> str | None:
    """Why no payload of any form can be like this; None for most."""
    if len(payload) > LONGEST_PAYLOAD:
        return f"the payload has {len(payload)} bytes; up to {LONGEST_PAYLOAD} (256 KiB) is accepted"
    if payload.isascii():
        return None
    problem = utf8_problem(payload)
    return problem and f"{problem}; UTF-8 is accepted"


def _unknown_signal(line: LineWire, name: str, arrived: float) -> ReadingRefused:
    hint = did_you_mean(name, line.formats)
    reason = f"{quoted(name)} is no signal of {line.params.id}{hint}; a signal named in its settings is accepted."
    return ReadingRefused(name, arrived, reason)


def _routes(line: LineWire) -> dict[str, _Route]:
    """The line's topics of readings, each with its readers."""
    of_line: dict[str, Meter] = {}
    topics: dict[str, list[tuple[Meter, PayloadFormat]]] = {}
    for signal in line.params.signals:
        format_ = line.formats.get(signal.name)
        if format_ is None:
            continue
        meter = of_line[signal.name] = Meter(params=signal, format_=format_)
        topic = format_.topic or Topics(line.root).signal(line.params.id, signal.name)
        topics.setdefault(topic, []).append((meter, format_))
    routes = {}
    for topic, sharing in topics.items():
        packs = [pair for pair in sharing if pair[1].kind == "senml"]
        readers = [reader([pair], of_line) for pair in sharing if pair[1].kind != "senml"]
        if packs:
            readers.append(reader(packs, of_line))
        routes[topic] = _Route(line.params.id, line.params.ahead, tuple(readers))
    return routes
