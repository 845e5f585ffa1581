"""What litres of vats would be together, worked by hand."""

from typing import Any

import pytest

from tumpline.wire.blends import blend_document
from tumpline.wire.words import Refused


def vat(name: str, acidity: float | None, tannin: float | None, brix: float | None) -> dict[str, Any]:
    """A vat as a summary has it."""
    return {"vat": name, "acidity_g_per_l": acidity, "tannin_g_per_l": tannin, "brix": brix, "contents_l": 5000.0}


OLD = {"end": "2026-10-01T17:00:00Z", "vats": [vat("V1", 99.0, 99.0, 9.0)]}
NEW = {
    "end": "2026-10-14T17:00:00Z",
    "vats": [vat("V1", 9.0, 0.5, 12.0), vat("V2", 2.5, 2.6, 12.0), vat("V3", None, 1.0, 12.0)],
}


def test_each_figure_mixes_by_its_own_basis() -> None:
    """
    500 L of V1 and 800 L of V2: acid (500 x 9.0 + 800 x 2.5)/1300 = 5.0, tannin (250 + 2080)/1300 = 1.79231 g/L, sugar
    as both; 5.0 as malic is 5.59660 as tartaric, 3.65726 as sulfuric: a sharp one. The newest summary of a vat counts.
    """
    document = blend_document([NEW, OLD], [("V1", 500.0), ("V2", 800.0)], None)
    assert not isinstance(document, Refused)
    together = document["blend"]
    assert (together["juice_l"], together["acidity_g_per_l"], together["brix"]) == (1300.0, 5.0, 12.0)
    assert (together["tannin_g_per_l"], together["class"]) == (1.79231, "sharp")
    assert together["acidity_as_tartaric_g_per_l"] == pytest.approx(5.59660, abs=1e-5)
    assert together["acidity_as_sulfuric_g_per_l"] == pytest.approx(3.65726, abs=1e-5)
    assert (document["until"], document["reach"]) == ("2026-10-14T17:00:00Z", None)


def test_two_vats_reach_a_figure_between_them() -> None:
    """9.0 and 2.5 g/L to 5.0: (5.0 - 2.5)/(9.0 - 2.5) = 38.4615 % of the first (Pearson square, own arithmetic)."""
    document = blend_document([NEW], [("V1", 1.0), ("V2", 1.0)], ("acidity_g_per_l", 5.0))
    assert not isinstance(document, Refused)
    assert document["reach"] == {
        "acidity_g_per_l": 5.0,
        "shares": [{"vat": "V1", "share_pct": 38.4615}, {"vat": "V2", "share_pct": 61.5385}],
    }


def test_what_is_not_known_of_one_vat_is_not_known_of_the_blend() -> None:
    """Unknown is not zero."""
    document = blend_document([NEW], [("V1", 500.0), ("V3", 500.0)], None)
    assert not isinstance(document, Refused)
    assert (document["blend"]["acidity_g_per_l"], document["blend"]["class"]) == (None, None)
    assert document["blend"]["acidity_g_per_l_unknown"] == "this is not known of every vat"
    assert document["blend"]["tannin_g_per_l"] == 0.75


@pytest.mark.parametrize(
    ("names", "target", "words"),
    [
        (("V1", "V9"), None, 'There is no vat "V9" (did you mean "V3"?); V1, V2 or V3 is accepted.'),
        (("V1", "V2"), 9.5, "does not reach 9.5; a figure from 2.5 to 9 is accepted"),
        (("V1", "V3"), 5.0, "The acidity of both vats is not known"),
        (("V1", "V2", "V3"), 5.0, "A figure is reached with two vats, and 3 are named"),
    ],
)
def test_what_cannot_be_is_refused(names: tuple[str, ...], target: float | None, words: str) -> None:
    """A vat that is not there, a figure out of reach, or one nobody measured."""
    reach = None if target is None else ("acidity_g_per_l", target)
    refused = blend_document([NEW], [(name, 1.0) for name in names], reach)
    assert isinstance(refused, Refused)
    assert words in refused.reason
