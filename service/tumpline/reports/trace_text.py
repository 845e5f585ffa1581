"""A trace as a page of plain text, for whoever has to answer at once: one step back, one step forward."""

from collections.abc import Iterator, Mapping
from typing import Any

_LABEL = 12
_LEAST = 0.1
_AMOUNTS = (("juice_l", "L"), ("pomace_kg", "kg"))


def trace_text(trace: Mapping[str, Any]) -> str:
    """What a `tumpline.trace/1` says, the growers first; figures without their intervals, which the document has."""
    ((kind, name),) = trace["of"].items()
    parts = (
        iter([f"{kind} {name}, in the shifts of {trace['since'][:10]} to {trace['until'][:10]}", "", "one step back"]),
        _back(trace),
        iter(["", "one step forward"]),
        _forward(trace),
        iter(["", trace["note"]]),
    )
    return "\n".join(line for part in parts for line in part) + "\n"


def _back(trace: Mapping[str, Any]) -> Iterator[str]:
    for grower in trace["growers"]:
        yield f"  {'grower':{_LABEL}}{grower['grower'] or 'not said'}: {_share(grower)}"
    for variety in trace["varieties"]:
        yield f"  {'variety':{_LABEL}}{variety['name'] or 'not said'}: {_share(variety)}"
    for load in trace["loads"]:
        weighed = "" if load["net_kg"] is None else f", weighed in at {load['net_kg']:g} kg"
        days = ", ".join(dict.fromkeys(shift["start"][:10] for shift in load["pressed"]))
        pressed = f", pressed {days}" if days else ""
        yield f"  {'load':{_LABEL}}{load['load'] or 'not said'} of {load['grower'] or 'nobody named'}{weighed}{pressed}"


def _forward(trace: Mapping[str, Any]) -> Iterator[str]:
    lines = [*_vats(trace), *_trailers(trace), *_moves(trace)]
    yield from lines or ["  Nothing has left it yet, as far as the book says."]
    for taker in trace["taken_by"]:
        yield f"  {'taken by':{_LABEL}}{taker}"


def _vats(trace: Mapping[str, Any]) -> Iterator[str]:
    for vat in trace.get("vats", ()):
        yield f"  {'vat':{_LABEL}}{vat['vat']}: {_litres(vat['now_l'])} of it when last seen, {vat['last_seen'][:10]}"


def _trailers(trace: Mapping[str, Any]) -> Iterator[str]:
    for trailer in trace.get("trailers", ()):
        yield f"  {'trailer':{_LABEL}}{trailer['trailer']}, {trailer['start'][:10]}{_to(trailer)}"
    for trip in trace.get("trips", ()):
        weighed = "not weighed yet" if trip["weighed_kg"] is None else f"weighed {trip['weighed_kg']:g} kg"
        yield f"  {'trip':{_LABEL}}{trip['shifts'][0]['start'][:10]}, {weighed}{_to(trip)}"


def _moves(trace: Mapping[str, Any]) -> Iterator[str]:
    for move in trace.get("moves", ()):
        where = f"to vat {move['to_vat']}" if move["to_vat"] else f"away{_to(move)}"
        yield f"  {'moved':{_LABEL}}{move['at'][:10]}: {_litres(move['juice_l'])} from vat {move['from_vat']} {where}"


def _share(part: Mapping[str, Any]) -> str:
    """So much, and which part of the whole; what was not measured is unknown."""
    pct = part["share_pct"]
    share = "share unknown" if pct is None else f"{pct:.1f} %" if pct >= _LEAST else f"under {_LEAST:g} %"
    amounts = [f", {part[key]:.0f} {unit}" for key, unit in _AMOUNTS if part.get(key)]
    return share + "".join(amounts)


def _litres(figure: Mapping[str, float] | None) -> str:
    return "an unknown part" if figure is None else f"{figure['value']:.0f} L"


def _to(left: Mapping[str, Any]) -> str:
    return f", to {left['taken_by']}" if left["taken_by"] else ""
