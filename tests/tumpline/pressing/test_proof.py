"""A meter held against a known amount."""

import pytest

from tumpline.pressing.entries import Proof
from tumpline.pressing.proof import proof_records
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import ProofRecord, Unknown

BINS = [0.0] * 20 + [0.05] * 60 + [0.0] * 40
"""m³ of juice: 5 minutes of 10 L/s from second 100 to second 400."""


def proved(proof: Proof) -> ProofRecord:
    """The record of one proof in a shift that began at 1000 s."""
    (record,) = proof_records([proof], {"juice/flow": BINS}, start=1000.0)
    return record


def test_the_factor_is_what_was_known_over_what_was_metered() -> None:
    """A measure of 2.94 m³ known within 0.2 %, 3.00 m³ by the meter: 0.98, ±0.2 % (own arithmetic)."""
    record = proved(Proof("juice/flow", 1050.0, 1450.0, volume_l=2940.0, limits_pct=0.2))
    assert isinstance(record.factor, Estimate)
    value, low, high = record.factor.figure()
    assert value == pytest.approx(0.98)
    assert (high - low) / 2.0 == pytest.approx(0.95 * 0.98 * 0.002, rel=0.01)


def test_a_proof_begun_while_juice_ran_is_less_sure() -> None:
    """A second early or late at 10 L/s is 10 L of 1000, at either end: wider than the measure's own 0.2 %."""
    record = proved(Proof("juice/flow", 1150.0, 1250.0, volume_l=1000.0, limits_pct=0.2))
    assert isinstance(record.metered, Estimate)
    assert record.metered.value == pytest.approx(1.0)
    assert isinstance(record.factor, Estimate)
    assert record.factor.u == pytest.approx(((0.01**2 + 0.01**2 + 0.002**2) / 3.0) ** 0.5, rel=1e-6)


@pytest.mark.parametrize(
    ("proof", "why"),
    [
        (Proof("press/pressure", 1050.0, 1450.0, volume_l=3000.0), "counts nothing"),
        (Proof("juice/flow", 900.0, 1450.0, volume_l=3000.0), "does not lie within this shift"),
        (Proof("juice/flow", 1050.0, 1700.0, volume_l=3000.0), "does not lie within this shift"),
        (Proof("juice/flow", 1000.0, 1050.0, volume_l=3000.0), "counted too little"),
    ],
)
def test_a_proof_that_proves_nothing_says_why(proof: Proof, why: str) -> None:
    """No such counter, another shift, or nothing counted."""
    factor = proved(proof).factor
    assert isinstance(factor, Unknown)
    assert why in factor.why
