"""What a vat holds: sums that agree, and figures of a mixture."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.stock import UNNAMED, Part, Stock


def holding(whole: bool = True, **loads: float) -> Stock:
    """A vat with so many m³ of each load, metered within 1 %."""
    volume = sum(loads.values())
    meter = (limits("accuracy of juice/flow", 0.01 * volume),)
    return Stock(Estimate(volume, meter), whole, {load: Part(amount) for load, amount in loads.items()})


def amounts(stock: Stock) -> dict[str, float]:
    """m³ by load."""
    return {load: stock.part(load).value for load in stock.parts}


def test_what_leaves_a_vat_is_of_everything_in_it() -> None:
    """1 m³ out of 3 of A and 1 of B: 0.75 and 0.25 of it, 2.25 and 0.75 stay (own arithmetic)."""
    stays, goes = holding(A=3.0, B=1.0).taken(Estimate(1.0))
    assert amounts(goes) == pytest.approx({"A": 0.75, "B": 0.25})
    assert amounts(stays) == pytest.approx({"A": 2.25, "B": 0.75})
    assert stays.volume.value == pytest.approx(3.0)


def test_a_dip_that_agrees_with_the_meter_within_both_is_shared_out() -> None:
    """4 m³ metered within 1 %, 4.03 m³ dipped within 0.04: what is in it counts in proportion, as sure as the dip."""
    told = holding(A=3.0, B=1.0).told(Estimate(4.03, (limits("dip of vat V1", 0.04),)))
    assert amounts(told) == pytest.approx({"A": 3.0225, "B": 1.0075})
    assert told.part("A").figure().high == pytest.approx(3.0225 + 0.75 * 0.95 * 0.04)


def test_a_dip_that_finds_much_more_finds_juice_of_no_known_load() -> None:
    """Something else went in: the loads keep their litres."""
    told = holding(A=3.0, B=1.0).told(Estimate(5.0, (limits("dip of vat V1", 0.04),)))
    assert amounts(told) == pytest.approx({"A": 3.0, "B": 1.0, UNNAMED: 1.0})


def test_a_dip_that_finds_less_leaves_everything_in_proportion() -> None:
    """Somebody drew some off without a word."""
    assert amounts(holding(A=3.0, B=1.0).told(Estimate(2.0))) == pytest.approx({"A": 1.5, "B": 0.5})
    assert holding(A=3.0).told(Estimate(0.0)).parts == {}


def test_what_was_in_a_vat_before_anybody_wrote_is_nobody_s() -> None:
    """The first time its contents are told."""
    told = holding(whole=False, A=1.0).told(Estimate(1.5))
    assert told.whole
    assert amounts(told) == pytest.approx({"A": 1.0, UNNAMED: 0.5})


def test_a_figure_mixes_what_was_measured_with_what_came_after() -> None:
    """
    4 m³ measured at 5.0 g/L, then 1 m³ of C at 7.5 g/L: (20 + 7.5)/5 = 5.5 (own arithmetic); what the loads of the
    measured part were weighed in with no longer counts.
    """
    vat = holding(A=3.0, B=1.0).measured("acidity", 5.0).with_more(holding(C=1.0))
    assert vat.figure("acidity", {"A": 99.0, "C": 7.5}) == pytest.approx(5.5)
    assert vat.figure("acidity", {"A": 99.0}) is None
    assert vat.figure("tannin", {"A": 2.0, "B": 1.0, "C": 3.0}) == pytest.approx((6.0 + 1.0 + 3.0) / 5.0)


def test_a_measured_figure_goes_with_the_juice_to_another_vat() -> None:
    """2 m³ of 6.0 g/L into 2 m³ of 4.0 g/L make 5.0 g/L, and what was taken leaves the first vat as it was."""
    stays, goes = holding(A=4.0).measured("acidity", 6.0).taken(Estimate(2.0))
    assert stays.figure("acidity", {}) == pytest.approx(6.0)
    assert holding(B=2.0).measured("acidity", 4.0).with_more(goes).figure("acidity", {}) == pytest.approx(5.0)


def test_ph_is_known_until_something_else_comes_in() -> None:
    """It does not average, so after that nobody knows it."""
    vat = holding(A=4.0).measured("ph", 3.5)
    assert vat.figure("ph", {}) == 3.5
    assert vat.with_more(holding(B=0.5)).figure("ph", {}) is None
    assert vat.with_more(holding(B=0.5).measured("ph", 3.9)).figure("ph", {}) is None


_LOADS = st.dictionaries(st.sampled_from("ABCD"), st.floats(0.01, 10.0), min_size=1)
_Step = tuple[str, float, dict[str, float]]
"""What happens, m³ of it, and of which loads."""
_STEPS: st.SearchStrategy[list[_Step]] = st.lists(
    st.tuples(st.sampled_from(["more", "taken", "told"]), st.floats(0.0, 12.0), _LOADS), max_size=8
)


@given(_LOADS, _STEPS)
def test_the_loads_always_sum_to_what_the_vat_holds(loads: dict[str, float], steps: list[_Step]) -> None:
    """Whatever goes in, leaves, or is dipped, in any order; and no load has less than nothing."""
    vat = holding(**loads)
    for what, volume, more in steps:
        if what == "more":
            vat = vat.with_more(holding(**more))
        elif what == "taken":
            vat = vat.taken(Estimate(min(volume, vat.volume.value)))[0]
        else:
            vat = vat.told(Estimate(volume))
        assert sum(amounts(vat).values()) == pytest.approx(vat.volume.value, abs=1e-9)
        assert all(amount >= 0.0 for amount in amounts(vat).values())
