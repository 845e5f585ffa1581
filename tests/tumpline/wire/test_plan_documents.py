"""What is left of a season, as a document."""

import pytest

from seasons import season
from tumpline.pressing.plan import Ahead, plan
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import Unknown
from tumpline.wire.plan_documents import plan_document, pressed_of, room_of, shift_time_of

SEASON = season()
AHEAD = Ahead(to_come=40_000.0, days=8, room=Estimate(10.0), shift_time=7.0 * 3600.0)


def test_loads_are_read_from_the_season() -> None:
    """2000 kg at 3.8 t/h giving 696 L/t; a load whose rate was not read is left out."""
    first = pressed_of(SEASON["loads"])[0]
    assert (first.fruit, first.rate * 3.6, first.extraction * 1e6) == pytest.approx((2000.0, 3.8, 696.0))
    assert pressed_of([{**SEASON["loads"][0], "throughput_t_per_h": None}]) == []


def test_the_room_is_that_of_every_vat_as_it_was_left_last() -> None:
    """One vat of 10 000 L that holds 7250 L; where nobody said what it holds, the room is not known."""
    room = room_of(SEASON["summaries"])
    assert isinstance(room, Estimate) and room.value == pytest.approx(2.75)
    untold = [
        {**summary, "vats": [{**v, "contents_l": None} for v in summary["vats"]]} for summary in SEASON["summaries"]
    ]
    assert isinstance(room_of(untold), Unknown)


def test_a_shift_lasts_as_long_as_those_so_far_pressed() -> None:
    """Seven hours in every shift of the invented season."""
    assert shift_time_of(SEASON["summaries"]) == 7.0 * 3600.0
    assert shift_time_of([]) == 0.0


def test_the_document_has_units_and_assumptions() -> None:
    """Rates in t/h, juice in L, the effect of the rate as a figure, and what all that rests on."""
    found = plan(AHEAD, pressed_of(SEASON["loads"]))
    assert not isinstance(found, Unknown)
    document = plan_document(AHEAD, found)
    assert document["schema"] == "tumpline.plan/1"
    assert document["mean_rate_t_per_h"] == pytest.approx(4.0)
    assert document["yield_change_l_per_t_per_t_per_h"]["value"] == pytest.approx(-150.0, rel=1e-3)
    assert document["outcomes"][0]["rate_t_per_h"] == pytest.approx(3.8)
    assert document["best"]["juice_l"] >= document["now"]["juice_l"]
    assert document["room_l"]["value"] == 10_000.0
    assert len(document["assumptions"]) > 3
