"""How a transmitter writes its readings."""

from __future__ import annotations

from typing import Literal

from msgspec import Struct


class PayloadFormat(Struct, frozen=True, kw_only=True):
    """One signal's form of payload, as in the settings."""

    unit: str
    """Of values that name none; for `scaled`, of `to`."""
    kind: Literal["senml", "number", "json", "scaled"] = "senml"
    pointer: str | None = None
    """RFC 6901, to the value in a JSON document."""
    time_pointer: str | None = None
    from_: tuple[float, float] | None = None
    """What is sent: (4, 20) is a current in mA under NAMUR NE 43, anything else a count."""
    to: tuple[float, float] | None = None
    """What it means, in `unit`."""
    topic: str | None = None
    """An existing transmitter's topic, read instead of ours."""
