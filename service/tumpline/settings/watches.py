"""`[line.watch.NAME]`: the limits of the watches, each with the default that its watch has."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, ClassVar, Self

from pydantic import BaseModel, ConfigDict, Field, StrictBool, model_validator

from tumpline.pressing.params import WATCHES, WatchParams
from tumpline.pressing.watches.juice import AT_ONCE
from tumpline.settings.problems import Problem, raise_any
from tumpline.settings.values import Duration, Fraction, MaybeNoDuration

_DELAY, _DEADBAND = 'a time such as "10 s"', 'a share such as "5 %"'


class Watch(BaseModel):
    """What every watch has. `words` says what it does, with its numbers in it."""

    model_config = ConfigDict(extra="forbid", frozen=True)
    words: ClassVar[str]

    on: StrictBool = Field(default=True, description="true or false")

    def params(self) -> WatchParams:
        """The numbers as the watch takes them."""
        return WatchParams(**self.model_dump())

    def said(self) -> str:
        """What it does, in a clause."""
        if not self.on:
            return "off"
        numbers = self.model_dump()
        limit, deadband = numbers.get("limit", 0.0), numbers.get("deadband", 0.0)
        return self.words.format(
            limit=f"{100.0 * limit:g} %",
            back=f"{100.0 * (limit + deadband):g} %",
            under=f"{100.0 * (limit - deadband):g} %",
            lost=f"{100.0 * (1.0 - limit):g} %",
            at_once=f"{100.0 * AT_ONCE * (1.0 - limit):g} %",
            delay=f"{numbers.get('delay', 0.0):g} s",
            ahead=f"{numbers.get('ahead', 0.0) / 60.0:g} minutes",
        )


def _of(watch: str, number: str, accepted: str, **bounds: Any) -> Any:
    return Field(default=getattr(WATCHES[watch], number), description=accepted, **bounds)


class _Low(Watch):
    """A watch of something that falls under its limit."""

    limit: Fraction
    deadband: Fraction

    @model_validator(mode="after")
    def _ends(self) -> Self:
        if self.limit + self.deadband >= 1.0:
            words = "ends the alarm only at the usual or above; with the limit it has to stay under 100 %"
            raise_any([Problem("deadband", words)])
        return self


class MillBlocked(_Low):
    """`mill-blocked`."""

    words = (
        "throughput falls within seconds under {limit} of the usual, for {delay} or at once with the current high, "
        "while fruit should come; until it is over {back} again"
    )
    limit: Fraction = _of("mill-blocked", "limit", 'a share up to 50 %, such as "25 %"', gt=0.0, le=0.5)
    delay: MaybeNoDuration = _of("mill-blocked", "delay", _DELAY)
    deadband: Fraction = _of("mill-blocked", "deadband", _DEADBAND)


class FruitStarved(Watch):
    """`fruit-starved`."""

    words = "hardly any fruit for {delay} at a mill that could take it, with fruit of the load still to come"
    delay: Duration = _of("fruit-starved", "delay", _DELAY)


class HardObject(Watch):
    """`hard-object`."""

    words = "the mill's current rises over {limit} of the usual and falls back within 3 s, and fruit goes on"
    limit: Fraction = _of("hard-object", "limit", 'a share over 120 %, such as "160 %"', gt=1.2)


class FlumeLow(_Low):
    """`flume-low`."""

    words = "the flume's water is under {limit} of the usual for {delay}, and does not stand; until it is over {back}"
    limit: Fraction = _of("flume-low", "limit", 'a share under 100 %, such as "70 %"', gt=0.0, lt=1.0)
    delay: MaybeNoDuration = _of("flume-low", "delay", _DELAY)
    deadband: Fraction = _of("flume-low", "deadband", _DEADBAND)


class JuiceLow(_Low):
    """`juice-low`."""

    words = (
        "juice is under {limit} of what its fruit gave before, or has fallen by {at_once} of a sudden, for {delay}; "
        "until it is over {back}"
    )
    limit: Fraction = _of("juice-low", "limit", 'a share under 100 %, such as "80 %"', gt=0.0, lt=1.0)
    delay: MaybeNoDuration = _of("juice-low", "delay", _DELAY)
    deadband: Fraction = _of("juice-low", "deadband", _DEADBAND)


class YieldDrift(Watch):
    """`yield-drift`."""

    words = (
        "the line has lost {limit} of the yield it gave, fruit and layer allowed for, for {delay}; until under {under}"
    )
    limit: Fraction = _of("yield-drift", "limit", 'a share up to 50 %, such as "5 %"', gt=0.0, le=0.5)
    delay: MaybeNoDuration = _of("yield-drift", "delay", _DELAY)
    deadband: Fraction = _of("yield-drift", "deadband", _DEADBAND)

    @model_validator(mode="after")
    def _ends(self) -> Self:
        if self.deadband >= self.limit:
            raise_any([Problem("deadband", "ends the alarm only where nothing is lost; it has to be under the limit")])
        return self


class PressureLow(_Low):
    """`pressure-low`."""

    words = "press air is under {limit} of the usual for {delay}, or is being lost; until it is over {back}"
    limit: Fraction = _of("pressure-low", "limit", 'a share under 100 %, such as "90 %"', gt=0.0, lt=1.0)
    delay: MaybeNoDuration = _of("pressure-low", "delay", _DELAY)
    deadband: Fraction = _of("pressure-low", "deadband", _DEADBAND)


class PressureHigh(Watch):
    """`pressure-high`."""

    words = "press air is over {limit} of the usual for {delay}; until it is under {under}"
    limit: Fraction = _of("pressure-high", "limit", 'a share over 100 %, such as "110 %"', gt=1.0)
    delay: MaybeNoDuration = _of("pressure-high", "delay", _DELAY)
    deadband: Fraction = _of("pressure-high", "deadband", _DEADBAND)


class VatNearlyFull(Watch):
    """`vat-nearly-full`."""

    words = "the vat in use is over {limit} full, or full within {ahead}, for {delay}; until it is under {under}"
    limit: Fraction = _of("vat-nearly-full", "limit", 'a share up to 100 %, such as "90 %"', gt=0.0, le=1.0)
    ahead: MaybeNoDuration = _of("vat-nearly-full", "ahead", 'a time such as "10 min"')
    delay: MaybeNoDuration = _of("vat-nearly-full", "delay", _DELAY)
    deadband: Fraction = _of("vat-nearly-full", "deadband", _DEADBAND)


class TrailerNearlyFull(VatNearlyFull):
    """`trailer-nearly-full`."""

    words = "the trailer in use is over {limit} full, or full within {ahead}, for {delay}; until it is under {under}"


class SignalLost(Watch):
    """`signal-lost`."""

    words = "a signal is not heard for {delay} longer than its stale_after, or its readings tell nothing"
    delay: MaybeNoDuration = _of("signal-lost", "delay", _DELAY)


class BalanceOpen(Watch):
    """`balance-open`."""

    words = "the meters do not agree with each other"


class Watches(BaseModel):
    """`[line.watch]`: a table for each watch."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    mill_blocked: MillBlocked = Field(default=MillBlocked(), alias="mill-blocked", description="a table")
    fruit_starved: FruitStarved = Field(default=FruitStarved(), alias="fruit-starved", description="a table")
    hard_object: HardObject = Field(default=HardObject(), alias="hard-object", description="a table")
    flume_low: FlumeLow = Field(default=FlumeLow(), alias="flume-low", description="a table")
    juice_low: JuiceLow = Field(default=JuiceLow(), alias="juice-low", description="a table")
    yield_drift: YieldDrift = Field(default=YieldDrift(), alias="yield-drift", description="a table")
    pressure_low: PressureLow = Field(default=PressureLow(), alias="pressure-low", description="a table")
    pressure_high: PressureHigh = Field(default=PressureHigh(), alias="pressure-high", description="a table")
    vat_nearly_full: VatNearlyFull = Field(default=VatNearlyFull(), alias="vat-nearly-full", description="a table")
    trailer_nearly_full: TrailerNearlyFull = Field(
        default=TrailerNearlyFull(), alias="trailer-nearly-full", description="a table"
    )
    signal_lost: SignalLost = Field(default=SignalLost(), alias="signal-lost", description="a table")
    balance_open: BalanceOpen = Field(default=BalanceOpen(), alias="balance-open", description="a table")

    def by_name(self) -> Iterator[tuple[str, Watch]]:
        """Every watch with the name of its alarm."""
        for key, field in type(self).model_fields.items():
            yield str(field.alias), getattr(self, key)

    def params(self) -> dict[str, WatchParams]:
        """What the watches are built from."""
        return {name: watch.params() for name, watch in self.by_name()}
