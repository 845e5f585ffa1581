"""The numbers a line is built from. The settings make them; everything here is SI and frozen.

SI units inside, by quantity: flow m³/s, mass flow kg/s, pressure Pa, volume m³, mass kg, current A, speed m/s, level
and status as a fraction of one; two that practice keeps: sugar as °Bx (g per 100 g), temperature as °C.
"""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

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

    def signal(self, name: str) -> SignalParams | None:
        """The signal of that name, or None where it is not fitted."""
        return next((s for s in self.signals if s.name == name), None)
