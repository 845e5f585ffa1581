"""What the watches see once a second."""

from __future__ import annotations

from typing import NamedTuple


class Look(NamedTuple):
    """Newest values, SI; None where a signal is not fitted or not heard."""

    at: float
    fruit: float | None = None
    fruit_taken: tuple[tuple[float, float], ...] = ()
    """The fruit's readings since the last look, in order: when, kg/s. A transmitter may send several at once."""
    current: float | None = None
    current_peak: float | None = None
    """Highest since the last look; infinite where a reading was refused for being above the meter's range."""
    water: float | None = None
    juice: float | None = None
    pressure: float | None = None
    pressure_before: float | None = None
    """The reading before that."""
    wash: float | None = None
    pulp: float | None = None
    """Level before the press, a fraction of one."""
    left: float | None = None
    """kg of the load at the mill not milled yet by its weight; None when no load is known."""
    hidden: float = 0.0
    """kg of it that may have been milled, or not, while the mill's meter was not heard."""
    net: float | None = None
    load_on: float | None = None
    """When fruit was last said to go into the flume."""
    emergency_stop: bool = False
    unheard: tuple[str, ...] = ()
    """Signals that were heard once and are not any more, for longer than they and their watch are patient."""
