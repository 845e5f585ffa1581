"""What can happen to a line, in the past tense. What the line asks for in return stands in `effects`.

All times are seconds since 1970-01-01 UTC. `at` is event time: when it was so, by the sender's own clock where it has
one. `arrived` is when the message reached us.
"""

from typing import Literal

from msgspec import Struct

from tumpline.pressing.entries import Entry


class ReadingTaken(Struct, frozen=True, gc=False):
    """A signal was read. The value is in the signal's SI unit (see `params.Quantity`)."""

    signal: str
    """Name as in the settings, such as `mill/throughput`."""
    at: float
    value: float
    arrived: float


class ReadingRefused(Struct, frozen=True):
    """A message for a signal could not be used; the raw bytes are kept elsewhere, the line only counts."""

    signal: str
    arrived: float
    reason: str
    """A whole sentence: what was wrong, and what would have been accepted."""
    beyond: Literal["low", "high"] | None = None
    """Past which end of the sensor's range the value lay; None for no value, or for the sensor's failure signal."""


class EntryMade(Struct, frozen=True):
    """Somebody wrote something into the shift book."""

    id: str
    """Unique, and the same on replay: corrections point at it."""
    at: float
    arrived: float
    by: str
    entry: Entry


class EntryRefused(Struct, frozen=True):
    """A book entry could not be read; the raw bytes are kept elsewhere."""

    kind: str
    arrived: float
    reason: str


class TimePassed(Struct, frozen=True):
    """
    Nothing arrived for a while: event time is at least this.

    Never sent ahead of messages that may still be on their way.
    """

    at: float


Event = ReadingTaken | ReadingRefused | EntryMade | EntryRefused | TimePassed
