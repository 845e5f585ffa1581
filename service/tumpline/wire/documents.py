"""Documents: what leaves the service as JSON. Keys carry their unit, and their order is fixed."""

from __future__ import annotations

import hashlib
import math

import msgspec

from tumpline.pressing.effects import TellEvent
from tumpline.pressing.records import (
    AlarmRecord,
    AlarmState,
    Balance,
    Condition,
    Live,
    SignalNow,
    SignalRecord,
    Summary,
)
from tumpline.wire.alarm_documents import alarm_load_document
from tumpline.wire.book_documents import (
    correction_document,
    load_document,
    move_document,
    proof_document,
    stock_document,
    stop_document,
    trailer_document,
    vat_document,
)
from tumpline.wire.catalogue import kind_of
from tumpline.wire.doubt_documents import anchor_documents, budget_document, residence_document
from tumpline.wire.figures import (
    LITRES,
    LITRES_PER_TONNE,
    Document,
    figure,
    percentage,
    plain,
    rounded_or_none,
    seconds,
    sources,
    time_or_none,
)
from tumpline.wire.stop_documents import CONVENTIONS, stops_by
from tumpline.wire.times import to_rfc3339
from tumpline.wire.units import from_si

LIVE = "tumpline.live/1"
ALARM = "tumpline.alarm/1"
SUMMARY = "tumpline.summary/1"

CAUTION = (
    "Monitoring only: this program is not a safety function and commands no machine. A missing reading, a quiet screen "
    "or a machine shown as stopped proves nothing about what the machine will do next. Before anyone goes near one: "
    "stop it, isolate and lock it off by the site's own procedure, release stored air, and let only competent people "
    "do the work. Vats are confined spaces that hold gas: nobody goes or leans into one except by the site's own "
    "procedure for them."
)
"""The standing notice of every document that people may act on."""

_TIMES = ("start", "end")
"""Keys of an event's data that are times."""
_encode = msgspec.json.Encoder().encode


def encode(document: Document) -> bytes:
    """A document as UTF-8 JSON, keys in the order they have."""
    return _encode(document)


def live_document(live: Live) -> Document:
    """`tumpline.live/1`: what a line knows at one moment."""
    by_name = {signal.name: signal for signal in live.signals}
    return {
        "schema": LIVE,
        "line": live.line,
        "at": to_rfc3339(live.at),
        "shift": live.shift,
        "shift_start": time_or_none(live.shift_start),
        "condition": live.condition.value,
        "condition_since": to_rfc3339(live.since),
        "condition_why": live.why,
        "signals": {signal.name: _signal_now(signal) for signal in live.signals},
        **_newest("throughput_t_per_h", by_name.get("mill/throughput")),
        **_newest("juice_l_per_min", by_name.get("juice/flow")),
        **_newest("pressure_bar", by_name.get("press/pressure")),
        **figure("yield_10min_l_per_t", live.recent_yield, LITRES_PER_TONNE),
        **figure("load_yield_l_per_t", live.load_yield, LITRES_PER_TONNE),
        **figure("yield_l_per_t", live.shift_yield, LITRES_PER_TONNE),
        **figure("fruit_kg", live.fruit),
        **figure("juice_l", live.juice, LITRES),
        **percentage("pomace_dry_matter_pct", live.pomace_dry_matter),
        "sources": sources(
            {
                "yield_10min_l_per_t": live.recent_yield,
                "load_yield_l_per_t": live.load_yield,
                "yield_l_per_t": live.shift_yield,
                "fruit_kg": live.fruit,
                "juice_l": live.juice,
                "pomace_dry_matter_pct": live.pomace_dry_matter,
            }
        ),
        **_current(live),
        "residence": residence_document(live.residence),
        "alarms": [alarm_document(alarm, live.line) for alarm in live.alarms if alarm.state is not AlarmState.NORMAL],
        "caution": CAUTION,
    }


def _current(live: Live) -> Document:
    """The load, vat, trailer and stop there are now, each null where there is none."""
    load, vat = live.load, live.vat
    return {
        "load": load and {**load_document(load, fruit="milled_kg"), "left_kg": rounded_or_none(live.load_left)},
        "vat": vat and {**vat_document(vat), "full_in_s": seconds(live.vat_full_in)},
        "trailer": live.trailer and trailer_document(live.trailer),
        "stop": live.stop and stop_document(live.stop),
    }


def alarm_document(alarm: AlarmRecord, line: str) -> Document:
    """`tumpline.alarm/1`: an alarm as it stands."""
    return {
        "schema": ALARM,
        "line": line,
        "name": alarm.name,
        "subject": alarm.subject,
        "state": alarm.state.value,
        "active": alarm.active,
        "priority": alarm.priority.value,
        "raised": time_or_none(alarm.raised),
        "cleared": time_or_none(alarm.cleared),
        "acknowledged": time_or_none(alarm.acknowledged),
        "by": alarm.by,
        "value": rounded_or_none(alarm.value),
        "limit": rounded_or_none(alarm.limit),
        "unit": alarm.unit,
        "cause": alarm.cause,
        "because_of": alarm.because_of,
        "shelved_until": time_or_none(alarm.shelved_until),
        "announced": alarm.announced,
        "times": alarm.times,
        "caution": alarm.caution,
    }


def event_document(event: TellEvent, line: str, root: str) -> Document:
    """A CloudEvents 1.0 event; its id is the same whenever the same thing is told again, on replay too."""
    told = b"\0".join((line.encode(), event.kind.encode(), to_rfc3339(event.at).encode(), _encode(event.data)))
    times = {key: to_rfc3339(value) for key in _TIMES if isinstance(value := event.data.get(key), float)}
    return {
        "specversion": "1.0",
        "id": hashlib.sha256(told).hexdigest()[:24],
        "source": f"/{root}/{line}",
        "type": f"tumpline.{event.kind}",
        "time": to_rfc3339(event.at),
        "datacontenttype": "application/json",
        "data": {**event.data, **times},
    }


def summary_document(summary: Summary) -> Document:
    """`tumpline.summary/1`: a shift summed up."""
    stops = [stop_document(stop) for stop in summary.stops]
    return {
        "schema": SUMMARY,
        "line": summary.line,
        "shift": summary.shift,
        "start": to_rfc3339(summary.start),
        "end": to_rfc3339(summary.end),
        "crew": list(summary.crew),
        **_shift_figures(summary),
        "time": {f"{condition.value}_s": seconds(summary.time.get(condition, 0.0)) for condition in Condition},
        **plain("availability", summary.availability, "no time of this shift is accounted for"),
        **plain("effectiveness", summary.effectiveness, "nothing was pressed in this shift"),
        "stops_count": len(summary.stops),
        **plain("mean_time_between_stops_s", summary.mean_time_between_stops, "there was no stop in this shift"),
        **plain("mean_stop_s", summary.mean_stop, "there was no stop in this shift"),
        "stops": stops,
        "stops_by_reason": stops_by("reason", stops),
        "stops_by_condition": stops_by("condition", stops),
        "conventions": CONVENTIONS,
        "alarms": [alarm_document(alarm, summary.line) for alarm in summary.alarms],
        "alarm_load": alarm_load_document(summary.alarm_load),
        "loads": [load_document(load) for load in summary.loads],
        "vats": [stock_document(vat) for vat in summary.vats],
        "moves": [move_document(move) for move in summary.moves],
        "trailers": [trailer_document(trailer) for trailer in summary.trailers],
        "balance": _balance_document(summary.balance),
        "yield_budget": budget_document(summary.extraction),
        "residence": residence_document(summary.residence),
        "dry_matter_anchors": anchor_documents(summary.anchors),
        "signals": [_signal_document(signal) for signal in summary.signals],
        "notes": list(summary.notes),
        "proofs": [proof_document(proof) for proof in summary.proofs],
        "corrections": [correction_document(correction) for correction in summary.corrections],
        "caution": CAUTION,
    }


def _shift_figures(summary: Summary) -> Document:
    return {
        **figure("fruit_kg", summary.fruit),
        **figure("juice_l", summary.juice, LITRES),
        **figure("juice_kg", summary.juice_mass),
        **figure("yield_l_per_t", summary.extraction, LITRES_PER_TONNE),
        **figure("juice_at_20_c_l", summary.juice_at_20, LITRES),
        **figure("yield_at_20_c_l_per_t", summary.extraction_at_20, LITRES_PER_TONNE),
        **figure("juice_temperature_c", summary.juice_celsius, floor=-math.inf),
        **percentage("mass_yield_pct", summary.mass_yield),
        **figure("pomace_kg", summary.pomace),
        **percentage("pomace_dry_matter_pct", summary.pomace_dry_matter),
        **figure("flume_water_l", summary.flume_water, LITRES),
        **percentage("potential_alcohol_pct", summary.potential_alcohol),
        "sources": sources(
            {
                "fruit_kg": summary.fruit,
                "juice_l": summary.juice,
                "juice_kg": summary.juice_mass,
                "yield_l_per_t": summary.extraction,
                "mass_yield_pct": summary.mass_yield,
                "pomace_kg": summary.pomace,
                "pomace_dry_matter_pct": summary.pomace_dry_matter,
                "flume_water_l": summary.flume_water,
                "potential_alcohol_pct": summary.potential_alcohol,
            }
        ),
    }


def _balance_document(balance: Balance) -> Document:
    reconciled: Document = {}
    for key, known in balance.reconciled.items():
        reconciled.update(figure(key, known))
    return {
        "reconciled": reconciled,
        **figure("residual", balance.residual, floor=float("-inf")),
        "residual_unit": "kg",
        "statistic": rounded_or_none(balance.statistic),
        "limit": rounded_or_none(balance.limit),
        "suspect": balance.suspect,
        "isolable": balance.isolable,
        "advice": balance.advice,
    }


def _signal_document(signal: SignalRecord) -> Document:
    return {
        "name": signal.name,
        "received": signal.received,
        "used": signal.used,
        "duplicate": signal.duplicate,
        "late": signal.late,
        "refused": signal.refused,
        "missing_s": seconds(signal.missing),
        "longest_gap_s": seconds(signal.longest_gap),
    }


def _signal_now(signal: SignalNow) -> Document:
    kind = kind_of(signal.name)
    value, unit = signal.value, None
    if kind is not None:
        unit = kind.unit
        value = None if value is None else from_si(value, unit, kind.quantity.value)
    return {"value": rounded_or_none(value), "unit": unit, "at": time_or_none(signal.at), "fresh": signal.fresh}


def _newest(key: str, signal: SignalNow | None) -> Document:
    """The newest reading in the unit of its key, or null with the reason: an old reading is not what is so now."""
    if signal is None:
        return {key: None, f"{key}_unknown": "this signal is not fitted"}
    now = _signal_now(signal)
    if not signal.fresh or signal.value is None:
        return {key: None, f"{key}_unknown": f"no reading since {now['at']}" if now["at"] else "no reading yet"}
    return {key: now["value"]}
