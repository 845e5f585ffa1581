"""What a line says about itself: the records that leave it, all in SI.

`wire.documents` writes them with units in the names.

A figure is an `Estimate`, or `Unknown` with the reason: unknown is never zero.
"""

from __future__ import annotations

from enum import Enum

from msgspec import Struct

from tumpline.pressing.entries import Variety
from tumpline.pressing.learnt import AnchorRecord, Residence
from tumpline.pressing.quantities import Estimate


class Unknown(Struct, frozen=True, tag=True):
    """A figure that cannot be known now."""

    why: str
    """A clause without a full stop, such as `the line is filling`."""


Known = Estimate | Unknown


class Condition(Enum):
    """What the line is doing."""

    PRESSING = "pressing"
    SLOW = "slow"
    STARVED = "starved"
    BLOCKED = "blocked"
    STOPPED = "stopped"
    FILLING = "filling"
    DRAINING = "draining"
    WASHING = "washing"
    UNKNOWN = "unknown"


class AlarmState(Enum):
    """Life of an alarm, words of IEC 62682."""

    NORMAL = "normal"
    UNACKNOWLEDGED = "unacknowledged"
    ACKNOWLEDGED = "acknowledged"
    RETURNED_UNACKNOWLEDGED = "returned-unacknowledged"
    LATCHED_UNACKNOWLEDGED = "latched-unacknowledged"
    LATCHED_ACKNOWLEDGED = "latched-acknowledged"
    SHELVED = "shelved"
    SUPPRESSED = "suppressed-by-design"
    OUT_OF_SERVICE = "out-of-service"


class Priority(Enum):
    """How soon somebody is needed."""

    HIGH = "high"
    MEDIUM = "medium"
    LOW = "low"


class AlarmRecord(Struct, frozen=True):
    """One alarm as it stands. Between two returns to normal it is one occurrence with one `raised`."""

    name: str
    subject: str | None
    """What it is about where the name alone does not say it: a signal, a vat, a trailer."""
    state: AlarmState
    active: bool
    """True while the condition behind it holds."""
    priority: Priority
    raised: float | None
    cleared: float | None
    acknowledged: float | None
    by: str | None
    """Who acknowledged, or shelved."""
    value: float | None
    limit: float | None
    unit: str | None
    """Unit of value and limit, as people write it (they are the only figures here that are not SI)."""
    cause: str
    because_of: str | None
    """Name of the alarm this one follows from."""
    caution: str | None
    shelved_until: float | None = None
    announced: bool = True
    """False while it has asked for nobody: shelved, out of service, or shown under its cause."""
    times: int = 1
    """How often it was raised: more than once where it comes and goes."""


class StopRecord(Struct, frozen=True):
    """A stretch of not pressing."""

    id: str
    start: float
    end: float | None
    """None while it lasts."""
    condition: Condition
    """What the line was doing for most of it."""
    fruit_not_pressed: float | None = None
    """kg at the rate before the stop; None where that rate is not known."""
    reason: str | None = None
    note: str | None = None
    by: str | None = None


class LoadRecord(Struct, frozen=True):
    """One grower's load: what became of it so far."""

    load: str
    grower: str
    varieties: tuple[Variety, ...]
    net: float
    """kg, weighed in."""
    milled: Known
    """kg by the mill's meter."""
    juice: Known
    """m³."""
    extraction: Known
    """m³ of juice per kg of fruit."""
    pomace_dry_matter: Known
    """kg/kg."""
    on: float | None = None
    off: float | None = None


class Share(Struct, frozen=True):
    """How much of something came from one load: m³ or kg."""

    load: str
    """Empty for fruit that no load entry names."""
    amount: Known


class Holding(Struct, frozen=True):
    """How much of what a vat holds came from one load."""

    load: str
    """Empty for juice of no known load."""
    grower: str
    """Empty where it is not known."""
    amount: Known
    """m³."""


class AddingRecord(Struct, frozen=True):
    """What a vat would be with a load that waits in it."""

    load: str
    juice: float
    """m³ that the load should give."""
    fits: bool | None
    """Whether the vat has room for it; None where its capacity is not known."""
    brix: float | None
    acidity: float | None
    tannin: float | None
    """kg/m³ of the whole vat then, as of `VatRecord`."""
    fruit_class: str | None
    outside: tuple[str, ...] = ()


class VatRecord(Struct, frozen=True):
    """A vat and the juice that went into it during the shift."""

    vat: str
    juice: Known
    """m³ this shift."""
    shares: tuple[Share, ...]
    contents: float | None
    """m³ now, where contents were given or measured."""
    capacity: float | None
    brix: float | None = None
    acidity: float | None = None
    """kg/m³ as malic acid."""
    tannin: float | None = None
    """kg/m³."""
    fruit_class: str | None = None
    ph: float | None = None
    held: Known = Unknown("nobody has said what was in it before")
    """m³ now, with its interval."""
    holds: tuple[Holding, ...] = ()
    """Whose that is, of this shift or not."""
    outside: tuple[str, ...] = ()
    """Sentences about figures that lie outside the site's own bounds."""
    adding: tuple[AddingRecord, ...] = ()
    """What each load that waits would make of it."""


class TrailerRecord(Struct, frozen=True):
    """A trailer and the pomace that went into it during the shift."""

    trailer: str
    pomace: Known
    dry_matter: Known
    shares: tuple[Share, ...]
    capacity: float | None
    weighed: float | None = None
    """kg on the weighbridge when it left."""
    taken_by: str | None = None
    """Whoever took it, where somebody said so."""


class Balance(Struct, frozen=True):
    """The meters held against each other."""

    reconciled: dict[str, Known]
    """`fruit_kg`, `juice_kg`, `pomace_kg`, …: masses in kg."""
    residual: Known
    """kg that came in but did not go out."""
    statistic: float | None
    limit: float | None
    suspect: str | None
    isolable: bool
    advice: str | None = None
    """What would settle it."""


class SignalRecord(Struct, frozen=True):
    """How well one signal was heard over a shift."""

    name: str
    received: int
    used: int
    duplicate: int
    late: int
    refused: int
    missing: float
    """s."""
    longest_gap: float
    """s."""


class AlarmLoad(Struct, frozen=True):
    """How much the alarms asked of people."""

    count: int
    per_hour: float | None
    worst_ten_minutes: int
    flood: float
    """s spent in a flood."""
    chattering: tuple[str, ...]
    stale: tuple[str, ...] = ()
    """Names of alarms that have stood for more than a day."""


class CorrectionRecord(Struct, frozen=True):
    """Somebody put an entry right: both versions, as fields of the entry (a new time, in s, as `at`)."""

    entry: str
    """Its id."""
    kind: str
    load: str | None
    """The load that it is about, by its number now."""
    at: float
    by: str
    before: dict[str, object]
    after: dict[str, object]


class MoveRecord(Struct, frozen=True):
    """Juice that left a vat, to another or for good."""

    at: float
    vat: str
    to_vat: str | None
    taken_by: str | None
    """Whoever took it, where it left for good and somebody said so."""
    volume: Known
    """m³."""
    shares: tuple[Share, ...] = ()
    """Whose it was."""


class ProofRecord(Struct, frozen=True):
    """A meter proved against a known amount."""

    signal: str
    start: float
    end: float
    known: Known
    """m³ or kg that went through it."""
    metered: Known
    """The same by the meter."""
    factor: Known
    """By which its readings are to be multiplied."""


class Summary(Struct, frozen=True):
    """A shift summed up."""

    line: str
    shift: str
    start: float
    end: float
    crew: tuple[str, ...]
    fruit: Known
    juice: Known
    """m³."""
    juice_mass: Known
    extraction: Known
    """m³/kg."""
    mass_yield: Known
    """kg/kg."""
    pomace: Known
    pomace_dry_matter: Known
    """kg/kg."""
    flume_water: Known
    """m³."""
    potential_alcohol: Known
    """Volume fraction."""
    time: dict[Condition, float]
    availability: float | None
    effectiveness: float | None
    stops: tuple[StopRecord, ...]
    mean_time_between_stops: float | None
    mean_stop: float | None
    alarms: tuple[AlarmRecord, ...]
    alarm_load: AlarmLoad
    loads: tuple[LoadRecord, ...]
    vats: tuple[VatRecord, ...]
    trailers: tuple[TrailerRecord, ...]
    balance: Balance
    signals: tuple[SignalRecord, ...]
    juice_at_20: Known = Unknown("the juice's temperature is not known")
    """m³ that the juice would fill at 20 °C."""
    extraction_at_20: Known = Unknown("the juice's temperature is not known")
    """m³/kg, with the juice at 20 °C."""
    juice_celsius: Known = Unknown("the juice's temperature is not known")
    """°C."""
    anchors: tuple[AnchorRecord, ...] = ()
    """Varieties whose dry matter was sampled in this shift."""
    residence: Residence | None = None
    """Time from mill to juice meter that the figures rest on."""
    notes: tuple[str, ...] = ()
    """Remarks about how the figures were got, and entries of kind note."""
    moves: tuple[MoveRecord, ...] = ()
    proofs: tuple[ProofRecord, ...] = ()
    corrections: tuple[CorrectionRecord, ...] = ()
    """Made during the shift."""


class SignalNow(Struct, frozen=True):
    """A signal's newest reading."""

    name: str
    at: float | None
    value: float | None
    """SI; None before the first reading."""
    fresh: bool


class Live(Struct, frozen=True):
    """What the line knows at one moment."""

    line: str
    at: float
    shift: str | None
    shift_start: float | None
    condition: Condition
    since: float
    why: str
    """One clause: from what the condition was read."""
    signals: tuple[SignalNow, ...]
    recent_yield: Known
    """Ten minutes, m³/kg."""
    load_yield: Known
    shift_yield: Known
    fruit: Known
    """This shift, kg."""
    juice: Known
    """This shift, m³."""
    pomace_dry_matter: Known
    load: LoadRecord | None
    load_left: float | None
    """kg of the load's weighed mass not yet milled."""
    vat: VatRecord | None
    vat_full_in: float | None
    """s until the vat is full at the present rate."""
    trailer: TrailerRecord | None
    stop: StopRecord | None
    """The stop going on, or the last one still without a reason."""
    alarms: tuple[AlarmRecord, ...]
    """All that are not normal."""
    residence: Residence | None = None
    """Time from mill to juice meter now."""
    stops: tuple[StopRecord, ...] = ()
    """Those of this shift, oldest first."""
    heard: tuple[SignalRecord, ...] = ()
    """How well each signal was heard in this shift."""
    balance: Balance | None = None
    """The meters held against each other in this shift, as of the last five minutes; None before there is fruit."""
