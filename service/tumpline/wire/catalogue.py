"""The signals a line can have: what each measures, the unit documents use, and what it is good for."""

from __future__ import annotations

import re

from msgspec import Struct

from tumpline.pressing.params import Quantity


class SignalKind(Struct, frozen=True):
    """What a signal of this name measures."""

    quantity: Quantity
    unit: str
    """In documents, and in the settings unless they say otherwise."""
    meaning: str
    adds: str
    """What is known with it that is not known without it."""
    expected: bool = False
    total: bool = False
    """True for a counter."""


CATALOGUE: dict[str, SignalKind] = {
    "flume/flow": SignalKind(
        Quantity.VOLUME_FLOW, "L/s", "water moved by the flume pump",
        "tells fruit that does not come from water that does not flow", expected=True,
    ),
    "mill/throughput": SignalKind(
        Quantity.MASS_FLOW, "t/h", "fruit entering the mill", "the fruit of every yield", expected=True,
    ),
    "press/pressure": SignalKind(
        Quantity.PRESSURE, "bar", "pneumatic pressure on the belts, gauge",
        "tells a press that does not press from fruit that yields little", expected=True,
    ),
    "juice/flow": SignalKind(
        Quantity.VOLUME_FLOW, "L/min", "juice leaving the press", "the juice of every yield", expected=True,
    ),
    "juice/total": SignalKind(
        Quantity.VOLUME, "L", "juice counter", "bridges gaps in the juice flow exactly", total=True,
    ),
    "mill/total": SignalKind(
        Quantity.MASS, "kg", "fruit counter", "bridges gaps in the mill throughput exactly", total=True,
    ),
    "mill/current": SignalKind(
        Quantity.CURRENT, "A", "mill motor current", "confirms a blocked mill, and notices a hard object",
    ),
    "pulp/level": SignalKind(
        Quantity.FRACTION, "%", "milled fruit waiting before the press", "tells a full hopper from a starved press",
    ),
    "press/belt-speed": SignalKind(
        Quantity.SPEED, "m/min", "speed of the press belts", "tells a slowed press from less fruit",
    ),
    "press/wash-pressure": SignalKind(
        Quantity.PRESSURE, "bar", "belt wash spray", "notices cloths that are not being washed",
    ),
    "juice/brix": SignalKind(
        Quantity.BRIX, "°Bx", "sugar by refractometer", "juice by mass, and the alcohol it can become",
    ),
    "juice/temperature": SignalKind(
        Quantity.TEMPERATURE, "°C", "juice temperature", "the density of the juice at its own temperature",
    ),
    "pomace/flow": SignalKind(
        Quantity.MASS_FLOW, "kg/h", "pomace belt weigher", "holds fruit and juice against what is left of them",
    ),
    "pomace/trailer": SignalKind(
        Quantity.MASS, "kg", "weight on the pomace trailer", "the pomace by weight, and when the trailer is full",
    ),
    "water/make-up": SignalKind(
        Quantity.VOLUME_FLOW, "L/min", "fresh water added to the flume circuit", "the water the fruit carries away",
    ),
    "line/emergency-stop": SignalKind(
        Quantity.STATUS, "0/1", "emergency stop, status only", "puts an emergency stop on record",
    ),
}  # fmt: skip
"""By `station/quantity`. Vats come on top, see `kind_of`."""

VAT_VOLUME = SignalKind(
    Quantity.VOLUME, "L", "vat level as volume", "holds the juice meter against the vat, and tells when it is full"
)
_VAT = re.compile(r"vat/[^/+#\s]+/volume")
NAMES = (*CATALOGUE, "vat/<vat>/volume")


def kind_of(name: str) -> SignalKind | None:
    """What a signal of that name measures; None for a name that no line has."""
    return VAT_VOLUME if _VAT.fullmatch(name) else CATALOGUE.get(name)
