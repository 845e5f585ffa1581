"""A trace in words: what somebody on the telephone wants to know."""

from typing import Any

from tumpline.reports.trace_text import trace_text

SHIFT = {"line": "line-1", "shift": "early", "start": "2026-10-14T06:00:00Z"}
LITRES = {"value": 1494.2, "low": 1480.0, "high": 1508.0}
HEAD: dict[str, Any] = {
    "schema": "tumpline.trace/1",
    "since": "2026-10-14T06:00:00Z",
    "until": "2026-10-16T14:00:00Z",
    "growers": [
        {"grower": "Long Acre", "juice_l": 1494.2, "share_pct": 99.97},
        {"grower": None, "juice_l": 0.4, "share_pct": 0.03},
    ],
    "varieties": [{"name": "Acre Russet", "share_pct": None}],
    "loads": [{"load": "L-7", "grower": "Long Acre", "net_kg": 4210.0, "pressed": [SHIFT], "juice_l": LITRES}],
    "taken_by": ["The Plough"],
    "note": "A vat is taken as mixed.",
}


def test_a_vat_tells_its_growers_and_who_took_of_it() -> None:
    """What is not said is not left out, and a trace of a load is not nothing."""
    move = {"at": "2026-10-15T18:00:00Z", "from_vat": "V1", "to_vat": None, "taken_by": "The Plough", "juice_l": LITRES}
    text = trace_text({**HEAD, "of": {"vat": "V1"}, "moves": [move, {**move, "to_vat": "V2", "juice_l": None}]})
    assert text.splitlines()[0] == "vat V1, in the shifts of 2026-10-14 to 2026-10-16"
    for words in (
        "grower      Long Acre: 100.0 %, 1494 L",
        "grower      not said: under 0.1 %, 0 L",
        "variety     Acre Russet: share unknown",
        "load        L-7 of Long Acre, weighed in at 4210 kg, pressed 2026-10-14",
        "moved       2026-10-15: 1494 L from vat V1 away, to The Plough",
        "moved       2026-10-15: an unknown part from vat V1 to vat V2",
        "taken by    The Plough",
    ):
        assert f"  {words}\n" in text
    assert text.endswith("A vat is taken as mixed.\n")


def test_a_load_and_a_trailer_tell_where_they_went() -> None:
    """A load its vats and trailers, a trailer its trips; where nothing has left, that is said as the book has it."""
    vats = [{"vat": "V1", "poured": [], "now_l": LITRES, "last_seen": "2026-10-16T14:00:00Z"}]
    trailers = [{"trailer": "T1", **SHIFT, "pomace_kg": None, "weighed_kg": None, "taken_by": None}]
    load = trace_text({**HEAD, "of": {"load": "L-7"}, "vats": vats, "trailers": trailers})
    assert "vat         V1: 1494 L of it when last seen, 2026-10-16" in load
    assert "trailer     T1, 2026-10-14\n" in load
    trips = [{"shifts": [SHIFT], "weighed_kg": w, "taken_by": t} for w, t in ((1120.0, "Hill Farm"), (None, None))]
    trailer = trace_text({**HEAD, "of": {"trailer": "T1"}, "trips": trips})
    assert "trip        2026-10-14, weighed 1120 kg, to Hill Farm\n" in trailer
    assert "trip        2026-10-14, not weighed yet\n" in trailer
    alone = trace_text({**HEAD, "of": {"vat": "V1"}, "taken_by": []})
    assert "Nothing has left it yet, as far as the book says." in alone
