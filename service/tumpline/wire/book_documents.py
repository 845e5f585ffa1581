"""What the shift book says in documents: loads, vats, trailers and stops."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from tumpline.pressing.cellar_records import by_grower
from tumpline.pressing.records import (
    AddingRecord,
    CorrectionRecord,
    LoadRecord,
    MoveRecord,
    ProofRecord,
    Share,
    StopRecord,
    TrailerRecord,
    VatRecord,
)
from tumpline.wire.doubt_documents import own_u
from tumpline.wire.figures import (
    LITRES,
    LITRES_PER_TONNE,
    Document,
    figure,
    percentage,
    plain,
    rounded,
    rounded_or_none,
    seconds,
    time_or_none,
)
from tumpline.wire.times import to_rfc3339

_NOT_ALL = "this is not known of all that is in the vat"
_TIMES = ("at", "start", "end")
"""Fields of entries that are times."""


def load_document(load: LoadRecord, *, fruit: str = "fruit_kg") -> Document:
    """A grower's load and what became of it; `fruit` is the key of what has been milled."""
    return {
        "load": load.load,
        "grower": load.grower,
        "varieties": [{"name": variety.name, "share": rounded(variety.share)} for variety in load.varieties],
        "net_kg": rounded(load.net),
        **figure(fruit, load.milled),
        **figure("juice_l", load.juice, LITRES),
        **figure("yield_l_per_t", load.extraction, LITRES_PER_TONNE),
        "yield_own_u_l_per_t": own_u(load.extraction),
        **percentage("pomace_dry_matter_pct", load.pomace_dry_matter),
        "on": time_or_none(load.on),
        "off": time_or_none(load.off),
    }


def vat_document(vat: VatRecord) -> Document:
    """A vat and the juice that went into it this shift."""
    return {
        "vat": vat.vat,
        **figure("juice_l", vat.juice, LITRES),
        "from": _shares(vat.shares, "juice_l", LITRES),
        "contents_l": rounded_or_none(vat.contents, LITRES),
        "capacity_l": rounded_or_none(vat.capacity, LITRES),
        **plain("brix", vat.brix, _NOT_ALL),
        **plain("acidity_g_per_l", vat.acidity, _NOT_ALL),
        **plain("tannin_g_per_l", vat.tannin, _NOT_ALL),
        "class": vat.fruit_class,
        **({} if vat.fruit_class else {"class_unknown": "acidity and tannin are not both known"}),
        **plain("ph", vat.ph, "pH was not measured since juice last went in, and does not average"),
        **figure("held_l", vat.held, LITRES),
        "outside": list(vat.outside),
        "adding": [_adding_document(load) for load in vat.adding],
    }


def _adding_document(load: AddingRecord) -> Document:
    """What the vat would be with a load that waits."""
    return {
        "load": load.load,
        "juice_l": rounded(load.juice * LITRES),
        "fits": load.fits,
        "brix": rounded_or_none(load.brix),
        "acidity_g_per_l": rounded_or_none(load.acidity),
        "tannin_g_per_l": rounded_or_none(load.tannin),
        "class": load.fruit_class,
        "outside": list(load.outside),
    }


def stock_document(vat: VatRecord) -> Document:
    """The same, with whose everything is that the vat holds, of this shift or not."""
    return {
        **vat_document(vat),
        "holds": [
            {"load": part.load or None, "grower": part.grower or None, **figure("juice_l", part.amount, LITRES)}
            for part in vat.holds
        ],
        "growers": [
            {"grower": grower or None, **figure("juice_l", amount, LITRES)}
            for grower, amount in by_grower(vat.holds).items()
        ],
    }


def move_document(move: MoveRecord) -> Document:
    """Juice that left a vat; `to_vat` is null where it left for good."""
    return {
        "at": to_rfc3339(move.at),
        "from_vat": move.vat,
        "to_vat": move.to_vat,
        "taken_by": move.taken_by,
        **figure("juice_l", move.volume, LITRES),
        "loads": _shares(move.shares, "juice_l", LITRES),
    }


def proof_document(proof: ProofRecord) -> Document:
    """A meter proved; the amounts in the unit of documents, L or kg."""
    mass = proof.signal.startswith(("mill/", "pomace/"))
    unit, factor = ("kg", 1.0) if mass else ("l", LITRES)
    return {
        "signal": proof.signal,
        "start": to_rfc3339(proof.start),
        "end": to_rfc3339(proof.end),
        **figure(f"known_{unit}", proof.known, factor),
        **figure(f"metered_{unit}", proof.metered, factor),
        **figure("factor", proof.factor),
    }


def correction_document(correction: CorrectionRecord) -> Document:
    """An entry put right: what it said, what it says, and who changed it."""
    return {
        "at": to_rfc3339(correction.at),
        "by": correction.by,
        "entry": correction.entry,
        "kind": correction.kind,
        "load": correction.load,
        "was": _with_times(correction.before),
        "is": _with_times(correction.after),
    }


def _with_times(fields: Mapping[str, object]) -> Document:
    return {
        name: to_rfc3339(value) if name in _TIMES and isinstance(value, float) else value
        for name, value in fields.items()
    }


def trailer_document(trailer: TrailerRecord) -> Document:
    """A trailer and the pomace that went onto it this shift."""
    return {
        "trailer": trailer.trailer,
        **figure("pomace_kg", trailer.pomace),
        **percentage("dry_matter_pct", trailer.dry_matter),
        "from": _shares(trailer.shares, "pomace_kg", 1.0),
        "capacity_kg": rounded_or_none(trailer.capacity),
        "weighed_kg": rounded_or_none(trailer.weighed),
        "taken_by": trailer.taken_by,
    }


def stop_document(stop: StopRecord) -> Document:
    """A stretch of not pressing; its end and duration are null while it lasts."""
    return {
        "id": stop.id,
        "start": to_rfc3339(stop.start),
        "end": time_or_none(stop.end),
        "duration_s": seconds(None if stop.end is None else stop.end - stop.start),
        "condition": stop.condition.value,
        "fruit_not_pressed_kg": rounded_or_none(stop.fruit_not_pressed),
        "reason": stop.reason,
        "note": stop.note,
        "by": stop.by,
    }


def _shares(shares: Iterable[Share], key: str, factor: float) -> list[Document]:
    """Fruit that no load entry names has a null load."""
    return [{"load": share.load or None, **figure(key, share.amount, factor)} for share in shares]
