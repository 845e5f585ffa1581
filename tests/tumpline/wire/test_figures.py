"""Figures as documents write them."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.records import Unknown
from tumpline.wire.figures import figure, percentage, plain, rounded, rounded_or_none, seconds, time_or_none


def test_a_figure_has_its_interval_in_the_keys_unit() -> None:
    """Limits of ±1 are a 95 % interval of ±0.95, scaled as the value is."""
    known = Estimate(7e-4, (limits("meter", 1e-5),))
    assert figure("yield_l_per_t", known, 1e6) == {
        "yield_l_per_t": {"value": 700.0, "low": pytest.approx(690.5, abs=0.1), "high": pytest.approx(709.5, abs=0.1)}
    }


def test_an_unknown_figure_is_null_with_its_reason() -> None:
    """Unknown is never written as zero."""
    assert figure("fruit_kg", Unknown("the line is filling")) == {
        "fruit_kg": None,
        "fruit_kg_unknown": "the line is filling",
    }
    assert plain("availability", None, "nothing yet") == {"availability": None, "availability_unknown": "nothing yet"}
    assert plain("availability", 0.5, "nothing yet") == {"availability": 0.5}


@pytest.mark.parametrize("value", [float("nan"), float("inf")])
def test_what_is_no_number_is_unknown(value: float) -> None:
    """A document never holds a null that says nothing about itself."""
    assert figure("x", Estimate(value))["x_unknown"] == "the readings give no number"


def test_an_interval_ends_where_the_possible_ends() -> None:
    """There is no negative mass and no more than 100 %."""
    wide = Estimate(0.99, (limits("meter", 2.0),))
    assert percentage("dry", wide)["dry"] == {"value": 99.0, "low": 0.0, "high": 100.0}
    assert figure("fruit_kg", wide)["fruit_kg"]["low"] == 0.0
    assert figure("residual", wide, floor=float("-inf"))["residual"]["low"] < 0.0


@given(st.floats(-1e12, 1e12))
def test_rounding_keeps_six_digits_and_is_settled_at_once(value: float) -> None:
    """Rounding again changes nothing, and nothing is off by more than half a millionth."""
    once = rounded(value)
    assert rounded(once) == once
    assert once == pytest.approx(value, rel=5.1e-6)
    assert str(once) != "-0.0"


def test_plain_numbers_may_be_missing() -> None:
    """What is missing stays missing."""
    assert (rounded_or_none(None), rounded_or_none(0.0123456789, 1000.0)) == (None, 12.3457)
    assert (seconds(None), seconds(12.34567)) == (None, 12.346)
    assert (time_or_none(None), time_or_none(0.5)) == (None, "1970-01-01T00:00:00.500000Z")
