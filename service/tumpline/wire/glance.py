"""A live document read back, as far as a glance at the line needs it. Other keys are passed over."""

from __future__ import annotations

from datetime import datetime

import msgspec
from msgspec import Struct

from tumpline.wire.documents import LIVE
from tumpline.wire.words import Refused


class Interval(Struct, frozen=True):
    """A figure with its 95 % interval, in the unit of its key."""

    value: float
    low: float
    high: float


class SeenSignal(Struct, frozen=True):
    """A signal: whether its newest reading is young enough to be trusted."""

    fresh: bool = False


class SeenAlarm(Struct, frozen=True):
    """An alarm that is not normal."""

    name: str
    state: str
    priority: str
    active: bool = True
    subject: str | None = None
    raised: datetime | None = None
    by: str | None = None
    cause: str = ""
    because_of: str | None = None
    caution: str | None = None


class SeenLoad(Struct, frozen=True):
    """The load at the mill."""

    load: str
    grower: str = ""
    net_kg: float | None = None
    milled_kg: Interval | None = None
    left_kg: float | None = None


class SeenVat(Struct, frozen=True):
    """The vat that juice goes to."""

    vat: str
    contents_l: float | None = None
    capacity_l: float | None = None
    full_in_s: float | None = None


class SeenTrailer(Struct, frozen=True):
    """The trailer that pomace goes to."""

    trailer: str
    pomace_kg: Interval | None = None
    pomace_kg_unknown: str = ""
    capacity_kg: float | None = None


class SeenStop(Struct, frozen=True):
    """The newest stop."""

    end: datetime | None = None
    reason: str | None = None


class Glance(Struct, frozen=True):
    """What a line is doing. A figure is None where it is not known; `<figure>_unknown` says why."""

    schema: str
    line: str
    at: datetime
    condition: str
    condition_since: datetime
    condition_why: str = ""
    shift: str | None = None
    signals: dict[str, SeenSignal] = {}
    throughput_t_per_h: float | None = None
    throughput_t_per_h_unknown: str = ""
    juice_l_per_min: float | None = None
    juice_l_per_min_unknown: str = ""
    pressure_bar: float | None = None
    pressure_bar_unknown: str = ""
    yield_10min_l_per_t: Interval | None = None
    yield_10min_l_per_t_unknown: str = ""
    yield_l_per_t: Interval | None = None
    yield_l_per_t_unknown: str = ""
    fruit_kg: Interval | None = None
    fruit_kg_unknown: str = ""
    juice_l: Interval | None = None
    pomace_dry_matter_pct: Interval | None = None
    pomace_dry_matter_pct_unknown: str = ""
    load: SeenLoad | None = None
    vat: SeenVat | None = None
    trailer: SeenTrailer | None = None
    stop: SeenStop | None = None
    alarms: list[SeenAlarm] = []

    @property
    def heard(self) -> bool:
        """Whether any signal still says what is so now."""
        return any(signal.fresh for signal in self.signals.values())


_decode = msgspec.json.Decoder(Glance).decode


def read_glance(payload: bytes) -> Glance | Refused:
    """The document in `payload`, a message on a line's `live` topic."""
    try:
        glance = _decode(payload)
    except msgspec.DecodeError as error:
        return Refused(f"The live document cannot be read: {error}.")
    if glance.schema != LIVE:
        return Refused(f"The live document says {glance.schema}; this version reads {LIVE}.")
    if glance.at.tzinfo is None or glance.condition_since.tzinfo is None:
        return Refused("The live document has a time without an offset; Z or an offset is accepted.")
    return glance
