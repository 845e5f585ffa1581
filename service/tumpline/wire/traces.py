"""
Where fruit came from and where it went: one step back and one step forward (Regulation (EC) 178/2002, Article 18).

Made from the summaries of any number of shifts, so that it can be made again from what was published. A vat counts as
mixed. Whose the fruit was is taken from the loads' own records, as they were last put right.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from tumpline.wire.figures import Document, rounded
from tumpline.wire.words import Refused, did_you_mean, listed, quoted

TRACE = "tumpline.trace/1"

_MIXED = "A vat is taken as mixed: what left it, or was dipped more or less, was of everything in it in proportion."
_REUSED = "A trailer's trip ends when it is weighed; the loads are those of the last trip."
_NAMED = 8


def trace_vat(summaries: Sequence[Document], vat: str) -> Document | Refused:
    """`tumpline.trace/1` of a vat: what it held at the end of the last shift that had to do with it, and whose."""
    shifts = _by_time(summaries)
    seen = [(s, v) for s in shifts for v in s["vats"] if v["vat"] == vat]
    if not seen:
        return _nothing("vat", vat, (v["vat"] for s in shifts for v in s["vats"]))
    last = seen[-1][1]
    held = last.get("holds", last["from"])
    moves = [m for m in _moves(shifts) if vat in (m["from_vat"], m["to_vat"])]
    return {
        **_head(shifts, "vat", vat),
        **_origins(shifts, held, "juice_l"),
        "held_l": last.get("held_l"),
        "held_l_unknown": last.get("held_l_unknown"),
        "shifts": [{**_shift(s), "end": s["end"], "juice_l": v["juice_l"], "from": v["from"]} for s, v in seen],
        "moves": moves,
        "taken_by": _takers(moves),
        "note": _MIXED,
    }


def trace_trailer(summaries: Sequence[Document], trailer: str) -> Document | Refused:
    """`tumpline.trace/1` of a trailer: its trips, and whose pomace was on the last one."""
    shifts = _by_time(summaries)
    seen = [(s, t) for s in shifts for t in s["trailers"] if t["trailer"] == trailer]
    if not seen:
        return _nothing("trailer", trailer, (t["trailer"] for s in shifts for t in s["trailers"]))
    trips = list(_trips(seen))
    return {
        **_head(shifts, "trailer", trailer),
        **_origins(shifts, trips[-1]["from"], "pomace_kg"),
        "trips": trips,
        "taken_by": _takers(trips),
        "note": _REUSED,
    }


def trace_load(summaries: Sequence[Document], load: str) -> Document | Refused:
    """`tumpline.trace/1` of a load: the vats and trailers it went to, and whoever took of them."""
    shifts = _by_time(summaries)
    pressed = [(s, part) for s in shifts for part in s["loads"] if part["load"] == load]
    if not pressed:
        return _nothing("load", load, (part["load"] for s in shifts for part in s["loads"] if part["load"]))
    moves = [
        {**m, "loads": [part for part in m["loads"] if part["load"] == load]}
        for m in _moves(shifts)
        if any(part["load"] == load for part in m["loads"])
    ]
    trailers = [
        {
            "trailer": t["trailer"],
            **_shift(s),
            "pomace_kg": part.get("pomace_kg"),
            "weighed_kg": t["weighed_kg"],
            "taken_by": t.get("taken_by"),
        }
        for s in shifts
        for t in s["trailers"]
        for part in t["from"]
        if part["load"] == load
    ]
    return {
        **_head(shifts, "load", load),
        **_origins(shifts, [{"load": load, "juice_l": pressed[-1][1]["juice_l"]}], "juice_l"),
        "pressed": [
            {**_shift(s), "end": s["end"], "fruit_kg": part["fruit_kg"], "juice_l": part["juice_l"]}
            for s, part in pressed
        ],
        "vats": list(_vats_of(shifts, load)),
        "moves": moves,
        "trailers": trailers,
        "taken_by": _takers([*moves, *trailers]),
        "note": _MIXED,
    }


def _by_time(summaries: Iterable[Document]) -> list[Document]:
    return sorted(summaries, key=lambda s: (s["end"], s["line"]))


def _nothing(kind: str, name: str, known: Iterable[str]) -> Refused:
    names = list(dict.fromkeys(known))
    if not names:
        return Refused(f"There is no {kind} {quoted(name)}: no shift of this time has one.")
    there = listed(names[-_NAMED:])
    return Refused(f"There is no {kind} {quoted(name)}{did_you_mean(name, names)}; {there} is accepted.")


def _head(shifts: Sequence[Document], kind: str, name: str) -> Document:
    return {
        "schema": TRACE,
        "of": {kind: name},
        "since": shifts[0]["start"],
        "until": shifts[-1]["end"],
    }


def _shift(summary: Document) -> Document:
    return {key: summary[key] for key in ("line", "shift", "start")}


def _moves(shifts: Iterable[Document]) -> list[Document]:
    return [move for s in shifts for move in s.get("moves", ())]


def _takers(moved: Iterable[Document]) -> list[str]:
    return list(dict.fromkeys(m["taken_by"] for m in moved if m["taken_by"]))


def _origins(shifts: Sequence[Document], parts: Sequence[Document], key: str) -> Document:
    """One step back: whose loads these parts are, with the growers and varieties summed up."""
    loads = [_origin(shifts, part, key) for part in parts]
    amounts = [_amount(load, key) for load in loads]
    whole = sum(amounts)
    growers: dict[str | None, float] = {}
    varieties: dict[str | None, float] = {}
    for load, amount in zip(loads, amounts, strict=True):
        load["share_pct"] = _share(amount, whole)
        growers[load["grower"]] = growers.get(load["grower"], 0.0) + amount
        for name, share in _varieties(load):
            varieties[name] = varieties.get(name, 0.0) + amount * share
    return {
        "loads": loads,
        "growers": [{"grower": g, key: rounded(a), "share_pct": _share(a, whole)} for g, a in growers.items()],
        "varieties": [{"name": n, "share_pct": _share(a, whole)} for n, a in varieties.items()],
    }


def _origin(shifts: Iterable[Document], part: Document, key: str) -> Document:
    records = [(s, r) for s in shifts for r in s["loads"] if r["load"] == part["load"] and part["load"] is not None]
    newest: Mapping[str, object] = records[-1][1] if records else {}
    return {
        "load": part["load"],
        "grower": newest.get("grower") or part.get("grower"),
        "varieties": newest.get("varieties", []),
        "net_kg": newest.get("net_kg"),
        "pressed": [_shift(s) for s, _ in records],
        key: part.get(key),
    }


def _varieties(load: Document) -> list[tuple[str | None, float]]:
    return [(v["name"], v["share"]) for v in load["varieties"]] or [(None, 1.0)]


def _amount(part: Document, key: str) -> float:
    return float(part[key]["value"]) if part.get(key) else 0.0


def _share(amount: float, whole: float) -> float | None:
    return rounded(100.0 * amount / whole) if whole > 0.0 else None


def _trips(seen: Iterable[tuple[Document, Document]]) -> Iterator[Document]:
    """What was on a trailer from one weighing to the next, over as many shifts as that took."""
    shifts: list[Document] = []
    parts: dict[str | None, Document | None] = {}
    for summary, trailer in seen:
        shifts.append(_shift(summary))
        for part in trailer["from"]:
            parts[part["load"]] = _sum(parts.get(part["load"]), part.get("pomace_kg"))
        if trailer["weighed_kg"] is not None:
            yield _trip(shifts, parts, trailer)
            shifts, parts = [], {}
    if shifts:
        yield _trip(shifts, parts, {})


def _trip(shifts: list[Document], parts: Mapping[str | None, Document | None], left: Document) -> Document:
    return {
        "shifts": shifts,
        "weighed_kg": left.get("weighed_kg"),
        "taken_by": left.get("taken_by"),
        "from": [{"load": load, "pomace_kg": amount} for load, amount in parts.items()],
    }


def _sum(one: Document | None, other: Document | None) -> Document | None:
    """Figures of one meter in two shifts: its error is common, so the ends of the intervals add up."""
    if one is None or other is None:
        return one or other
    return {end: rounded(one[end] + other[end]) for end in ("value", "low", "high")}


def _vats_of(shifts: Sequence[Document], load: str) -> Iterator[Document]:
    """Every vat that a load's juice went into, or was brought to."""
    for vat in dict.fromkeys(v["vat"] for s in shifts for v in s["vats"]):
        records = [(s, v) for s in shifts for v in s["vats"] if v["vat"] == vat]
        poured = [(s, part) for s, v in records for part in v["from"] if part["load"] == load]
        held = [(s, part) for s, v in records for part in v.get("holds", ()) if part["load"] == load]
        if poured or held:
            now = [part for part in records[-1][1].get("holds", records[-1][1]["from"]) if part["load"] == load]
            yield {
                "vat": vat,
                "poured": [{**_shift(s), "juice_l": part.get("juice_l")} for s, part in poured],
                "now_l": now[0].get("juice_l") if now else None,
                "last_seen": (held or poured)[-1][0]["end"],
            }
