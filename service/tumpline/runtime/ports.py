"""
What the running service needs from outside, by shape.

Adapters fit these shapes and `app` joins the two; neither room knows the other. Times are seconds since 1970-01-01 UTC.
"""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from typing import NamedTuple, Protocol

from tumpline.pressing.effects import Effect, TellAlarm, TellEvent, TellSummary
from tumpline.pressing.events import EntryMade, Event
from tumpline.pressing.records import Live


class Arrival(NamedTuple):
    """A message as it came in, not yet durable."""

    arrived: float
    topic: str
    payload: bytes
    line: str = ""
    """Whose connection brought it; empty where it was put in here."""
    mid: int = 0
    """The broker's number for it; 0 where there is nothing to acknowledge."""
    dup: bool = False
    """True where the broker may have sent it before."""
    retained: bool = False
    """True where the broker had kept it for whoever subscribes: it is of unknown age."""
    connection: int = 0
    """Which of the line's connections, counted from 1: a number of an earlier one means another message."""


class Row(NamedTuple):
    """What the journal holds: one message, or that event time went on."""

    seq: int
    arrived: float
    """For event time: what it has come to."""
    topic: str | None
    """None where event time went on."""
    payload: bytes
    """For event time: whose, the line's id in UTF-8."""
    line: str = ""
    mid: int = 0


class Line(Protocol):
    """What computes: `pressing.line.PressLine`."""

    def handle(self, event: Event) -> Sequence[Effect]:
        """Take one event; perform the effects in the order given. An exception is a bug: feed it no more."""

    def next_deadline(self) -> float | None:
        """Event time at which `TimePassed` would change something."""

    def live(self, at: float) -> Live:
        """What the line knows."""

    def snapshot(self) -> bytes:
        """All of its state."""


class Screen(Protocol):
    """What a screen shows: `runtime.board.Board`."""

    def show(self, line: str, live: Live) -> None:
        """A line's newest view."""

    def figures(self, line: str, at: float, figures: Mapping[str, float]) -> None:
        """Figures for the trend."""

    def tell(self, effect: TellEvent | TellAlarm | TellSummary, line: str) -> None:
        """Something happened."""

    def enter(self, line: str, made: EntryMade) -> None:
        """Somebody wrote into the book."""

    def refuse(self, row: "RefusedRow") -> None:
        """Something could not be used."""


class Broker(Protocol):
    """One line's connection to the broker. Nothing here waits."""

    @property
    def connected(self) -> bool:
        """True while messages can come: connected and subscribed."""

    @property
    def busy(self) -> bool:
        """True while earlier messages are still on their way out."""

    def publish(self, topic: str, payload: bytes, *, qos: int, retain: bool) -> int | None:
        """Hand over a message; its number where the connection has taken it, and None where it cannot now."""

    def acknowledge(self, arrivals: Iterable[Arrival]) -> None:
        """Tell the broker that these are durable, in this order. Those of an earlier connection are left out."""

    def hold(self) -> None:
        """Read no more from the connection, until `flow`."""

    def flow(self) -> None:
        """Read on."""


class ReadingRow(NamedTuple):
    """One reading of the time series; SI."""

    line: str
    signal: str
    at: float
    value: float
    quality: int


class FiguresRow(NamedTuple):
    """Computed figures of one moment, as JSON."""

    line: str
    at: float
    document: bytes


class EventRow(NamedTuple):
    """An event as published."""

    line: str
    id: str
    at: float
    kind: str
    document: bytes


class AlarmRow(NamedTuple):
    """An alarm's new state as published; `seq` and `step` say which effect of which journal row it was."""

    seq: int
    step: int
    line: str
    name: str
    document: bytes


class SummaryRow(NamedTuple):
    """A shift summed up: as published, and as the record it was made from (MessagePack)."""

    line: str
    shift: str
    start: float
    end: float
    document: bytes
    record: bytes


class EntryRow(NamedTuple):
    """A book entry as it was written."""

    line: str
    id: str
    kind: str
    at: float
    arrived: float
    by: str
    payload: bytes


class RefusedRow(NamedTuple):
    """Something that could not be used, with its raw bytes."""

    seq: int
    step: int
    line: str
    subject: str
    """The signal, or `book/<kind>`."""
    arrived: float
    reason: str
    payload: bytes


class Outgoing(NamedTuple):
    """A message that the broker has not confirmed yet."""

    id: int
    line: str
    topic: str
    payload: bytes
    retain: bool


class Snapshot(NamedTuple):
    """A line's state after journal row `seq`."""

    line: str
    seq: int
    lag: float | None
    """How far the newest reading's time lay behind its arrival; None before the first."""
    state: bytes


@dataclass
class Outputs:
    """What the line asked to keep or to tell while journal rows up to `through` were worked through."""

    through: int = 0
    readings: list[ReadingRow] = field(default_factory=list)
    figures: list[FiguresRow] = field(default_factory=list)
    events: list[EventRow] = field(default_factory=list)
    alarms: list[AlarmRow] = field(default_factory=list)
    summaries: list[SummaryRow] = field(default_factory=list)
    entries: list[EntryRow] = field(default_factory=list)
    refused: list[RefusedRow] = field(default_factory=list)
    outgoing: list[Outgoing] = field(default_factory=list)
    """Their ids are given when they are stored."""
    points: list[str] = field(default_factory=list)
    """Line protocol for the outside time-series store."""
    confirmed: list[int] = field(default_factory=list)
    """Ids of outgoing messages that the broker has."""


class Kept(NamedTuple):
    """For how many seconds the store keeps what is not kept for ever."""

    messages: float
    """Raw, as they came in."""
    readings: float
    figures: float
    """Computed every few seconds, for the trends of documents."""


class StoreError(Exception):
    """The store cannot take or give anything now; the message is one sentence for people."""


class Store(Protocol):
    """What is durable. Every method waits for the disk and may raise `StoreError`; one thread calls them."""

    def commit(self, rows: Sequence[Row], outputs: Outputs, snapshots: Sequence[Snapshot]) -> None:
        """Make all of it durable, or nothing. What is already there under the same key is replaced or left alone."""

    def last_seq(self) -> int:
        """Number of the newest journal row there ever was; 0 before the first."""

    def through(self) -> int:
        """The journal row up to which outputs are stored."""

    def snapshots(self, line: str) -> Sequence[Snapshot]:
        """A line's snapshots, newest first."""

    def rows_after(self, seq: int, limit: int) -> Sequence[Row]:
        """The next journal rows, in order, without those set aside; none at the end."""

    def newest_rows(self, count: int) -> Sequence[Row]:
        """The last journal rows, in order."""

    def outgoing_after(self, last: int, limit: int) -> Sequence[Outgoing]:
        """Messages not confirmed yet, oldest first."""

    def count_fault(self, row: Row, reason: str) -> int:
        """How often this row has now stopped the service."""

    def set_aside(self, row: Row, reason: str) -> None:
        """Keep this row out of the journal's replay, with its bytes and the reason."""

    def prune(self, *, before: float, seq: int, raw_before: float, limit: int) -> int:
        """
        Forget journal rows up to `seq` that arrived before `before`, and raw refusals from before `raw_before`.

        At most `limit` journal rows at a time; returns how many went.
        """

    def forget_series(self, *, readings_before: float, figures_before: float, limit: int) -> int:
        """Forget readings and computed figures from before these moments, at most `limit`; returns how many went."""

    def points(self, limit: int) -> Sequence[tuple[int, str]]:
        """Points waiting for the outside time-series store, oldest first."""

    def drop_points(self, ids: Sequence[int]) -> None:
        """Forget these points."""

    def refuse_points(self, ids: Sequence[int], reason: str) -> None:
        """Put these points aside with the reason."""
