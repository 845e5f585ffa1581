"""How much room is left in what takes the juice and the pomace now: by its own meter, else by the book and others."""

from __future__ import annotations

from tumpline.pressing.ledger import Ledger
from tumpline.pressing.lookout import value
from tumpline.pressing.params import LineParams
from tumpline.pressing.residence import BIN
from tumpline.pressing.state import State
from tumpline.pressing.watches.room import Room

_RATE = 60  # bins over which the present rate is taken
_UNWEIGHED = 0.05  # of the pomace, by which fruit less juice may be out: it is a small rest of two large flows
_JUICE, _CARRIED = 1050.0, 1.015  # kg/m³, and fruit with the water it carries: without a weigher, the rest is pomace


def rooms(state: State, params: LineParams, ledger: Ledger) -> tuple[Room, Room]:
    """The vat, m³, and the trailer, kg, at the end of the ledger."""
    return _vat(state, params, ledger), _trailer(state, params, ledger)


def _vat(state: State, params: LineParams, ledger: Ledger) -> Room:
    name = state.book.to_vat.at(ledger.end)
    cellar, gauge = state.book.cellar, f"vat/{name}/volume"
    holds = value(state, params, gauge, ledger.end)
    more = _off(params, gauge, holds)
    if holds is None:
        holds = cellar.holds(name, state.attribution.pours)
        more = _off(params, "juice/flow", holds)
    return Room(name, holds, cellar.capacities.get(name), _rate(ledger.juice.amounts), more)


def _trailer(state: State, params: LineParams, ledger: Ledger) -> Room:
    name = state.book.to_trailer.at(ledger.end)
    holds = value(state, params, "pomace/trailer", ledger.end)
    more = _off(params, "pomace/trailer", holds)
    weighed = params.signal("pomace/flow") is not None
    came, gain = (ledger.pomace.amounts, 1.0) if weighed else (state.attribution.aligned, _CARRIED)
    less, lost = ledger.juice.amounts, 0.0 if weighed else _JUICE
    rate = gain * _rate(came) - lost * _rate(less)
    if holds is None and name:
        since = max(0, round((state.book.to_trailer.latest(name)[0] - ledger.start) / BIN))
        holds = gain * sum(came[since:]) - lost * sum(less[since:])
        more = _off(params, "pomace/flow", holds) if weighed else _UNWEIGHED * holds
    entry = state.book.trailers.get(name)
    return Room(name, holds, entry.capacity_kg if entry is not None else None, rate, more)


def _off(params: LineParams, meter: str, reading: float | None) -> float:
    """How much more than that there may be, by the meter's limits."""
    fitted = params.signal(meter)
    return fitted.accuracy.half_width(reading) if fitted is not None and reading is not None else 0.0


def _rate(amounts: list[float]) -> float:
    lately = amounts[-_RATE:]
    return sum(lately) / (BIN * len(lately)) if lately else 0.0
