"""One signal's numbers: which units it takes, what they are in SI, and what its sensor cannot have measured."""

from __future__ import annotations

import math
from typing import Literal

from tumpline.pressing.params import Quantity, SignalParams
from tumpline.wire.catalogue import kind_of
from tumpline.wire.formats import PayloadFormat
from tumpline.wire.units import SCALES, Scale, accepted, from_si
from tumpline.wire.words import listed, quoted

# NAMUR NE 43: a 4-20 mA transmitter measures from 3.8 to 20.5 mA and signals its failure at 3.6 mA or 21 mA.
MEASURED = (3.8, 20.5)
FAILED_LOW, FAILED_HIGH = 3.6, 21.0
LOOP = (4.0, 20.0)
"""mA."""


class Meter:
    """
    A signal as its transmitter sends it.

    `scales` is read by unit, None where none was sent; `sum_scales` likewise for sums over time, where a flow's unit
    stands for flow times seconds. A value is good between `low` and `high`, both SI.
    """

    def __init__(self, *, params: SignalParams, format_: PayloadFormat) -> None:
        """The unit of the format must be one of the signal's quantity."""
        self._params = params
        self._format = format_
        self.name = params.name
        kind = kind_of(params.name)
        self.takes_sums = kind is not None and kind.total
        self.takes_truth = params.quantity is Quantity.STATUS
        known = _by_unit(params.quantity.value)
        own = known[format_.unit]
        self.low, self.high = params.low, params.high
        self._is_loop = False
        self.scales: dict[str | None, Scale] = {None: own, **known}
        if format_.from_ is not None and format_.to is not None:
            self._scale_raw(own, format_.from_, format_.to)
        self.sum_scales: dict[str | None, Scale] = {**_by_unit(f"{params.quantity.value}/s"), **self.scales}

    def _scale_raw(self, own: Scale, from_: tuple[float, float], to: tuple[float, float]) -> None:
        slope = (to[1] - to[0]) / (from_[1] - from_[0])
        raw = Scale(slope * own.factor, (to[0] - slope * from_[0]) * own.factor + own.offset)
        self.scales = {None: raw, "mA": raw, "A": Scale(raw.factor * 1000.0, raw.offset)}
        self._is_loop = from_ == LOOP
        if not self._is_loop:
            self.scales["count"] = raw
            return
        # A range that ends where the scale ends goes as far as the current may: a little below zero is a measurement.
        ends = sorted(x * own.factor + own.offset for x in to)
        reach = sorted(i * raw.factor + raw.offset for i in MEASURED)
        slack = 1e-9 * (reach[1] - reach[0])
        narrower_low, narrower_high = self.low > ends[0] + slack, self.high < ends[1] - slack
        self.low = self.low if narrower_low else reach[0] - slack
        self.high = self.high if narrower_high else reach[1] + slack

    def wrong_unit(self, unit: str) -> str:
        """The sentence for a unit that does not measure this quantity."""
        if self._format.from_ is not None:
            units = listed(name for name in self.scales if name is not None)
        else:
            units = accepted(self._params.quantity.value)
        return f"{self.name}: the unit {quoted(unit)} is not one of this signal's; {units} is accepted."

    def beyond(self, si: float) -> Literal["low", "high"] | None:
        """Past which end of the range a value of SI lies; None for no number, or the sensor's failure signal."""
        if not math.isfinite(si) or (self._is_loop and not FAILED_LOW < self._current(si) < FAILED_HIGH):
            return None
        return "low" if si < self.low else "high" if si > self.high else None

    def _current(self, si: float) -> float:
        """mA of a loop."""
        return round((si - self.scales[None].offset) / self.scales[None].factor, 6)

    def out_of_range(self, si: float) -> str:
        """The sentence for a value of SI that this sensor cannot have measured."""
        if not math.isfinite(si):
            return f"{self.name}: {si} is not a number; a finite one is accepted."
        if self._is_loop:
            current = self._current(si)
            accepted_current = f"{MEASURED[0]:g} to {MEASURED[1]:g} mA is accepted"
            if current <= FAILED_LOW or current >= FAILED_HIGH:
                return f"{self.name}: {current:g} mA is the sensor failure signal of NAMUR NE 43; {accepted_current}."
            if not MEASURED[0] <= current <= MEASURED[1]:
                return f"{self.name}: {current:g} mA is not a measurement by NAMUR NE 43; {accepted_current}."
        unit, dimension = self._format.unit, self._params.quantity.value
        got, low, high = (from_si(x, unit, dimension) for x in (si, self.low, self.high))
        possible = f"{low:.6g} to {high:.6g} {unit} is accepted"
        return f"{self.name}: {got:.6g} {unit} is outside the sensor's physical range; {possible}."


def _by_unit(dimension: str) -> dict[str | None, Scale]:
    return dict(SCALES.get(dimension, {}).items())
