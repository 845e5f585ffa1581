"""Everything a line remembers, as plain typed data: the snapshot is this, encoded."""

from __future__ import annotations

import msgspec
from msgspec import Struct, field

from tumpline.pressing.alarm_load import Flood
from tumpline.pressing.alarms import Alarm
from tumpline.pressing.attribution import Attribution
from tumpline.pressing.book import Book
from tumpline.pressing.condition import Spells, Stops
from tumpline.pressing.drift import Drift
from tumpline.pressing.growth import Gauge
from tumpline.pressing.learning import Learned, guessed
from tumpline.pressing.ledger import Ledger
from tumpline.pressing.params import LineParams
from tumpline.pressing.quality import SensorCheck
from tumpline.pressing.records import AlarmRecord, Condition
from tumpline.pressing.signals import Signal
from tumpline.pressing.solids import Anchors
from tumpline.pressing.told import Told
from tumpline.pressing.watches import NAMES
from tumpline.pressing.watches.together import Watches

LAYOUT = 5
"""Number of this layout: a snapshot of another one is not read, the journal is."""


class SnapshotUnreadable(Exception):  # noqa: N818 -- reads as what happened, like the events
    """The snapshot was written by another build; replay the journal instead."""


class State(Struct):
    """The state of one line. Times are event time, -inf where there was none yet."""

    signals: dict[str, Signal]
    alarms: dict[str, Alarm]
    learned: Learned
    """The way from mill to juice meter as it is used."""
    known: Learned
    """What was known of it when the ledger began."""
    anchors: Anchors = field(default_factory=dict)
    """Dry matter of the varieties, from all samples before this shift's."""
    drift: Drift = field(default_factory=Drift)
    gauge: Gauge = field(default_factory=Gauge)
    pumped: bool = False
    """True where juice is told, or was seen, to come in bursts from a sump."""
    clock: float = float("-inf")
    second: float = float("-inf")
    """The last whole second that was looked at."""
    doubted: tuple[str, float] = ("", float("-inf"))
    """A signal whose clock ran ahead of all others, and the time it told."""
    stuck: list[str] = field(default_factory=list)
    """Signals that stand still or at the end of their range, and tell nothing."""
    ledger: Ledger | None = None
    attribution: Attribution = field(default_factory=Attribution)
    book: Book = field(default_factory=Book)
    watches: Watches = field(default_factory=Watches)
    checks: dict[str, SensorCheck] = field(default_factory=dict)
    """By signal."""
    occurrences: list[AlarmRecord] = field(default_factory=list)
    flood: Flood = field(default_factory=Flood)
    condition: Condition = Condition.UNKNOWN
    why: str = "nothing was heard yet"
    since: float = float("-inf")
    milling: bool = False
    milling_since: float = float("-inf")
    juiced_at: float = float("-inf")
    throughput: float = 0.0
    """kg/s, a mean over about a minute of milling."""
    spells: Spells = field(default_factory=list)
    stops: Stops = field(default_factory=Stops)
    told: Told = field(default_factory=Told)
    shift: str | None = None
    shift_start: float | None = None
    ending: float | None = None
    """When the open shift was said to have ended, until its last readings are in."""


class _Snapshot(Struct):
    layout: int
    state: State


def fresh(params: LineParams) -> State:
    """A line that has heard nothing yet."""
    guess = guessed(params.residence)
    return State(
        learned=guess,
        known=guess,
        pumped=params.juice_pump == "on-off",
        signals={s.name: Signal(s.name) for s in params.signals},
        alarms={name: Alarm(name, priority, caution) for name, (priority, caution) in NAMES.items()},
    )


def encode(state: State) -> bytes:
    """The state as bytes."""
    return msgspec.msgpack.encode(_Snapshot(LAYOUT, state))


def decode(params: LineParams, data: bytes) -> State:
    """
    The state from bytes; signals that the settings have gained since start unheard, lost ones are dropped.

    Raises SnapshotUnreadable when another build wrote them.
    """
    try:
        snapshot = msgspec.msgpack.decode(data, type=_Snapshot)
    except msgspec.DecodeError as error:
        raise SnapshotUnreadable(str(error)) from error
    if snapshot.layout != LAYOUT:
        raise SnapshotUnreadable(f"layout {snapshot.layout}, this build reads {LAYOUT}")
    state = snapshot.state
    state.signals = {s.name: state.signals.get(s.name, Signal(s.name)) for s in params.signals}
    return state
