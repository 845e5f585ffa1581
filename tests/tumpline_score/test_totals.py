"""The score of many shifts."""

import json
from typing import Any

import pytest

from score_shifts import draw, fault, heard, score, summary
from tumpline_score.delays import Delay
from tumpline_score.engine import Raised
from tumpline_score.recent import Recent
from tumpline_score.scored import Scored
from tumpline_score.totals import document, spread_of


def told(*scores: Scored) -> dict[str, Any]:
    """The document about them."""
    return document(scores, seed=1, conditions="both")


def row(rows: list[dict[str, Any]], **keys: object) -> dict[str, Any]:
    """The one row with these."""
    (found,) = [r for r in rows if all(r[key] == value for key, value in keys.items())]
    return found


def test_coverage_counts_biased_meters_that_kept_their_promise() -> None:
    """Unbiased meters and broken promises stand in rows of their own."""
    good = score(heard())
    off = score(heard(yield_l_per_t=680.0))
    unbiased = score(heard(of=draw("unbiased", "normal", "all", "steady")))
    broken = score(heard(faults=[fault("meter-drift", 1000.0, 8000.0)]))
    rows = told(good, off, unbiased, broken)["figures"]
    everyone = row(rows, figure="shift yield", condition="all")
    assert (everyone["n"], everyone["inside"], everyone["coverage_pct"]) == (2, 1, 50.0)
    assert row(rows, figure="shift yield", condition="unbiased meters")["n"] == 1
    assert row(rows, figure="shift yield", condition="outside the promise")["n"] == 1
    assert row(rows, figure="shift fruit", condition="all")["n"] == 3


def test_unknown_figures_are_counted_with_their_reason() -> None:
    """What was not stated is neither inside nor outside."""
    found = row(told(score(heard()))["figures"], figure="load dry matter", condition="all")
    assert (found["n"], found["unknown"], found["unknown_why"]) == (0, 1, {"no sample": 1})
    assert found["coverage_pct"] is None


def test_errors_summed_up() -> None:
    """Mean, spread and the worst of some errors."""
    found = spread_of([3.0, -1.0, 1.0, 1.0])
    assert (found["n"], found["mean_pct"], found["worst_pct"]) == (4, 1.0, 3.0)
    assert found["rms_pct"] == pytest.approx(3.0**0.5)
    assert found["sd_pct"] == pytest.approx(2.0**0.5)


def test_ten_minute_yields_by_pump() -> None:
    """Root mean square, those within 1 %, those not stated, and the plain ratio beside them."""
    recents = [Recent("steady", 0.6, 3.0), Recent("steady", -0.8, 4.0), Recent("steady", None, 0.0)]
    found = row(told(score(heard(), recents))["recent_yield"], when="steady", pump="steady")
    assert (found["n"], found["within_1_pct"], found["not_stated"]) == (2, 2, 1)
    assert found["rms_pct"] == pytest.approx(0.5**0.5)


def test_learned_delays() -> None:
    """How many lie within five seconds and a quarter of the truth."""
    good = Delay(92.0, 40.0, 90.0, 41.0, learned=True, mean_inside=True, spread_inside=True)
    off = Delay(99.0, 20.0, 90.0, 41.0, learned=False, mean_inside=True, spread_inside=False)
    found = row(told(score(heard(), delay=good), score(heard(), delay=off))["residence"], pump="steady")
    assert (found["shifts"], found["learned"], found["mean_within_5_s"], found["spread_within_25_pct"]) == (2, 1, 1, 1)
    assert (found["worst_s"], found["mean_inside"], found["spread_inside"]) == (9.0, 2, 1)


def test_drifting_meters() -> None:
    """A drift found and named is counted by what else was fitted."""
    drift = heard(
        of=draw("biased", signals="juice/flow,vat/V1/volume"),
        faults=[fault("meter-drift", 1000.0, 8000.0)],
        raised=[Raised("balance-open", "juice/flow", 5000.0, None)],
        told=summary(),
    )
    found = row(told(score(drift))["balance"], case="drift", meters="vat level")
    assert (found["shifts"], found["found"], found["juice_meter_named"]) == (1, 1, 0)


def test_alarms_by_name_and_by_fault() -> None:
    """Deserved, missed, false per 100 h, and a delay that counts a missed one as endless."""
    found = score(heard(faults=[fault("blocked", 2000.0, 2300.0)], raised=[Raised("mill-blocked", None, 2004.0, None)]))
    missed = score(heard(faults=[fault("blocked", 2000.0, 2300.0)], raised=[Raised("juice-low", None, 6000.0, None)]))
    document = told(found, missed)
    blocked = row(document["alarms"], alarm="mill-blocked")
    assert (blocked["deserved"], blocked["missed"], blocked["delay_p50_s"], blocked["delay_p95_s"]) == (2, 1, 4.0, None)
    assert row(document["faults"], fault="blocked", condition="no current meter")["missed"] == 1
    assert row(document["alarms"], alarm="juice-low")["false_per_100_h"] == document["false_per_100_h"] == 25.0
    assert {"during": "nothing wrong", "alarm": "juice-low", "verdict": "false", "count": 1} in document[
        "raised_during"
    ]


def test_the_document_is_json() -> None:
    """Nothing in it that JSON cannot say."""
    assert json.loads(json.dumps(told(score(heard())), allow_nan=False))["shifts"] == 1


def test_low_juice_is_told_from_when_it_shows() -> None:
    """A line that fills and one behind a sump stand apart, and the wait for the first sign is not the alarm's."""
    loss = [fault("juice-low", 4000.0, 4400.0)]
    steady = draw("biased", "faults", "expected", "steady", "told")
    sump = draw("biased", "faults", "expected", "sump", "told", sump=True)
    early = score(
        heard(of=steady, faults=[fault("juice-low", 400.0, 800.0)], raised=[Raised("juice-low", None, 500.0, None)])
    )
    full = score(heard(of=steady, faults=loss, raised=[Raised("juice-low", None, 4030.0, None)]), shown=4010.0)
    pumped = score(heard(of=sump, faults=loss, raised=[Raised("juice-low", None, 4100.0, None)]), shown=4060.0)
    document = told(early, full, pumped)
    rows = document["faults"]
    assert [(r["condition"], r["delay_p50_s"]) for r in rows] == [
        ("steady pump", 30.0),
        ("steady pump, line filling", 100.0),
        ("sump", 100.0),
    ]
    found = row(document["low_juice"], condition="sump")
    assert (found["n"], found["shown_p50_s"], found["told_after_p50_s"]) == (1, 60.0, 40.0)
    assert row(document["low_juice"], condition="steady pump")["told_after_p95_s"] == 20.0
