"""Does a sensor still tell what it measures? One `SensorCheck` a signal, looked at together once a second.

The caller's duties: `take` every good reading in, `refuse` every refused one, and once a second `examine` all checks
of the line, saying whether the line runs and whether all is normal. What is usual is learned while all is normal, and
frozen while anything is wrong. `Finding.said` is the sentence for people.

Limits without a source beside them are common practice, no source.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from enum import Enum
from typing import NamedTuple

from msgspec import Struct, field

from tumpline.pressing.params import Quantity, SignalParams
from tumpline.pressing.qartod import Flag, FlatLine, gap, gross_range, rate_of_change
from tumpline.pressing.scatter import Scatter

_FLOWS = frozenset({Quantity.VOLUME_FLOW, Quantity.MASS_FLOW})
_TREMBLES = _FLOWS | {Quantity.CURRENT}
"""What never reads the same for minutes while the line runs."""
_MAY_FREEZE = _TREMBLES | {Quantity.PRESSURE, Quantity.FRACTION}
"""A vat at rest, a set speed and a slow instrument may rightly stand still."""
_FASTEST = {Quantity.TEMPERATURE: 1.0, Quantity.FRACTION: 0.2}
"""SI a second. Pumps and valves change flows and pressures at once."""
_ANY = (-math.inf, math.inf)
_FLOW_OF = {"juice/total": "juice/flow", "mill/total": "mill/throughput"}
_NOTHING = 0.005  # of the span: under it nothing flows, and nothing may rightly go on flowing
_LATELY, _PEERS = 5.0, 2  # seconds in which so many other signals must have moved
_CHANGES = 30  # seen before a signal's pace is known
_STILL, _TIMES_USUAL = 30.0, 6.0  # seconds, and times its longest ordinary run: longer than both is frozen
_ALIKE = 5  # readings: two that are alike by chance may have silence between them
_NEVER_MOVED = 600.0  # seconds, where the pace could not be learned
_AT_END, _LIMIT_DELAY = 0.0005, 4.0  # of the span; seconds
_BELOW_ZERO = 0.01  # of the span: a zero that has drifted, not yet a meter at its lower end (NE 43 ends 0.0125 below)
_REFUSALS = 3  # in a row
_NOISY, _QUIET, _NOISE_DELAY = 4.0, 2.0, 10.0  # times the usual variance to raise and to clear; seconds
_READS_HIGH = 1.03  # times the usual level


class Sensor(NamedTuple):
    """What a meter's readings are held against, worked out once."""

    meter: SignalParams
    flow: bool
    counts: bool
    """A counter, which must go on while its line runs."""
    nothing: float
    """The reading up to which nothing flows."""
    ends: tuple[float, float]
    """Of its range, where readings tell nothing more."""
    fastest: float | None
    """SI a second; None where it may jump."""


def sensor_of(meter: SignalParams) -> Sensor:
    """The sensor that a meter is."""
    counts = meter.name.endswith("/total")
    slack = _AT_END * meter.span
    # An end at zero is where nothing flows, and no limit.
    low = meter.low + slack if meter.low != 0.0 else -_BELOW_ZERO * meter.span
    # Nor is a counter's: from there it rolls over.
    ends = _ANY if counts or meter.quantity is Quantity.STATUS else (low, meter.high - slack)
    nothing = -math.inf if counts else _NOTHING * meter.span
    return Sensor(meter, meter.quantity in _FLOWS, counts, nothing, ends, _FASTEST.get(meter.quantity))


class Trouble(Enum):
    """What is wrong with a sensor, by its own readings."""

    REFUSED = "refused"
    AT_LIMIT = "at limit"
    FROZEN = "frozen"
    ALL_FROZEN = "all frozen"
    """This one, and no other moves either: what passes them on repeats itself."""
    NOISY = "noisy"
    AIR = "air"
    """Noisy, and reads high: a flow meter with air in it."""


class Finding(Struct, frozen=True):
    """What the checks say of one signal at one moment."""

    flag: Flag
    """Of the newest reading; a spike is seen one reading later."""
    trouble: Trouble | None = None
    since: float | None = None
    """Event time from which the trouble lasts."""
    noise: float | None = None
    """Variance of a flow's readings around each other, in times the usual; None while that is not known."""
    level: float | None = None
    """Mean of the readings while something flows, in times the usual; None while that is not known."""

    def said(self, name: str, now: float) -> str:
        """The trouble in one sentence; empty where there is none."""
        lasts = 0.0 if self.since is None else now - self.since
        match self.trouble:
            case Trouble.REFUSED:
                return f"The readings of {name} are refused: out of its range, or its transmitter signals a failure."
            case Trouble.AT_LIMIT:
                return f"{name} has stood at the end of its range for {lasts:.0f} s: the true value is not known."
            case Trouble.FROZEN:
                return f"{name} has not changed for {lasts:.0f} s while other signals move: it is probably frozen."
            case Trouble.ALL_FROZEN:
                return (
                    f"{name} has not changed for {lasts:.0f} s, and no other signal has: "
                    "what passes them on has probably stopped and repeats itself."
                )
            case Trouble.NOISY:
                return f"{name} scatters {_times(self.noise)} as much as usual."
            case Trouble.AIR:
                return f"{name} scatters {_times(self.noise)} as much as usual and reads high: there may be air in it."
            case _:
                return ""


class SensorCheck(Struct):
    """What is remembered of one sensor. Readings older than the newest are passed over."""

    at: float = -math.inf
    behind: float = 0.0
    """Seconds by which the newest reading's own time was behind all others' when it arrived."""
    before_at: float = -math.inf
    value: float = 0.0
    before: float = 0.0
    flat: FlatLine = field(default_factory=FlatLine)
    resolution: float = math.inf
    """Smallest change ever seen, SI."""
    changes: int = 0
    longest: float = 0.0
    """Longest ordinary run of readings alike, seconds; fades."""
    scatter: Scatter = field(default_factory=Scatter)
    """Of a flow."""
    spiked: float = math.inf
    """Reading that last stood apart from two neighbours that were alike; inf before the first."""
    jumped: float = math.inf
    """Reading that last was further from the one before than the process can move; inf before the first."""
    refusals: int = 0
    """In a row."""
    refused: float = -math.inf
    refused_since: float = -math.inf
    limit_since: float = math.inf
    noisy_since: float = math.inf
    noisy_high: bool = False
    """While noisy, the readings once stood above the usual too."""
    running_since: float = math.inf
    normal: bool = False
    """At the last look: the caller said so, and nothing was found."""

    def take(self, at: float, value: float, sensor: Sensor) -> None:
        """Take one good reading, SI."""
        if at <= self.at:
            return
        self.refusals = 0
        if sensor.fastest is not None and self.at > -math.inf:
            self._compare(at, value, sensor.fastest)
        self._run(at, value, sensor.nothing)
        if sensor.flow:
            self._scatter(value, sensor.nothing)
        if gross_range(value, _ANY, sensor.ends) is Flag.GOOD:
            self.limit_since = math.inf
        elif self.limit_since == math.inf:
            self.limit_since = at
        self.before_at, self.before, self.at, self.value = self.at, self.value, at, value

    def refuse(self, arrived: float) -> None:
        """A reading was refused: out of range, or the transmitter's failure signal."""
        if self.refusals == 0:
            self.refused_since = arrived
        self.refusals += 1
        self.refused = arrived

    def _compare(self, at: float, value: float, fastest: float) -> None:
        if rate_of_change(value - self.value, at - self.at, suspect=fastest) is not Flag.GOOD:
            self.jumped = at

    def _run(self, at: float, value: float, nothing: float) -> None:
        step = abs(value - self.value)
        if 0.0 < step < self.resolution and self.at > -math.inf:
            self.resolution = step
        lasted = self.flat.take(at, value, self.resolution * 1.000001 if self.resolution < math.inf else 0.0)
        if lasted is not None and self.normal and abs(self.value) > nothing:
            self.changes += 1
            ran = max(0.0, self.at - self.running_since)  # it may have stood before the line ran, and rightly
            self.longest = max(min(lasted, ran), 0.999 * self.longest)

    def _scatter(self, value: float, nothing: float) -> None:
        scatter = self.scatter
        before, middle = self.before, self.value
        if self.before_at > -math.inf and scatter.flows(min(before, middle, value), nothing):
            if scatter.stands_apart(before, middle, value):
                self.spiked = self.at
            scatter.take(before, middle, value, learn=self.normal)
        elif self.normal and value > nothing:
            scatter.fade()

    def look(self, now: float, sensor: Sensor, *, running: bool, normal: bool, peers: int | None) -> Finding:
        """
        What there is to say at `now`. `running`: fruit is being pressed; `normal`: and no alarm stands; `peers`: other
        signals that have moved lately, None where no signal at all has.
        """
        if running and sensor.flow and self.running_since == math.inf:
            self.scatter.begin_anew()
        self.running_since = min(self.running_since, now) if running else math.inf
        noise, level = self.scatter.against_usual() if sensor.flow else (None, None)
        self._time_noise(now, noise if running else None, level)
        missing = gap(now, self.at + self.behind, sensor.meter.stale_after) is Flag.MISSING
        trouble, since = self._trouble(now, sensor, peers, missing=missing)
        self.normal = normal and trouble is None
        return Finding(self._flag(trouble, missing=missing), trouble, since, noise, level)

    def _time_noise(self, now: float, noise: float | None, level: float | None) -> None:
        found = now - self.noisy_since >= _NOISE_DELAY
        if noise is None or noise < (_QUIET if found else _NOISY):
            self.noisy_since, self.noisy_high = math.inf, False
        else:
            self.noisy_since = min(self.noisy_since, now)
            self.noisy_high = self.noisy_high or (level or 0.0) > _READS_HIGH

    def _trouble(
        self, now: float, sensor: Sensor, peers: int | None, *, missing: bool
    ) -> tuple[Trouble | None, float | None]:
        if self.refusals >= _REFUSALS and now - self.refused <= sensor.meter.stale_after:
            return Trouble.REFUSED, self.refused_since
        if missing:
            return None, None
        if self.at - self.limit_since >= _LIMIT_DELAY:
            return Trouble.AT_LIMIT, self.limit_since
        since = max(self.flat.since, self.running_since)
        if self.flat.count >= _ALIKE and self.at - since > self._patience(sensor):
            if peers is None and self.changes >= _CHANGES:
                return Trouble.ALL_FROZEN, since
            if peers is not None and peers >= _PEERS:
                return Trouble.FROZEN, since
        if now - self.noisy_since >= _NOISE_DELAY:
            air = self.noisy_high and sensor.meter.quantity is Quantity.VOLUME_FLOW
            return Trouble.AIR if air else Trouble.NOISY, self.noisy_since
        return None, None

    def _patience(self, sensor: Sensor) -> float:
        """Seconds without a change, while the line runs, after which the signal is frozen."""
        quantity = sensor.meter.quantity
        if not (quantity in _MAY_FREEZE or sensor.counts) or abs(self.value) <= sensor.nothing:
            return math.inf
        if self.changes >= _CHANGES:
            # A tenth of a flow scatters by a tenth as much, and is rounded as before.
            thinner = self.scatter.usual_level / abs(self.value) if sensor.flow else 1.0
            return max(_STILL, _TIMES_USUAL * self.longest) * max(1.0, thinner)
        return _NEVER_MOVED if quantity in _TREMBLES else math.inf

    def _flag(self, trouble: Trouble | None, *, missing: bool) -> Flag:
        if trouble is Trouble.REFUSED or trouble is Trouble.AT_LIMIT:
            return Flag.FAIL
        if missing:
            return Flag.MISSING
        if trouble is not None or self.jumped == self.at or self.spiked == self.before_at:
            return Flag.SUSPECT
        known = self.changes >= _CHANGES or self.scatter.known
        return Flag.GOOD if known else Flag.NOT_EVALUATED


def examine(
    checks: Mapping[str, SensorCheck], sensors: Mapping[str, Sensor], now: float, *, running: bool, normal: bool
) -> dict[str, Finding]:
    """Look at all signals of a line: `running` while fruit is being pressed, `normal` while no alarm stands either."""
    moved = {name: now - check.flat.since <= _LATELY for name, check in checks.items()}
    movers = sum(moved.values())
    found = {}
    for name, check in checks.items():
        sensor = sensors.get(name)
        if sensor is not None:  # it may have left the settings
            goes = running and (not sensor.counts or _flows(name, checks, sensors, now))
            peers = movers - moved[name] if movers else None
            found[name] = check.look(now, sensor, running=goes, normal=normal and goes, peers=peers)
    return found


def _flows(counter: str, checks: Mapping[str, SensorCheck], sensors: Mapping[str, Sensor], now: float) -> bool:
    """Whether there is something for the counter to count, by its station's flow; not where none is heard."""
    name = _FLOW_OF.get(counter, "")
    check, sensor = checks.get(name), sensors.get(name)
    if check is None or sensor is None or gap(now, check.at + check.behind, sensor.meter.stale_after) is Flag.MISSING:
        return False
    return check.value > sensor.nothing


def _times(variance: float | None) -> str:
    """How many times as much that is, as people see scatter: by its standard deviation."""
    return f"{math.sqrt(variance or 0.0):.1f} times"
