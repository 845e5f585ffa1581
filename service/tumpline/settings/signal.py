"""One signal of a line, as the settings describe it."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Literal, Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from tumpline.pressing.params import Accuracy, SignalParams
from tumpline.settings.problems import Problem, raise_any
from tumpline.settings.typical import typical_of
from tumpline.settings.values import Duration, Name, Pair, limits_in, parse_accuracy
from tumpline.wire.catalogue import NAMES, SignalKind, kind_of
from tumpline.wire.formats import PayloadFormat
from tumpline.wire.units import SCALES, accepted, parse_quantity, to_si
from tumpline.wire.words import Refused, did_you_mean, listed


class Signal(BaseModel):
    """A signal: what it is called, how it is sent, and how far its meter can be trusted."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    name: Name = Field(description=f"one of {listed(NAMES)}")
    payload: Literal["senml", "number", "json", "scaled"] = Field(
        default="senml", description='"senml", "number", "json" or "scaled"'
    )
    unit: Name | None = Field(default=None, description='a unit such as "t/h"')
    range: Pair | None = Field(default=None, description="[low, high] the sensor can measure")
    accuracy: Name | None = Field(default=None, description=f"a limit such as {limits_in('bar')}")
    stale_after: Duration = Field(default=10.0, description='a time such as "10 s"')
    rollover: Name | None = Field(default=None, description='a counter\'s capacity such as "1000000 L"')
    topic: Name | None = Field(default=None, description="an existing transmitter's topic without + or #")
    pointer: str | None = Field(default=None, description='a JSON pointer (RFC 6901) such as "/values/flow"')
    time_pointer: str | None = Field(default=None, description='a JSON pointer (RFC 6901) such as "/time"')
    from_: Pair | None = Field(default=None, alias="from", description="[4, 20] for mA, or [low, high] counts")
    to: Pair | None = Field(default=None, description="[value at low, value at high] in the signal's unit")

    @property
    def kind(self) -> SignalKind:
        """What a signal of this name measures."""
        kind = kind_of(self.name)
        assert kind is not None, "a signal without a kind is refused when it is read"
        return kind

    @property
    def own_unit(self) -> str:
        """The unit its numbers are in where the payload does not say."""
        return self.unit or self.kind.unit

    @property
    def own_range(self) -> Pair:
        """What its sensor can measure, in its unit: as given, else from the scale, else what is typical."""
        if self.range is not None:
            return self.range
        if self.to is not None:
            return min(self.to), max(self.to)
        typical, scale = typical_of(self.name), SCALES[self.kind.quantity.value][self.own_unit]
        low, high = (to_si(x, self.kind.unit, self.kind.quantity.value) for x in (typical.low, typical.high))
        return (low - scale.offset) / scale.factor, (high - scale.offset) / scale.factor

    def params(self) -> SignalParams:
        """What the computation needs to know, in SI."""
        dimension = self.kind.quantity.value
        low, high = (to_si(x, self.own_unit, dimension) for x in self.own_range)
        accuracy, rollover = self._accuracy(), self.rollover and parse_quantity(self.rollover, dimension)
        assert isinstance(accuracy, Accuracy) and not isinstance(rollover, Refused | str), "refused when it is read"
        return SignalParams(
            name=self.name,
            quantity=self.kind.quantity,
            low=low,
            high=high,
            accuracy=accuracy,
            stale_after=self.stale_after,
            rollover=rollover,
        )

    def format(self) -> PayloadFormat:
        """What the reading of its messages needs to know."""
        return PayloadFormat(
            unit=self.own_unit,
            kind=self.payload,
            pointer=self.pointer,
            time_pointer=self.time_pointer,
            from_=self.from_,
            to=self.to,
            topic=self.topic,
        )

    def _accuracy(self) -> Accuracy | Refused:
        dimension = self.kind.quantity.value
        text = self.accuracy or typical_of(self.name).accuracy
        known = self.range is not None or self.to is not None
        low, high = (to_si(x, self.own_unit, dimension) for x in self.own_range)
        return parse_accuracy(text, unit=self.own_unit, dimension=dimension, span=high - low if known else None)

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        if kind_of(self.name) is None:
            raise_any([Problem("name", f"is no signal{did_you_mean(self.name, NAMES)}; {listed(NAMES)} is accepted")])
        if self.own_unit not in SCALES[self.kind.quantity.value]:
            units = accepted(self.kind.quantity.value)
            raise_any([Problem("unit", f"does not measure {self.kind.meaning}; {units} is accepted")])
        raise_any([*self._numbers_that_do_not_fit(), *self._payload_that_does_not_fit()])
        return self

    def _numbers_that_do_not_fit(self) -> Iterator[Problem]:
        if self.range is not None and self.range[0] >= self.range[1]:
            yield Problem("range", "does not go upwards; [low, high] with low below high is accepted")
        accuracy = self._accuracy()
        if isinstance(accuracy, Refused):
            yield Problem("accuracy", accuracy.reason)
        if self.rollover is not None:
            capacity = parse_quantity(self.rollover, self.kind.quantity.value)
            if not self.kind.total:
                yield Problem("rollover", f"belongs to counters; {self.name} is none, and no rollover is accepted")
            elif isinstance(capacity, Refused):
                units = accepted(self.kind.quantity.value)
                yield Problem("rollover", f"is no capacity; a number with a unit of {units} is accepted")
            elif capacity <= 0.0:
                yield Problem("rollover", "holds nothing; a capacity above 0 is accepted")

    def _payload_that_does_not_fit(self) -> Iterator[Problem]:
        for key, pointer in (("pointer", self.pointer), ("time_pointer", self.time_pointer)):
            if pointer is not None and pointer != "" and not pointer.startswith("/"):
                yield Problem(key, 'is no JSON pointer; one that starts with "/" (RFC 6901) is accepted')
        if self.payload == "json" and self.pointer is None:
            yield Problem("pointer", 'is missing; payload = "json" needs one such as "/values/flow"')
        if self.payload in ("senml", "number") and self.pointer is not None:
            yield Problem("pointer", f'does not go with payload = "{self.payload}"; "json" or "scaled" is accepted')
        if self.time_pointer is not None and self.pointer is None:
            yield Problem("time_pointer", 'needs a "pointer" to the value beside it')
        if self.topic is not None and any(c in self.topic for c in "+#\0"):
            yield Problem("topic", "is a pattern; a topic without + or # is accepted")
        yield from self._scale_that_does_not_fit()

    def _scale_that_does_not_fit(self) -> Iterator[Problem]:
        for key, pair in (("from", self.from_), ("to", self.to)):
            if pair is None and self.payload == "scaled":
                yield Problem(key, 'is missing; payload = "scaled" needs both from = [4, 20] and to = [low, high]')
            elif pair is not None and self.payload != "scaled":
                yield Problem(key, f'does not go with payload = "{self.payload}"; "scaled" is accepted')
        if self.from_ is not None and self.from_[0] >= self.from_[1]:
            yield Problem("from", "does not go upwards; [low, high] with low below high is accepted")
        if self.to is not None and self.to[0] == self.to[1]:
            yield Problem("to", "has no width; two different values are accepted")
