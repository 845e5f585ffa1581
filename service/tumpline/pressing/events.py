"""What can happen to a line, in the past tense. What the line asks for in return stands in `effects`.

All times are seconds since 1970-01-01 UTC. `at` is event time: when it was so, by the sender's own clock where it has
one. `arrived` is when the message reached us.
"""

from dataclasses import dataclass
from typing import Literal

from tumpline.pressing.entries import Entry


@dataclass(frozen=True, slots=True)
class ReadingTaken:
    """A signal was read. The value is in the signal's SI unit (see `params.Quantity`)."""

    signal: str
    """Name as in the settings, such as `mill/throughput`."""
    at: float
    value: float
    arrived: float


@dataclass(frozen=True, slots=True)
class ReadingRefused:
    """A message for a signal could not be used; the raw bytes are kept elsewhere, the line only counts."""

    signal: str
    arrived: float
    reason: str
    """A whole sentence: what was wrong, and what would have been accepted."""
    beyond: Literal["low", "high"] | None = None
    """Past which end of the sensor's range the value lay; None for no value, or for the sensor's failure signal."""


@dataclass(frozen=True, slots=True)
class EntryMade:
    """Somebody wrote something into the shift book."""

    id: str
    """Unique, and the same on replay: corrections point at it."""
    at: float
    arrived: float
    by: str
    entry: Entry


@dataclass(frozen=True, slots=True)
class EntryRefused:
    """A book entry could not be read; the raw bytes are kept elsewhere."""

    kind: str
    arrived: float
    reason: str


@dataclass(frozen=True, slots=True)
class TimePassed:
    """
    Nothing arrived for a while: event time is at least this.

    Never sent ahead of messages that may still be on their way.
    """

    at: float


Event = ReadingTaken | ReadingRefused | EntryMade | EntryRefused | TimePassed
