"""Bars, the largest first."""

import re

from tumpline.reports.bars import Bar, pareto, share_bar, stop_bars


def stop(seconds: float | None, reason: str | None, condition: str = "stopped") -> dict[str, object]:
    """A stop as documents tell it."""
    return {"duration_s": seconds, "reason": reason, "condition": condition, "fruit_not_pressed_kg": None}


def words(drawn: str) -> list[str]:
    """What is written in a drawing."""
    return re.findall(r">([^<>]+)</text>", drawn)


def test_stops_are_gathered_by_reason_the_longest_first() -> None:
    """60 and 120 s of one reason make 3 minutes; a stop without a reason stays so, one that still lasts is left out."""
    stops = [stop(60.0, "cloth"), stop(600.0, None), stop(120.0, "cloth"), stop(None, "fruit")]
    bars = stop_bars(stops, "reason", unnamed="no reason given")
    assert [(bar.words, bar.size, bar.note) for bar in bars] == [
        ("no reason given", 10.0, "10 min 00 s, 1 stop"),
        ("cloth", 3.0, "3 min 00 s, 2 stops"),
    ]


def test_only_the_largest_are_named() -> None:
    """Nine causes are four and the rest, whose size is not lost."""
    drawn = pareto("p", "By reason", [Bar(f"cause {i}", 10.0 - i, "") for i in range(9)], 90.0)
    assert words(drawn.text)[0] == "By reason"
    assert [w for w in words(drawn.text) if w.startswith("cause")] == ["cause 0", "cause 1", "cause 2", "cause 3"]
    assert "5 others: 20 min" in drawn.text


def test_no_stop_is_said() -> None:
    """A shift without a stop has no empty picture."""
    assert "no stop" in words(pareto("p", "By reason", [], 90.0).text)


def test_a_share_is_drawn_and_written() -> None:
    """76 of 100, and solid differs from random without colour."""
    solid, random = share_bar("a", 0.76, 60.0, solid=True).text, share_bar("b", 0.76, 60.0, solid=False).text
    assert words(solid) == words(random) == ["76 %"]
    assert "pattern" in random and "pattern" not in solid
