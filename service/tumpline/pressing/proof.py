"""A meter proved against a known amount: by which factor its readings are to be multiplied, and how sure that is."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from tumpline.pressing.entries import Proof
from tumpline.pressing.quantities import Estimate, limits, ratio
from tumpline.pressing.records import Known, ProofRecord, Unknown
from tumpline.pressing.residence import BIN

_KNOWN_WITHIN = 0.5
"""Per cent, either way, of an amount that nobody said how well it is known (common practice, no source)."""
_CLOCK = 1.0
"""Seconds by which the times of a proof may be off at either end (common practice, no source)."""


def proof_records(
    proofs: Iterable[Proof], amounts: Mapping[str, Sequence[float]], *, start: float
) -> tuple[ProofRecord, ...]:
    """Proofs of this shift; `amounts` is what each signal counted (m³ or kg) in each bin from `start` on."""
    return tuple(_record(proof, amounts.get(proof.signal), start) for proof in proofs)


def _record(proof: Proof, amounts: Sequence[float] | None, start: float) -> ProofRecord:
    known = _known(proof)
    metered = metered_between(amounts, (proof.start - start) / BIN, (proof.end - start) / BIN)
    factor: Known
    if isinstance(metered, Unknown):
        factor = metered
    else:
        factor = ratio(known, metered) or Unknown("the meter counted too little to be held against anything")
    return ProofRecord(proof.signal, proof.start, proof.end, known, metered, factor)


def _known(proof: Proof) -> Estimate:
    amount = proof.volume_l / 1000.0 if proof.volume_l is not None else proof.mass_kg or 0.0
    within = _KNOWN_WITHIN if proof.limits_pct is None else proof.limits_pct
    return Estimate(amount, (limits("the known amount of the proof", amount * within / 100.0),))


def metered_between(amounts: Sequence[float] | None, first: float, last: float) -> Known:
    """What a meter counted between two places in its bins; its own accuracy, which is what is asked for, left out."""
    if amounts is None:
        return Unknown("this signal counts nothing that a known amount could be held against")
    if first < 0.0 or last > len(amounts):
        return Unknown("the proof does not lie within this shift")
    total = 0.0
    for j in range(int(first), min(len(amounts), int(last) + 1)):
        total += amounts[j] * max(0.0, min(last, j + 1.0) - max(first, float(j)))
    edges = [amounts[min(len(amounts) - 1, int(place))] / BIN * _CLOCK for place in (first, last)]
    terms = (limits("when the proof began", edges[0]), limits("when the proof ended", edges[1]))
    return Estimate(total, tuple(t for t in terms if t.u > 0.0))
