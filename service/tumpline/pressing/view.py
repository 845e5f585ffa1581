"""What a line knows at one moment: the live view, pulled when it is due."""

from __future__ import annotations

import math
from typing import NamedTuple

from tumpline.pressing import lookout
from tumpline.pressing import shift as shifts
from tumpline.pressing.cellar_records import vat_record
from tumpline.pressing.extraction import recent_yield, sum_of
from tumpline.pressing.learnt import Residence
from tumpline.pressing.ledger import Ledger
from tumpline.pressing.makings import Making, together
from tumpline.pressing.params import LineParams
from tumpline.pressing.records import (
    AlarmState,
    Balance,
    Condition,
    Known,
    Live,
    LoadRecord,
    SignalNow,
    SignalRecord,
    StopRecord,
    TrailerRecord,
    Unknown,
    VatRecord,
)
from tumpline.pressing.residence import BIN
from tumpline.pressing.state import State


class _Totals(NamedTuple):
    """The part of a live view that rests on closed bins."""

    recent: Known
    extraction: Known
    fruit: Known
    juice: Known
    dryness: Known
    load: LoadRecord | None
    milled: float
    vat: VatRecord | None
    vat_full_in: float | None
    trailer: TrailerRecord | None
    residence: Residence
    stops: tuple[StopRecord, ...]
    heard: tuple[SignalRecord, ...]
    balance: Balance | None


_BALANCED = 60
"""Bins between two balances: five minutes. It hardly moves faster."""


class View:
    """Makes live views; keeps what moves only when a bin is closed or something is written down."""

    def __init__(self, params: LineParams) -> None:
        self._params = params
        self._key: tuple[object, ...] = ()
        self._kept: _Totals
        self._balanced: tuple[float, int] = (math.nan, 0)
        self._balance: Balance | None = None

    def live(self, state: State, at: float) -> Live:
        """The view at event time `at`."""
        totals = self._totals(state, at)
        page = state.book.loads.get(totals.load.load) if totals.load else None
        return Live(
            line=self._params.id,
            at=at,
            shift=state.shift,
            shift_start=state.shift_start,
            condition=state.condition,
            since=state.since if state.since > -math.inf else at,
            why=state.why,
            signals=tuple(self._signal(state, m.name, at) for m in self._params.signals),
            recent_yield=_stated(totals.recent, state.condition),
            load_yield=totals.load.extraction if totals.load else Unknown("no load is on"),
            shift_yield=totals.extraction,
            fruit=totals.fruit,
            juice=totals.juice,
            pomace_dry_matter=totals.dryness,
            load=totals.load,
            load_left=page.entry.net_kg - page.milled - totals.milled if page else None,
            vat=totals.vat,
            vat_full_in=totals.vat_full_in,
            trailer=totals.trailer,
            stop=state.stops.waiting(),
            residence=totals.residence,
            stops=totals.stops if state.stops.open is None else (*totals.stops, state.stops.open),
            heard=totals.heard,
            alarms=tuple(a.record() for a in state.alarms.values() if a.state is not AlarmState.NORMAL),
            balance=totals.balance,
        )

    def _signal(self, state: State, name: str, at: float) -> SignalNow:
        signal = state.signals[name]
        if signal.newest_at == -math.inf:
            return SignalNow(name, None, None, fresh=False)
        fresh = lookout.value(state, self._params, name, at) is not None
        return SignalNow(name, signal.newest_at, signal.newest, fresh=fresh)

    def _totals(self, state: State, at: float) -> _Totals:
        book = state.book
        ledger = state.ledger or Ledger(at)
        load, vat, trailer = book.at_mill.at(at), book.to_vat.at(at), book.to_trailer.at(at)
        key = (ledger.start, ledger.bins, len(book.written), load, vat, trailer, state.learned)
        if key != self._key:
            shift = shifts.shift_of(self._params, state, ledger)
            made = shifts.made_of(shift)
            whole = together(state.attribution.portions, made)
            portion = state.attribution.portions.get(load)
            vat_now = vat_record(shifts.vats_of(shift), vat) if vat else None
            steady = self._params.juice_pump == "steady"
            dryness = shifts.dryness_of(shift, whole)
            self._key = key
            self._kept = _Totals(
                recent=recent_yield(ledger, state.attribution, state.learned.u_mean, steady=steady),
                extraction=shifts.extraction_of(shift),
                fruit=sum_of(ledger.fruit, "mill/throughput"),
                juice=shifts.juice_of(shift),
                dryness=dryness,
                load=shifts.load_record(shift, load, made) if load in book.loads else None,
                milled=portion.fruit if portion else 0.0,
                vat=vat_now,
                vat_full_in=_full_in(ledger, vat_now),
                trailer=shifts.trailer_record(shift, trailer, dryness) if trailer else None,
                residence=state.learned.record(state.attribution.feed(self._params.rated_throughput)),
                stops=tuple(state.stops.closed),
                heard=tuple(state.signals[m.name].record(at, m.stale_after) for m in self._params.signals),
                balance=self._balance_of(shift, whole),
            )
        return self._kept

    def _balance_of(self, shift: shifts.Shift, whole: Making) -> Balance | None:
        now = shift.ledger.start, shift.ledger.bins // _BALANCED
        if now != self._balanced:
            self._balanced = now
            self._balance = shifts.balance_of(shift, whole) if shift.attribution.fed > 0.0 else None
        return self._balance


def _stated(recent: Known, condition: Condition) -> Known:
    if condition not in (Condition.PRESSING, Condition.SLOW):
        return Unknown(f"not stated while the line is {condition.value}")
    return recent


def _full_in(ledger: Ledger, vat: VatRecord | None) -> float | None:
    """Seconds until the vat is full at the rate of the last five minutes."""
    rate = sum(ledger.juice.amounts[-60:]) / (60.0 * BIN)
    if vat is None or vat.capacity is None or vat.contents is None or rate <= 0.0:
        return None
    return max(0.0, (vat.capacity - vat.contents) / rate)
