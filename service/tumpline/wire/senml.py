"""SenML packs: RFC 8428 in JSON, read and resolved."""

from __future__ import annotations

from collections.abc import Sequence

import msgspec
from msgspec import Struct

from tumpline.wire.jsontext import why_unreadable
from tumpline.wire.words import Refused, quoted

VERSION = 10
_UNREADABLE = (msgspec.MsgspecError, UnicodeDecodeError, RecursionError)
RELATIVE_BELOW = 2.0**28
"""Times below this are relative to now (RFC 8428, 4.5.3)."""


class Record(Struct, frozen=True, gc=False, forbid_unknown_fields=True):
    """One record as sent. Labels as in RFC 8428, table 1, but for the version."""

    bn: str | None = None
    bt: float | None = None
    bu: str | None = None
    bv: float | None = None
    bs: float | None = None
    n: str = ""
    u: str | None = None
    v: float | None = None
    vs: str | None = None
    vb: bool | None = None
    vd: str | None = None
    s: float | None = None
    t: float = 0.0
    ut: float | None = None


class _AnyRecord(Record, frozen=True, gc=False, forbid_unknown_fields=False):
    """One record with whatever labels."""

    bver: float | None = None


class Resolved(Struct, frozen=True, gc=False):
    """One record with the base fields worked in."""

    name: str
    unit: str | None
    value: float | str | bool | None
    """Text for `vs` and `vd`; None where there is only a sum."""
    sum: float | None
    at: float


_plain = msgspec.json.Decoder(list[Record]).decode
_any = msgspec.json.Decoder(list[_AnyRecord]).decode
_labels = msgspec.json.Decoder(list[dict[str, msgspec.Raw]]).decode


def unpack(payload: bytes) -> Sequence[Record] | Refused:
    """The records of a pack as they were sent; the refusal is a clause without the signal's name."""
    try:
        return _plain(payload)
    except _UNREADABLE:  # for a label that most packs do not have, or for good
        try:
            return _must_understand(payload, _any(payload))
        except _UNREADABLE as error:
            return Refused(f"{why_unreadable(payload, error)}; a SenML pack (RFC 8428 JSON) is accepted")


def resolve(records: Sequence[Record], now: float) -> list[Resolved]:
    """Work in the base fields; times below 2^28 count from `now`. Records with neither value nor sum are left out."""
    name, time, unit, value, total = "", 0.0, None, 0.0, None
    resolved = []
    for r in records:
        if r.bn is not None:
            name = r.bn
        if r.bt is not None:
            time = r.bt
        if r.bu is not None:
            unit = r.bu
        if r.bv is not None:
            value = r.bv
        if r.bs is not None:
            total = r.bs
        at = time + r.t
        if at < RELATIVE_BELOW:
            at += now
        v: float | str | bool | None
        if r.v is not None:
            v = r.v + value
        elif r.vb is not None:
            v = r.vb
        else:
            v = r.vs if r.vs is not None else r.vd
        s = r.s if total is None else total + (r.s or 0.0)
        if v is not None or s is not None:
            resolved.append(Resolved(name + r.n, r.u if r.u is not None else unit, v, s, at))
    return resolved


def _must_understand(payload: bytes, records: list[_AnyRecord]) -> Sequence[Record] | Refused:
    """Labels that end in an underscore have to be known and none is; nor is a later version (RFC 8428, 4.4)."""
    label = next((label for labels in _labels(payload) for label in labels if label.endswith("_")), None)
    if label is not None:
        return Refused(f"the SenML label {quoted(label)} is not known; the labels of RFC 8428 are accepted")
    version = max((r.bver for r in records if r.bver is not None), default=0.0)
    if version > VERSION:
        return Refused(f"the SenML version is {version:g}; up to {VERSION} is accepted")
    return records
