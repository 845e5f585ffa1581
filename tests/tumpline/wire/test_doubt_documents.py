"""How sure the figures are, as documents say it."""

import pytest

from tumpline.pressing.learnt import AnchorRecord, Residence
from tumpline.pressing.quantities import Estimate, limits, normal
from tumpline.pressing.records import Unknown
from tumpline.wire.doubt_documents import anchor_documents, budget_document, own_u, residence_document

YIELD = Estimate(7e-4, (limits("accuracy of juice/flow", 7e-6), normal("residence time", 3e-6), normal("x", 0.0)))


def test_a_budget_lists_every_source_with_its_size_and_share() -> None:
    """700 L/t with limits of 7 L/t (u = 7/√3 = 4.041) and 3 L/t: shares 4.041²/25.33 = 64.5 % and 9/25.33 = 35.5 %."""
    first, second = budget_document(YIELD)
    assert first == {
        "source": "accuracy of juice/flow",
        "u_l_per_t": pytest.approx(4.04145, abs=1e-4),
        "share_pct": pytest.approx(64.474, abs=1e-2),
        "common": True,
    }
    assert (second["source"], second["u_l_per_t"], second["common"]) == ("residence time", 3.0, False)
    assert budget_document(Unknown("no fruit was milled")) == []


def test_what_a_comparison_rests_on_leaves_out_what_all_loads_share() -> None:
    """The meter's error is the same for every load."""
    assert own_u(YIELD) == pytest.approx(3.0)
    assert own_u(Unknown("nothing")) is None


def test_the_residence_time_says_what_it_rests_on() -> None:
    """Mean and spread with intervals, and a sentence."""
    told = residence_document(Residence(Estimate(80.0), Estimate(30.0), True, "learned from 60 minutes"))
    assert told is not None
    assert told["mean_s"] == {"value": 80.0, "low": 80.0, "high": 80.0}
    assert (told["learned"], told["why"]) == (True, "learned from 60 minutes")
    assert residence_document(None) is None


def test_sampled_varieties_show_before_and_after() -> None:
    """Prior and posterior in per cent of mass."""
    (told,) = anchor_documents([AnchorRecord("Coppice Red", Estimate(0.165), Estimate(0.158), 2)])
    assert (told["before_pct"]["value"], told["after_pct"]["value"], told["samples"]) == (16.5, 15.8, 2)
