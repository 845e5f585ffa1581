"""The fields of book entries: which a kind has, and what each may be."""

from __future__ import annotations

import re
from collections.abc import Mapping, Sequence
from typing import Any, NamedTuple

import msgspec

from tumpline.pressing.entries import KINDS, Correct, Entry, Proof, Sample, Transfer, Variety, Vat, VatKnown
from tumpline.wire.jsontext import wrong_type
from tumpline.wire.times import A_TIME, from_rfc3339
from tumpline.wire.words import Refused, did_you_mean, listed, quoted

_SAMPLE_FIGURES = ("dry_matter_pct", "brix", "acidity_g_per_l", "tannin_g_per_l", "ph")
_SAMPLED = ("fruit", "juice", "pomace")
_PROVED = ("volume_l", "mass_kg")
_TIMES = frozenset(["start", "end"])
_SHARES_WITHIN = 0.001
_ID = re.compile(rf"({'|'.join(k for k in KINDS if k != 'correct')})-[0-9a-f]{{12}}", re.ASCII)
_MAY_BE_EMPTY = frozenset(["note", "harvested", "condition"])


class _Limits(NamedTuple):
    low: float
    high: float
    words: str


_ABOVE_ZERO = 5e-324
_LIMITS = {
    "net_kg": _Limits(_ABOVE_ZERO, 1e6, "a mass above 0 and up to 1000 t"),
    "capacity_kg": _Limits(_ABOVE_ZERO, 1e6, "a mass above 0 and up to 1000 t"),
    "capacity_l": _Limits(_ABOVE_ZERO, 1e7, "a volume above 0 and up to 10000 m³"),
    "contents_l": _Limits(0.0, 1e7, "a volume from 0 to 10000 m³"),
    "volume_l": _Limits(0.0, 1e7, "a volume from 0 to 10000 m³"),
    "mass_kg": _Limits(_ABOVE_ZERO, 1e6, "a mass above 0 and up to 1000 t"),
    "limits_pct": _Limits(0.0, 20.0, "0 to 20 %"),
    "dry_matter_pct": _Limits(0.0, 100.0, "0 to 100 %"),
    "brix": _Limits(0.0, 85.0, "0 to 85 °Bx"),
    "acidity_g_per_l": _Limits(0.0, 100.0, "0 to 100 g/L"),
    "tannin_g_per_l": _Limits(0.0, 100.0, "0 to 100 g/L"),
    "ph": _Limits(0.0, 14.0, "0 to 14"),
    "minutes": _Limits(_ABOVE_ZERO, 1440.0, "a time above 0 and up to 1440 minutes"),
}


def entry_of(kind: str, fields: Mapping[str, object]) -> Entry | Refused:
    """The entry of a known kind with these fields; the refusal is a clause without the kind and without a full stop."""
    if kind == "correct":
        return _correction(fields)
    problem = _unknown_field(kind, fields) or _missing_field(kind, fields) or _wrong_values(kind, fields)
    if problem:
        return Refused(problem)
    entry = msgspec.convert(_prepared(fields), KINDS[kind])
    problem = _broken_rule(entry)
    return Refused(problem) if problem else entry


def _correction(fields: Mapping[str, object]) -> Correct | Refused:
    """The replacing fields stand beside `entry`, or in an object `fields` (the only place for a new `at`)."""
    entry, inner = fields.get("entry"), fields.get("fields", {})
    named = _ID.fullmatch(entry) if isinstance(entry, str) else None
    if named is None:
        return Refused(f'"entry" is {quoted(entry)}; the id of an earlier entry (load-0123456789ab) is accepted')
    if not isinstance(inner, dict):
        return Refused('"fields" holds no fields; an object with those that replace the entry\'s own is accepted')
    changes = {**{name: value for name, value in fields.items() if name not in ("entry", "fields")}, **inner}
    at = changes.pop("at", None)
    problem = _unknown_field(named[1], changes) or _wrong_values(named[1], changes)
    if problem:
        return Refused(problem)
    changes = _plain(named[1], changes)
    if at is not None:
        time = from_rfc3339(at) if isinstance(at, str) else None
        if time is None:
            return Refused(f'"at" is {quoted(at)}; {A_TIME} is accepted')
        changes["at"] = time
    if not changes:
        return Refused(f"it changes nothing; at least one of {_fields_of(named[1])} is accepted")
    return Correct(entry=named[0], fields=changes)


def _prepared(fields: Mapping[str, object]) -> dict[str, object]:
    """Times as seconds since 1970; one name for a crew is a crew of one."""
    prepared = dict(fields)
    for name, value in fields.items():
        if name == "crew" and isinstance(value, str):
            prepared[name] = [value]
        elif name in _TIMES and isinstance(value, str):
            prepared[name] = from_rfc3339(value)
    return prepared


def _plain(kind: str, fields: Mapping[str, object]) -> dict[str, object]:
    """Good values as plain data, a number always as a float."""
    types = _types(kind)
    return {name: msgspec.to_builtins(msgspec.convert(value, types[name])) for name, value in _prepared(fields).items()}


def _types(kind: str) -> dict[str, Any]:
    return {field.name: field.type for field in msgspec.structs.fields(KINDS[kind])}


def _fields_of(kind: str) -> str:
    return listed(KINDS[kind].__struct_fields__)


def _unknown_field(kind: str, fields: Mapping[str, object]) -> str | None:
    known = KINDS[kind].__struct_fields__
    name = next((n for n in fields if n not in known), None)
    if name is None:
        return None
    return f"the field {quoted(name)} is not known{did_you_mean(name, known)}; {_fields_of(kind)} is accepted"


def _missing_field(kind: str, fields: Mapping[str, object]) -> str | None:
    required = [field.name for field in msgspec.structs.fields(KINDS[kind]) if field.required]
    missing = [name for name in required if fields.get(name) is None]
    if not missing:
        return None
    return f"it lacks {listed(missing, last='and')}; a {kind} with {listed(required, last='and')} is accepted"


def _wrong_values(kind: str, fields: Mapping[str, object]) -> str | None:
    """What is wrong with the first value that cannot be, each looked at by itself."""
    types = _types(kind)
    for name, value in _prepared(fields).items():
        if name == "what" and value not in _SAMPLED:
            return f'"what" is {quoted(value)}; {listed(_SAMPLED)} is accepted'
        if name in _TIMES and (value is None or not isinstance(fields[name], str)):
            return f'"{name}" is {quoted(fields[name])}; {A_TIME} is accepted'
        try:
            converted = msgspec.convert(value, types[name])
        except msgspec.ValidationError as error:
            return wrong_type(str(error), within=name)
        problem = _wrong_value(name, converted)
        if problem:
            return problem
    return None


def _wrong_value(name: str, value: object) -> str | None:
    limits = _LIMITS.get(name)
    if limits is not None and isinstance(value, float) and not limits.low <= value <= limits.high:
        return f'"{name}" is {value:g}; {limits.words} is accepted'
    if isinstance(value, str) and not value.strip() and name not in _MAY_BE_EMPTY:
        return f'"{name}" is empty; a name or text is accepted'
    return _wrong_varieties(value) if name == "varieties" and isinstance(value, tuple) else None


def _wrong_varieties(varieties: Sequence[Variety]) -> str | None:
    for variety in varieties:
        if not variety.name.strip() or not 0.0 <= variety.share <= 1.0:
            return f"the share of {quoted(variety.name)} is {variety.share:g}; a named variety with 0 to 1 is accepted"
    total = sum(variety.share for variety in varieties)
    if abs(total - 1.0) > _SHARES_WITHIN + 1e-9:  # a sum of decimals is not exact
        return f"the shares of the varieties add up to {total:.6g}; 1 within {_SHARES_WITHIN:g} is accepted"
    return None


def _broken_rule(entry: Entry) -> str | None:
    """What is wrong with values that are each possible by themselves."""
    match entry:
        case Sample():
            given = [name for name in _SAMPLE_FIGURES if getattr(entry, name) is not None]
            if len(given) != 1:
                got = listed(given, last="and") if given else "no figure"
                return f"it holds {got}; exactly one of {listed(_SAMPLE_FIGURES)} is accepted"
        case (
            Vat(capacity_l=float(capacity), contents_l=float(contents))
            | VatKnown(capacity_l=float(capacity), contents_l=float(contents))
        ) if contents > capacity:
            return f'"contents_l" is {contents:g}; up to the vat\'s "capacity_l" of {capacity:g} is accepted'
        case Transfer(from_vat=one, to_vat=other) if one == other:
            return f'"from_vat" and "to_vat" are both {quoted(one)}; two vats are accepted'
        case Proof(volume_l=volume, mass_kg=mass) if (volume is None) == (mass is None):
            return f"it holds {'both' if volume is not None else 'neither'}; one of {listed(_PROVED)} is accepted"
        case Proof(start=start, end=end) if end <= start:
            return '"end" is not after "start"; a stretch of time is accepted'
    return None
