"""The line's sensors: what each can read, how well, and what it says of a true value."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from random import Random

from tumpline_sim.faults import Effects

EXPECTED = ("flume/flow", "mill/throughput", "press/pressure", "juice/flow")
COUNTER_ROLLS_AT = 1_000_000.0

_NOISE = 0.004  # of the reading


class SignalChoiceError(ValueError):
    """A choice of signals that cannot be met; the message says what there is."""


@dataclass(frozen=True)
class Sensor:
    """One kind of sensor and its maker's limits of error."""

    name: str
    unit: str
    high: float
    """Top of the range; with `per_rate` for each t/h of the line."""
    of_reading: float = 0.0
    of_span: float = 0.0
    decimals: int = 2
    per_rate: bool = False
    low: float = 0.0
    counter: bool = False

    def top(self, rate: float) -> float:
        """Top of the range on a line of `rate` t/h."""
        return self.high * rate if self.per_rate else self.high


SENSORS = (
    Sensor("flume/flow", "L/s", 10.0, of_reading=0.02, per_rate=True, decimals=3),
    Sensor("mill/throughput", "t/h", 2.25, of_reading=0.015, per_rate=True, decimals=4),
    Sensor("press/pressure", "bar", 8.0, of_reading=0.01, decimals=3),
    Sensor("juice/flow", "L/min", 62.5, of_reading=0.01, per_rate=True, decimals=3),
    Sensor("juice/total", "L", COUNTER_ROLLS_AT, of_reading=0.01, counter=True, decimals=1),
    Sensor("mill/total", "kg", COUNTER_ROLLS_AT, of_reading=0.015, counter=True, decimals=1),
    Sensor("mill/current", "A", 22.5, of_reading=0.02, per_rate=True),
    Sensor("pulp/level", "%", 100.0, of_span=0.02, decimals=1),
    Sensor("press/belt-speed", "m/min", 10.0, of_reading=0.01, decimals=3),
    Sensor("press/wash-pressure", "bar", 10.0, of_span=0.01),
    Sensor("juice/brix", "%Bx", 30.0, of_reading=0.01),
    Sensor("juice/temperature", "Cel", 50.0, of_span=0.005, low=-10.0),
    Sensor("pomace/flow", "kg/h", 1000.0, of_reading=0.03, per_rate=True, decimals=1),
    Sensor("pomace/trailer", "kg", 3000.0, of_span=0.002, per_rate=True, decimals=0),
    Sensor("vat/V1/volume", "L", 5000.0, of_span=0.003, per_rate=True, decimals=0),
    Sensor("vat/V2/volume", "L", 5000.0, of_span=0.003, per_rate=True, decimals=0),
    Sensor("water/make-up", "L/min", 75.0, of_reading=0.02, per_rate=True),
    Sensor("line/emergency-stop", "/", 1.0, decimals=0),
)
_SAME_METER = {"juice/total": "juice/flow", "mill/total": "mill/throughput"}


def chosen(text: str) -> tuple[Sensor, ...]:
    """The sensors that `text` asks for: `expected`, `all`, or names with commas."""
    if text == "all":
        return SENSORS
    wanted = EXPECTED if text == "expected" else tuple(name.strip() for name in text.split(","))
    known = {sensor.name: sensor for sensor in SENSORS}
    for name in wanted:
        if name not in known:
            raise SignalChoiceError(
                f"signal {name!r} is not one the simulated line has: expected, all, or {', '.join(known)}"
            )
    return tuple(known[name] for name in dict.fromkeys(wanted))


class Fitted:
    """A sensor as fitted: its bias is drawn once, within the maker's limits, and stays for the shift.

    A counter is a second reading of its meter and so has that meter's bias.
    """

    def __init__(self, sensor: Sensor, *, seed: str, rate: float, tidy: bool, unbiased: bool) -> None:
        meter = Random(f"{seed}/meter/{_SAME_METER.get(sensor.name, sensor.name)}")
        self._rng = Random(f"{seed}/sensor/{sensor.name}")
        self.sensor = sensor
        self._low, self._high = sensor.low, sensor.top(rate)
        self.share = 0.0 if unbiased else meter.uniform(-1.0, 1.0) * sensor.of_reading
        self.offset = 0.0 if unbiased else meter.uniform(-1.0, 1.0) * sensor.of_span * (self._high - self._low)
        self._noise_of_span = 0.1 * sensor.of_span * (self._high - self._low)
        self._count = round(self._rng.uniform(0.05, 0.95) * COUNTER_ROLLS_AT, 1) if sensor.counter else 0.0
        self._tidy = tidy
        self._out_s = 0.0
        self._last = 0.0
        self.dropouts: list[tuple[float, float]] = []
        """When it was silent of its own accord: from, until (s)."""

    def read(self, now: float, true: float, effects: Effects) -> Iterator[tuple[float, float, float]]:
        """Each reading it sends of this second: when taken (s), value, s until it arrives.

        `true` is the true value; of a counter, what was added in this second.
        """
        value = self._value(true, effects)
        if self.sensor.name in effects.frozen:
            value = self._last
        elif self.sensor.name in effects.at_limit and not self.sensor.counter:
            value = self._high
        self._last = value
        taken = now + self._rng.uniform(-0.03, 0.03)
        if self._dropped_out(now) or self.sensor.name in effects.silent:
            return
        delay = self._rng.uniform(0.005, 0.15)
        if self._tidy:
            yield taken, value, delay
            return
        chance = self._rng.random()
        if chance < 0.01:
            delay = self._rng.uniform(0.5, 2.9)
        yield taken, value, delay
        if chance > 0.997:
            yield taken, value, delay + self._rng.uniform(0.01, 0.05)

    def _value(self, true: float, effects: Effects) -> float:
        sensor = self.sensor
        gain = 1.0 + self.share
        if sensor.name in ("juice/flow", "juice/total"):
            gain *= effects.juice_meter
        if sensor.counter:
            self._count = (self._count + true * gain) % COUNTER_ROLLS_AT
            return round(self._count, sensor.decimals)
        value = true * gain + self.offset
        if sensor.of_reading:
            value *= 1.0 + self._rng.gauss(0.0, _NOISE)
            if sensor.name == "juice/flow" and effects.juice_meter_noise:
                value *= 1.0 + self._rng.gauss(0.0, effects.juice_meter_noise)
        elif self._noise_of_span:
            value += self._rng.gauss(0.0, self._noise_of_span)
        return round(min(max(value, self._low), self._high), sensor.decimals) + 0.0

    def _dropped_out(self, now: float) -> bool:
        """Silence, about every other hour: mostly a few seconds, now and then up to two minutes."""
        if self._tidy:
            return False
        if self._out_s > 0.0:
            self._out_s -= 1.0
        elif self._rng.random() < 1.0 / 7200.0:
            self._out_s = self._rng.uniform(2.0, 9.0) if self._rng.random() < 0.7 else self._rng.uniform(20.0, 120.0)
            self.dropouts.append((now, now + self._out_s))
        return self._out_s > 0.0
