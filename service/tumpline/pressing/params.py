"""The numbers a line is built from. The settings make them; everything here is SI and frozen.

SI units inside, by quantity: flow m³/s, mass flow kg/s, pressure Pa, volume m³, mass kg, current A, speed m/s, level
and status as a fraction of one; two that practice keeps: sugar as °Bx (g per 100 g), temperature as °C.
"""

from __future__ import annotations

from enum import Enum

from msgspec import Struct, field
from msgspec.structs import force_setattr

from tumpline.pressing.blend import Bounds


class Quantity(Enum):
    """What a signal measures; decides its SI unit and which units a payload may use."""

    VOLUME_FLOW = "m3/s"
    MASS_FLOW = "kg/s"
    PRESSURE = "Pa"
    VOLUME = "m3"
    MASS = "kg"
    CURRENT = "A"
    SPEED = "m/s"
    FRACTION = "/"
    BRIX = "%Bx"
    TEMPERATURE = "Cel"
    STATUS = "0/1"


class Accuracy(Struct, frozen=True):
    """The maker's limits of error, taken as ± (GUM 4.3.7): a share of the reading plus a fixed part in SI."""

    of_reading: float = 0.0
    fixed: float = 0.0

    def half_width(self, reading: float) -> float:
        """How far the true value may be from this reading, SI."""
        return self.of_reading * abs(reading) + self.fixed


class SignalParams(Struct, frozen=True):
    """One signal of a line."""

    name: str
    """`station/quantity`, such as `mill/throughput`, or `vat/<vat>/volume`."""
    quantity: Quantity
    low: float
    """Lowest and highest physically possible reading, SI."""
    high: float
    accuracy: Accuracy
    stale_after: float = 10.0
    """Seconds without a reading after which the signal counts as lost."""
    rollover: float | None = None
    """A counter's capacity, SI: a fall from near it to near zero is a roll-over, any other fall a reset."""

    @property
    def span(self) -> float:
        """high - low, SI."""
        return self.high - self.low


class ResidenceParams(Struct, frozen=True):
    """First guess of the time from mill to juice meter, seconds: the least it takes, and its standard deviation."""

    delay: float = 60.0
    spread: float = 25.0


class WatchParams(Struct, frozen=True):
    """The numbers of one watch. Which of them it has, and what they are of, stands in `WATCHES`."""

    on: bool = True
    limit: float = 0.0
    """A share of what is usual, or of what there is room for."""
    delay: float = 0.0
    """Seconds for which the limit has to be passed before the alarm is raised."""
    deadband: float = 0.0
    """How far back over the limit ends the alarm; of the same as the limit."""
    ahead: float = 0.0
    """Seconds of running on as now in which the limit that matters will be reached."""


WATCHES: dict[str, WatchParams] = {
    # Of the usual throughput; no delay where the current shows the blockage.
    "mill-blocked": WatchParams(limit=0.25, delay=3.0, deadband=0.25),
    "fruit-starved": WatchParams(delay=20.0),
    "hard-object": WatchParams(limit=1.6),  # of the usual current
    "flume-low": WatchParams(limit=0.7, delay=10.0, deadband=0.1),  # of the usual flow
    "juice-low": WatchParams(limit=0.8, delay=5.0, deadband=0.1),  # of what this fruit gave before
    "yield-drift": WatchParams(limit=0.05, delay=60.0, deadband=0.025),  # lost of what the line gave
    "pressure-low": WatchParams(limit=0.9, delay=5.0, deadband=0.04),  # of the usual pressure
    "pressure-high": WatchParams(limit=1.1, delay=15.0, deadband=0.04),
    "vat-nearly-full": WatchParams(limit=0.9, delay=60.0, deadband=0.02, ahead=600.0),  # of the capacity
    "trailer-nearly-full": WatchParams(limit=0.9, delay=60.0, deadband=0.02, ahead=600.0),
    "signal-lost": WatchParams(delay=0.0),  # on top of the signal's own patience
    "balance-open": WatchParams(),
}
"""Every watch as it is where the settings say nothing. Limits are common practice, no source."""


class LineParams(Struct, frozen=True):
    """Everything `PressLine` needs to know before the first event."""

    id: str
    rated_throughput: float
    """kg/s the line is built for."""
    expected_yield: float
    """m³ of juice per kg of fruit the site expects."""
    residence: ResidenceParams
    signals: tuple[SignalParams, ...]
    juice_pump: str = "auto"
    """`steady`, `on-off` (a sump emptied by a float switch) or `auto`."""
    lateness: float = 5.0
    """Seconds a reading may be out of order."""
    ahead: float = 60.0
    """Seconds a reading may lie in the future before it is refused."""
    stop_after: float = 60.0
    """Seconds of not pressing that make a stop."""
    live_every: float = 1.0
    """Seconds of event time between live documents."""
    fruit_dry_matter: float | None = None
    """kg/kg, when the site knows its fruit; loads and samples override it."""
    vat_bounds: tuple[Bounds, ...] = ()
    """What the site wants the figures of its vats to lie between."""
    watches: dict[str, WatchParams] = field(default_factory=lambda: dict(WATCHES))

    by_name: dict[str, SignalParams] = field(default_factory=dict)
    """`signals` by name; made from them."""

    def __post_init__(self) -> None:
        force_setattr(self, "by_name", {s.name: s for s in self.signals})

    def signal(self, name: str) -> SignalParams | None:
        """The signal of that name, or None where it is not fitted."""
        return self.by_name.get(name)
