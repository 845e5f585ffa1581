"""A blend in a terminal."""

from tumpline.reports.blend_text import blend_text


def test_the_vats_stand_above_what_they_come_to() -> None:
    """Unknown is written as unknown, and the shares in words."""
    figures = {
        "juice_l": 500.0, "brix": 12.04, "acidity_g_per_l": 9.0, "acidity_as_tartaric_g_per_l": 10.07,
        "acidity_as_sulfuric_g_per_l": 6.58, "tannin_g_per_l": None, "class": None,
    }  # fmt: skip
    shares = [{"vat": "V1", "share_pct": 38.4615}, {"vat": "V2", "share_pct": 61.5385}]
    lines = blend_text(
        {
            "parts": [{"vat": "V1", **figures}],
            "blend": {**figures, "juice_l": 1300.0},
            "reach": {"acidity_g_per_l": 5.0, "shares": shares},
            "note": "Arithmetic.",
        }
    ).splitlines()
    assert lines[1].split() == ["V1", "500", "12.0", "9.00", "10.07", "6.58", "unknown", "unknown"]
    assert lines[2].split()[:2] == ["together", "1300"]
    assert "Acidity of 5 g/L: 38.5 % of V1 and 61.5 % of V2, by volume." in lines
    assert lines[-1] == "Arithmetic."
    assert len({len(line.rsplit("  ", 1)[0]) for line in lines[:3]}) == 1
