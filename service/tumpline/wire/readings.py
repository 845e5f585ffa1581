"""Signal messages: bytes of one topic to readings, or to the reasons why not."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from typing import Protocol

import msgspec

from tumpline.pressing.events import ReadingRefused, ReadingTaken
from tumpline.wire.formats import PayloadFormat
from tumpline.wire.jsontext import at_pointer, why_unreadable
from tumpline.wire.meters import Meter
from tumpline.wire.senml import Resolved, resolve, unpack
from tumpline.wire.times import A_TIME, from_rfc3339, to_rfc3339
from tumpline.wire.units import Scale
from tumpline.wire.words import Refused, kind_of_value, quoted

Readings = list[ReadingTaken | ReadingRefused]

_YEAR_5000 = 1e11
"""s. A number this large is a sender's count of milliseconds."""
_MOST_NAMES = 256
_NAME_BREAKS = "/:._"
_document = msgspec.json.Decoder().decode


class Reader(Protocol):
    """Reads the messages of one topic in one form of payload."""

    signal: str
    """Whose a message is that cannot be read at all."""

    def read(self, payload: bytes, arrived: float, latest: float) -> Readings:
        """At least one reading or refusal; `latest` is the last time that is not refused as in the future."""
        ...


def reader(meters: Sequence[tuple[Meter, PayloadFormat]], of_line: Mapping[str, Meter]) -> Reader:
    """
    The reader for these meters on one topic. Several may share a topic of SenML packs, told apart by the names in
    the pack; a topic with any other form has one. `of_line` holds all meters of the line by signal.
    """
    meter, format_ = meters[0]
    if format_.pointer is not None:
        return DocumentReader(meter=meter, pointer=format_.pointer, time_pointer=format_.time_pointer)
    if format_.kind == "number":
        return NumberReader(meter)
    packs = PackReader(meters=[m for m, _ in meters], of_line=of_line)
    return packs if format_.kind == "senml" else RawReader(meter=meter, packs=packs)


class PackReader:
    """SenML packs."""

    def __init__(self, *, meters: Sequence[Meter], of_line: Mapping[str, Meter]) -> None:
        """Records with no name, or with one that is no signal's, belong to the only meter; with several to none."""
        self.signal = meters[0].name
        self._default = meters[0] if len(meters) == 1 else None
        self._of_line = of_line
        self._by_name: dict[str, Meter | None] = {}

    def read(self, payload: bytes, arrived: float, latest: float) -> Readings:
        """One reading or refusal a record; a pack that cannot be read is one refusal."""
        records = unpack(payload)
        if isinstance(records, Refused):
            return [self._refused(arrived, records.reason)]
        readings: Readings = []
        for record in resolve(records, arrived):
            name, value, at = record.name, record.value, record.at
            meter = self._by_name[name] if name in self._by_name else self._find(name)
            if type(value) is not float or meter is None:
                readings.append(self._unusual(record, meter, arrived, latest))
                continue
            scale = meter.scales.get(record.unit)
            if scale is None:
                readings.append(ReadingRefused(meter.name, arrived, meter.wrong_unit(record.unit or "")))
                continue
            si = value * scale[0] + scale[1]
            if 0.0 <= at <= latest and meter.low <= si <= meter.high:
                readings.append(ReadingTaken(meter.name, at, si, arrived))
            else:
                readings.append(_judged(meter, scale, value, at, arrived, latest))
        return readings or [self._refused(arrived, "the pack holds no value; a record with a number (v) is accepted")]

    def _find(self, name: str) -> Meter | None:
        """The meter a record's name means: its own name, or one that ends with it after a break."""
        found = self._default
        for signal, meter in self._of_line.items():
            if name.endswith(signal) and (len(name) == len(signal) or name[-len(signal) - 1] in _NAME_BREAKS):
                found = meter
        if len(self._by_name) < _MOST_NAMES:  # names come from outside: the memory for them is bounded
            self._by_name[name] = found
        return found

    def _unusual(
        self, record: Resolved, meter: Meter | None, arrived: float, latest: float
    ) -> ReadingTaken | ReadingRefused:
        """A record without a plain number: a sum, true or false, text; or one of nobody's name."""
        if meter is None:
            return self._refused(
                arrived, f"{quoted(record.name)} in the pack is no signal; a name ending in {self.signal} is accepted"
            )
        value, scales = record.value, meter.scales
        if isinstance(value, bool) and meter.takes_truth:
            return _judged(meter, meter.scales[None], float(value), record.at, arrived, latest)
        if value is None and record.sum is not None and meter.takes_sums:
            value, scales = record.sum, meter.sum_scales
        if not isinstance(value, float):
            got = "only a sum (s)" if value is None else kind_of_value(value)
            return ReadingRefused(meter.name, arrived, f"{meter.name}: a record holds {got}; a number (v) is accepted.")
        scale = scales.get(record.unit)
        if scale is None:
            return ReadingRefused(meter.name, arrived, meter.wrong_unit(record.unit or ""))
        return _judged(meter, scale, value, record.at, arrived, latest)

    def _refused(self, arrived: float, clause: str) -> ReadingRefused:
        return ReadingRefused(self.signal, arrived, f"{self.signal}: {clause}.")


class NumberReader:
    """Payloads that are one number."""

    def __init__(self, meter: Meter) -> None:
        """The number is in the configured unit."""
        self.signal = meter.name
        self._meter = meter

    def read(self, payload: bytes, arrived: float, latest: float) -> Readings:
        """One reading of the moment it arrived, or one refusal."""
        meter = self._meter
        try:
            value = float(payload)
        except ValueError:
            truth = {b"true": 1.0, b"false": 0.0}.get(payload.strip().lower()) if meter.takes_truth else None
            if truth is None:
                return [self._refused(payload, arrived)]
            value = truth
        if b"_" in payload:  # Python's digit grouping, nobody else's
            return [self._refused(payload, arrived)]
        return [_judged(meter, meter.scales[None], value, arrived, arrived, latest)]

    def _refused(self, payload: bytes, arrived: float) -> ReadingRefused:
        got = quoted(payload.decode(errors="replace")) if payload.strip() else "empty"
        return ReadingRefused(
            self.signal, arrived, f"{self.signal}: the payload is {got}; one number with a decimal point is accepted."
        )


class RawReader:
    """Raw currents and counts: a SenML pack where the payload is a list, else one number."""

    def __init__(self, *, meter: Meter, packs: PackReader) -> None:
        """The meter scales."""
        self.signal = meter.name
        self._packs = packs
        self._numbers = NumberReader(meter)

    def read(self, payload: bytes, arrived: float, latest: float) -> Readings:
        """As the form of the payload wants it."""
        if payload.lstrip()[:1] == b"[":
            return self._packs.read(payload, arrived, latest)
        return self._numbers.read(payload, arrived, latest)


class DocumentReader:
    """JSON documents with the value at one place and perhaps the time at another."""

    def __init__(self, *, meter: Meter, pointer: str, time_pointer: str | None) -> None:
        """Pointers as in RFC 6901."""
        self.signal = meter.name
        self._meter = meter
        self._pointer = pointer
        self._time_pointer = time_pointer

    def read(self, payload: bytes, arrived: float, latest: float) -> Readings:
        """One reading, or one refusal."""
        at = arrived
        try:
            document = _document(payload)
        except (msgspec.MsgspecError, UnicodeDecodeError, RecursionError) as error:
            found: float | Refused = Refused(f"{why_unreadable(payload, error)}; a JSON document is accepted")
        else:
            found = self._value(document)
            if self._time_pointer is not None and not isinstance(found, Refused):
                time = _time(document, self._time_pointer)
                if isinstance(time, Refused):
                    found = time
                else:
                    at = time
        if isinstance(found, Refused):
            return [ReadingRefused(self.signal, arrived, f"{self.signal}: {found.reason}.")]
        return [_judged(self._meter, self._meter.scales[None], found, at, arrived, latest)]

    def _value(self, document: object) -> float | Refused:
        value = at_pointer(document, self._pointer)
        if isinstance(value, Refused):
            return value
        number = _number(value)
        if isinstance(value, bool):
            number = float(value) if self._meter.takes_truth else None
        if number is None:
            return Refused(f"the value at {quoted(self._pointer)} is {kind_of_value(value)}; a number is accepted")
        return number


def _number(value: object) -> float | None:
    if not isinstance(value, int | float):
        return None
    try:
        return float(value)
    except OverflowError:
        return float("inf")


def _time(document: object, pointer: str) -> float | Refused:
    value = at_pointer(document, pointer)
    if isinstance(value, Refused):
        return value
    at = from_rfc3339(value) if isinstance(value, str) else None if isinstance(value, bool) else _number(value)
    if at is None:
        possible = f"{A_TIME} or seconds or milliseconds since 1970 is accepted"
        return Refused(f"the time at {quoted(pointer)} is {quoted(value)}; {possible}")
    return at / 1000.0 if at >= _YEAR_5000 else at


def _judged(
    meter: Meter, scale: Scale, value: float, at: float, arrived: float, latest: float
) -> ReadingTaken | ReadingRefused:
    """The reading, unless its sensor cannot have measured it or its time cannot be."""
    si = value * scale.factor + scale.offset
    if not meter.low <= si <= meter.high:
        return ReadingRefused(meter.name, arrived, meter.out_of_range(si), meter.beyond(si))
    if not 0.0 <= at <= latest:
        wrong = f"{to_rfc3339(at)} is in the future" if 0.0 <= at < _YEAR_5000 else f"{at:g} s after 1970 cannot be"
        return ReadingRefused(
            meter.name, arrived, f"{meter.name}: its time {wrong}; 1970 to {to_rfc3339(latest)} is accepted."
        )
    return ReadingTaken(meter.name, at, si, arrived)
