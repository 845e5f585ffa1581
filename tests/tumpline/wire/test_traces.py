"""One step back and one step forward, over many shifts: worked by hand."""

from typing import Any

import pytest

from tumpline.wire.traces import trace_load, trace_trailer, trace_vat
from tumpline.wire.words import Refused

Summary = dict[str, Any]


def exactly(value: float) -> dict[str, float]:
    """A figure within 1 %."""
    return {"value": value, "low": 0.99 * value, "high": 1.01 * value}


def load(name: str, grower: str, juice_l: float, *varieties: tuple[str, float]) -> Summary:
    """A load as a summary has it."""
    return {
        "load": name,
        "grower": grower,
        "varieties": [{"name": variety, "share": share} for variety, share in varieties],
        "net_kg": juice_l / 0.7,
        "fruit_kg": exactly(juice_l / 0.7),
        "juice_l": exactly(juice_l),
    }


def parts(key: str, **amounts: float) -> list[Summary]:
    """So much of each load."""
    return [{"load": name, key: exactly(amount)} for name, amount in amounts.items()]


def vat(name: str, poured: dict[str, float], holds: dict[str, float]) -> Summary:
    """A vat as a summary has it."""
    return {
        "vat": name,
        "juice_l": exactly(sum(poured.values())),
        "from": parts("juice_l", **poured),
        "held_l": exactly(sum(holds.values())),
        "holds": parts("juice_l", **holds),
    }


def move(source: str, to: str | None, taken_by: str | None = None, **amounts: float) -> Summary:
    """Juice that left a vat."""
    whole = exactly(sum(amounts.values()))
    juice = parts("juice_l", **amounts)
    return {"at": "2026-10-15T18:00:00Z", "from_vat": source, "to_vat": to, "taken_by": taken_by, "juice_l": whole,
            "loads": juice}  # fmt: skip


def trailer(name: str, weighed: float | None, taken_by: str | None = None, **amounts: float) -> Summary:
    """A trailer as a summary has it."""
    return {"trailer": name, "from": parts("pomace_kg", **amounts), "weighed_kg": weighed, "taken_by": taken_by}


def shift(day: int, **parts: list[Summary]) -> Summary:
    """A day's shift."""
    start, end = (f"2026-10-{day:02d}T{hour:02d}:00:00Z" for hour in (7, 17))
    empty: Summary = {"loads": [], "vats": [], "trailers": [], "moves": []}
    return {"line": "line-1", "shift": f"day {day}", "start": start, "end": end, **empty, **parts}


WEEK = [
    shift(
        14,
        loads=[
            load("A", "Coppice Farm", 3000.0, ("Coppice Red", 1.0)),
            load("B", "Long Acre", 1000.0, ("Acre Russet", 0.5), ("Coppice Red", 0.5)),
        ],
        vats=[vat("V1", {"A": 3000.0, "B": 1000.0}, {"A": 3000.0, "B": 1000.0})],
        trailers=[trailer("T1", None, A=900.0)],
    ),
    # 2000 of 4000 L of V1 go to V2: half of A and of B. V2 gets 2000 L of C, and 1000 of its 4000 L are drawn off.
    shift(
        15,
        loads=[load("C", "Coppice Farm", 2000.0, ("Hollow Norman", 1.0))],
        vats=[
            vat("V1", {}, {"A": 1500.0, "B": 500.0}),
            vat("V2", {"C": 2000.0}, {"A": 1125.0, "B": 375.0, "C": 1500.0}),
        ],
        moves=[
            move("V1", "V2", A=1500.0, B=500.0),
            move("V2", None, "The Plough", A=375.0, B=125.0, C=500.0),
        ],
        trailers=[trailer("T1", 1500.0, "Nether Farm", A=100.0, C=500.0), trailer("T1", None, C=50.0)],
    ),
]


def test_a_vat_is_traced_to_its_loads_growers_and_varieties() -> None:
    """
    3000 L in V2: 1125 of A, 375 of B, 1500 of C. Coppice Farm 2625 L, 87.5 %; Long Acre 375 L, 12.5 %. Coppice Red 1125
    and half of 375 = 1312.5 L, 43.75 %; Acre Russet 187.5 L, 6.25 %; Hollow Norman 50 % (own arithmetic).
    """
    trace = trace_vat(WEEK, "V2")
    assert not isinstance(trace, Refused)
    assert [(part["load"], part["share_pct"]) for part in trace["loads"]] == [("A", 37.5), ("B", 12.5), ("C", 50.0)]
    assert trace["growers"] == [
        {"grower": "Coppice Farm", "juice_l": 2625.0, "share_pct": 87.5},
        {"grower": "Long Acre", "juice_l": 375.0, "share_pct": 12.5},
    ]
    assert {v["name"]: v["share_pct"] for v in trace["varieties"]} == {
        "Coppice Red": 43.75,
        "Acre Russet": 6.25,
        "Hollow Norman": 50.0,
    }
    assert trace["loads"][0]["pressed"] == [{"line": "line-1", "shift": "day 14", "start": "2026-10-14T07:00:00Z"}]
    assert (trace["held_l"]["value"], trace["taken_by"]) == (3000.0, ["The Plough"])
    assert (trace["since"], trace["until"]) == ("2026-10-14T07:00:00Z", "2026-10-15T17:00:00Z")


def test_a_load_is_traced_to_every_vat_trailer_and_taker() -> None:
    """A: 1500 L still in V1, 1125 in V2, 375 taken by The Plough: 3000 in all; its pomace went to Nether Farm."""
    trace = trace_load(reversed_copy(WEEK), "A")
    assert not isinstance(trace, Refused)
    assert {v["vat"]: v["now_l"]["value"] for v in trace["vats"]} == {"V1": 1500.0, "V2": 1125.0}
    drawn = [m for m in trace["moves"] if m["taken_by"]]
    assert [(m["from_vat"], m["loads"][0]["juice_l"]["value"]) for m in drawn] == [("V2", 375.0)]
    assert trace["pressed"][0]["juice_l"]["value"] == 1500.0 + 1125.0 + 375.0
    assert [(t["trailer"], t["pomace_kg"]["value"], t["taken_by"]) for t in trace["trailers"]] == [
        ("T1", 900.0, None),
        ("T1", 100.0, "Nether Farm"),
    ]
    assert trace["taken_by"] == ["The Plough", "Nether Farm"]
    assert trace["growers"][0]["grower"] == "Coppice Farm"


def reversed_copy(summaries: list[Summary]) -> list[Summary]:
    """The same shifts, the last one first: their own times decide."""
    return summaries[::-1]


def test_a_trailer_s_trip_lasts_until_it_is_weighed() -> None:
    """Over two shifts: 900 and 100 kg of A, 500 of C; what came after the weighing is the next trip."""
    trace = trace_trailer(WEEK, "T1")
    assert not isinstance(trace, Refused)
    first, last = trace["trips"]
    assert {part["load"]: part["pomace_kg"]["value"] for part in first["from"]} == {"A": 1000.0, "C": 500.0}
    assert ([s["shift"] for s in first["shifts"]], first["weighed_kg"]) == (["day 14", "day 15"], 1500.0)
    assert (last["weighed_kg"], [part["load"] for part in trace["loads"]]) == (None, ["C"])
    assert trace["taken_by"] == ["Nether Farm"]


def test_whose_a_load_was_is_what_it_was_last_put_right_to() -> None:
    """A later summary, told anew, has another grower."""
    right = [*WEEK, shift(16, loads=[load("A", "Withy Bottom", 3000.0)])]
    trace = trace_vat(right, "V1")
    assert not isinstance(trace, Refused)
    assert trace["growers"][0]["grower"] == "Withy Bottom"


def test_juice_of_no_known_load_stays_in_the_sum() -> None:
    """600 of 1000 L nobody can trace: 60 %, and neither grower nor variety."""
    unknown = {"load": None, "juice_l": exactly(600.0)}
    day = shift(14, loads=[load("A", "Coppice Farm", 400.0, ("Coppice Red", 1.0))], vats=[vat("V1", {}, {"A": 400.0})])
    day["vats"][0]["holds"].append(unknown)
    trace = trace_vat([day], "V1")
    assert not isinstance(trace, Refused)
    assert [(g["grower"], g["share_pct"]) for g in trace["growers"]] == [("Coppice Farm", 40.0), (None, 60.0)]
    assert trace["varieties"][1] == {"name": None, "share_pct": 60.0}


@pytest.mark.parametrize(
    ("trace", "name", "words"),
    [
        (trace_vat, "V3", 'There is no vat "V3" (did you mean "V2"?); V1 or V2 is accepted.'),
        (trace_load, "D", 'There is no load "D"; A, B or C is accepted.'),
        (trace_trailer, "T9", 'There is no trailer "T9" (did you mean "T1"?); T1 is accepted.'),
    ],
)
def test_a_name_that_never_was_is_refused(trace: Any, name: str, words: str) -> None:
    """Whoever mistypes it is shown what there is."""
    refused = trace(WEEK, name)
    assert isinstance(refused, Refused)
    assert refused.reason == words
    assert "no shift of this time has one" in trace([shift(14)], name).reason


def test_pomace_that_nothing_weighs_is_still_somebody_s() -> None:
    """Without a pomace weigher the loads on a trailer are known, their amounts are not."""
    unweighed = [{"load": "A", "pomace_kg": None, "pomace_kg_unknown": "no pomace weigher is fitted"}]
    day = shift(14, trailers=[{"trailer": "T1", "from": unweighed, "weighed_kg": None, "taken_by": None}])
    trace = trace_trailer([day], "T1")
    assert not isinstance(trace, Refused)
    assert [(part["load"], part["pomace_kg"], part["share_pct"]) for part in trace["loads"]] == [("A", None, None)]
