"""Loads, vats, trailers and stops in documents."""

from msgspec.structs import replace

from records import CORRECTION, LOAD, MOVE, PROOF, SEVEN, STOP, TRAILER, VAT, within
from tumpline.wire.book_documents import (
    correction_document,
    load_document,
    move_document,
    proof_document,
    stock_document,
    stop_document,
    trailer_document,
    vat_document,
)


def test_a_load_says_what_became_of_it() -> None:
    """Whose fruit it was, what it weighed, and what juice it gave."""
    document = load_document(LOAD)
    assert (document["load"], document["grower"], document["net_kg"]) == ("L-7", "Coppice Farm", 4210.0)
    assert document["varieties"] == [{"name": "Top Late", "share": 0.6}, {"name": "Acre Russet", "share": 0.4}]
    assert document["fruit_kg"] == {"value": 4200.0, "low": 4143.0, "high": 4257.0}
    assert document["juice_l"] == {"value": 3000.0, "low": 2981.0, "high": 3019.0}
    assert document["yield_l_per_t"]["value"] == 714.286
    assert document["pomace_dry_matter_pct"] is None
    assert document["pomace_dry_matter_pct_unknown"] == "no sample of this fruit has been measured"
    assert (document["on"], document["off"]) == ("2026-10-14T07:01:00.000000Z", None)


def test_a_vat_knows_whose_juice_it_holds() -> None:
    """Juice of fruit that no entry names has no load, and is not left out."""
    document = vat_document(VAT)
    assert [part["load"] for part in document["from"]] == ["L-7", None]
    assert document["from"][0]["juice_l"]["value"] == 2900.0
    assert document["from"][1]["juice_l_unknown"] == "no load was on"
    assert (document["contents_l"], document["capacity_l"]) == (7250.0, 10000.0)
    assert (document["brix"], document["acidity_g_per_l"], document["tannin_g_per_l"]) == (12.1, 4.5, 2.0)
    assert document["class"] == "bittersweet"


def test_a_figure_of_a_vat_that_is_not_known_says_why() -> None:
    """Its loads' figures are not all known, or juice came in after the sample; a class needs two figures."""
    document = vat_document(replace(VAT, brix=None, acidity=None, fruit_class=None))
    assert (document["brix"], document["acidity_g_per_l"], document["class"], document["ph"]) == (None,) * 4
    assert document["brix_unknown"] == "this is not known of all that is in the vat"
    assert document["class_unknown"] == "acidity and tannin are not both known"
    assert "does not average" in document["ph_unknown"]


def test_a_trailer_knows_whose_pomace_it_carries() -> None:
    """Mass, dryness and origin of what goes to the cattle."""
    document = trailer_document(replace(TRAILER, weighed=1210.0))
    assert document["pomace_kg"]["value"] == 1200.0
    assert document["dry_matter_pct"] == {"value": 24.5, "low": 22.54, "high": 26.46}
    assert document["from"] == [{"load": "L-7", "pomace_kg": document["pomace_kg"]}]
    assert (document["capacity_kg"], document["weighed_kg"]) == (8000.0, 1210.0)


def test_a_stop_has_a_duration_once_it_is_over() -> None:
    """While it lasts, its end and its length are not known."""
    over, lasting = stop_document(STOP), stop_document(replace(STOP, end=None))
    assert (over["end"], over["duration_s"]) == ("2026-10-14T07:35:00.250000Z", 300.25)
    assert (lasting["end"], lasting["duration_s"]) == (None, None)
    assert over["start"] == lasting["start"] == "2026-10-14T07:30:00.000000Z"
    assert STOP.start > SEVEN


def test_a_vat_s_stock_is_by_load_and_by_grower() -> None:
    """Of this shift or not; juice of no known load has neither."""
    document = stock_document(VAT)
    assert document["held_l"] == {"value": 7250.0, "low": 7202.5, "high": 7297.5}
    assert [(part["load"], part["grower"]) for part in document["holds"]] == [("L-7", "Coppice Farm"), (None, None)]
    assert [part["grower"] for part in document["growers"]] == ["Coppice Farm", None]
    assert document["growers"][0]["juice_l"]["value"] == 2900.0
    assert "holds" not in vat_document(VAT)


def test_what_left_a_vat_says_where_it_went() -> None:
    """To another vat, or to whoever took it."""
    assert (move_document(MOVE)["from_vat"], move_document(MOVE)["to_vat"]) == ("V1", "V4")
    drawn = move_document(replace(MOVE, to_vat=None, taken_by="The Plough"))
    assert (drawn["to_vat"], drawn["taken_by"], drawn["juice_l"]["value"]) == (None, "The Plough", 2500.0)


def test_a_proof_is_in_the_unit_of_its_meter() -> None:
    """Litres of juice, kilograms of fruit; the factor has no unit."""
    document = proof_document(PROOF)
    assert (document["known_l"]["value"], document["metered_l"]["value"]) == (500.0, 510.0)
    assert document["factor"] == {"value": 0.98, "low": 0.9762, "high": 0.9838}
    fruit = proof_document(replace(PROOF, signal="mill/total", known=within(900.0, 1.0)))
    assert fruit["known_kg"]["value"] == 900.0


def test_a_correction_shows_both_versions() -> None:
    """What it said, what it says, who changed it; times as times."""
    document = correction_document(CORRECTION)
    assert (document["by"], document["was"]["net_kg"], document["is"]["net_kg"]) == ("N. Vale", 4120.0, 4210.0)
    assert document["is"]["at"] == "2026-10-14T07:00:00.000000Z"
