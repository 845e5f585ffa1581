"""Figures against truth."""

import pytest
from msgspec.structs import replace

from score_shifts import fault, summary, truth
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import Share, Unknown
from tumpline_score.figures import compared


def test_errors_and_intervals() -> None:
    """A figure 1 % too high with limits of 1.5 % has its truth inside, and 2 % off outside."""
    found = {c.figure: c for c in compared(summary(), truth())}
    assert found["shift yield"].error_pct == pytest.approx(1.0)
    assert found["load juice in vat"].error_pct == pytest.approx(1.0)
    assert all(found[name].inside for name in found if name != "load dry matter")
    off = {c.figure: c for c in compared(summary(), truth(yield_l_per_t=693.0))}
    assert off["shift yield"].outside and not off["shift yield"].inside


def test_an_unknown_figure_is_not_outside() -> None:
    """A figure that is not stated has no error and its reason is kept."""
    (found,) = [c for c in compared(summary(), truth()) if c.figure == "load dry matter"]
    assert (found.error_pct, found.outside, found.why) == (None, False, "no sample")
    (found,) = [c for c in compared(summary(fruit=Unknown("not heard")), truth()) if c.figure == "shift fruit"]
    assert found.why == "not heard"


def test_shares_of_a_vat() -> None:
    """A load's litres in a vat are held against themselves; a small share against all the juice in the vat."""
    shares = (Share("L-7", Estimate(4.5)), Share("L-8", Estimate(0.504)))
    told = summary(vats=(replace(summary().vats[0], shares=shares),))
    errors = {c.figure: c.error_pct for c in compared(told, truth()) if "vat" in c.figure}
    assert errors == pytest.approx({"load juice in vat": -100.0 * 540.0 / 5040.0, "small share of vat": 10.0})
    silent = summary(vats=(replace(summary().vats[0], shares=()),))
    assert [c.why for c in compared(silent, truth()) if "vat" in c.figure] == ["not told"]


@pytest.mark.parametrize(
    ("kind", "signal", "broken"),
    [
        ("meter-drift", None, {"shift juice", "shift yield", "load juice", "pomace mass"}),
        ("frozen", "mill/throughput", {"shift fruit", "shift yield", "load yield", "pomace dry matter"}),
        ("frozen", "press/pressure", set()),
        ("blocked", None, set()),
        ("juice-low", "leak", {"pomace mass", "pomace dry matter", "load dry matter"}),
    ],
)
def test_what_no_interval_can_promise(kind: str, signal: str | None, broken: set[str]) -> None:
    """A meter beyond its limits breaks the promise of its figures; juice that ran away only what is left over."""
    more = {"how": "leak before the meter"} if signal == "leak" else {"signal": signal} if signal else {}
    found = compared(summary(), truth(faults=[fault(kind, 1000.0, 2000.0, **more)]))
    told, kept = {c.figure for c in found}, {c.figure for c in found if c.promised}
    assert broken.isdisjoint(kept)
    assert ("shift fruit" in kept) == ("shift fruit" not in broken)
    assert kept == told or broken
