"""The truth of a simulated shift agrees with itself."""

import itertools
from typing import Any

import pytest

from simulated import DAY, run

SHIFTS = [
    {},
    {"seed": 3, "hours": 2.0, "faults": "random", "sump": True},
    {"seed": 5, "faults": "juice-low@30,blocked@55", "hours": 1.5},
]

SUMP: dict[str, Any] = {"seed": 2, "hours": 1.0, "sump": True, "tidy": True}


@pytest.mark.parametrize("options", SHIFTS)
def test_mass_balance_closes(options: dict[str, object]) -> None:
    """Fruit and the water on it leave as juice, spilt juice and pomace, to 1e-9 of the fruit."""
    truth = run(**options).truth
    left = truth["juice_kg"] + truth["juice_lost_kg"] + truth["pomace_kg"]
    assert left == pytest.approx(truth["fruit_kg"] + truth["water_carried_kg"], rel=1e-9)
    assert 1.03 < truth["juice_kg"] / truth["juice_l"] < 1.07


@pytest.mark.parametrize("options", SHIFTS)
def test_dry_matter_balance_closes(options: dict[str, object]) -> None:
    """The dry matter of each load's fruit is in its juice, spilt or not, and its pomace, to 1e-9."""
    for load in run(**options).truth["loads"]:
        juice = (load["juice_kg"] + load["juice_lost_kg"]) * load["juice_dry_matter_pct"]
        pomace = load["pomace_kg"] * load["pomace_dry_matter_pct"]
        assert juice + pomace == pytest.approx(load["fruit_kg"] * load["fruit_dry_matter_pct"], rel=1e-9)


@pytest.mark.parametrize("options", SHIFTS)
@pytest.mark.parametrize("key", ["fruit_kg", "juice_l", "juice_kg", "juice_lost_l", "pomace_kg"])
def test_loads_add_up(options: dict[str, object], key: str) -> None:
    """The shift's totals are the sums of its loads."""
    truth = run(**options).truth
    assert truth[key] == pytest.approx(sum(load[key] for load in truth["loads"]), rel=1e-9)


@pytest.mark.parametrize("options", SHIFTS)
def test_every_litre_and_kilogram_went_somewhere(options: dict[str, object]) -> None:
    """What the vats and trailers took is, load by load, what the loads gave."""
    truth = run(**options).truth
    for places, key in ((truth["vats"], "juice_l"), (truth["trailers"], "pomace_kg")):
        for load in truth["loads"]:
            taken = sum(part[key] for place in places for part in place["from"] if part["load"] == load["load"])
            assert taken == pytest.approx(load[key], rel=1e-9)


@pytest.mark.parametrize("options", SHIFTS)
def test_yields_are_ratios_of_sums(options: dict[str, object]) -> None:
    """A yield is juice over fruit, of the shift and of each load; the shift's lies between its loads'."""
    truth = run(**options).truth
    for figures in (truth, *truth["loads"]):
        assert figures["yield_l_per_t"] == pytest.approx(1000.0 * figures["juice_l"] / figures["fruit_kg"])
    yields = [load["yield_l_per_t"] for load in truth["loads"]]
    assert min(yields) <= truth["yield_l_per_t"] <= max(yields)


def test_ten_minute_yields_follow_the_shift() -> None:
    """Every minute has the yield of the ten minutes before it, near the shift's own while nothing is wrong."""
    truth = run().truth
    inside = [y for y in truth["yield_10_min"] if y["fruit_kg"] > 500.0]
    assert len(inside) > 60
    assert all(
        b["at"] - a["at"] == 60.0 for a, b in zip(truth["yield_10_min"], truth["yield_10_min"][1:], strict=False)
    )
    assert all(abs(y["yield_l_per_t"] / truth["yield_l_per_t"] - 1.0) < 0.08 for y in inside)


def test_ten_minute_fruit_is_the_fruit_milled() -> None:
    """All fruit milled is sooner or later the fruit of some juice."""
    truth = run().truth
    windows = truth["yield_10_min"]
    # Windows ten minutes apart, from the first to past the end, do not overlap and leave nothing out.
    apart = [w["fruit_kg"] for w in windows if w["at"] % 600.0 == 0.0]
    last = [w for w in windows if w["at"] % 600.0 == windows[-1]["at"] % 600.0][-1]
    assert last["at"] + 60.0 > truth["end"] - 60.0
    assert sum(apart) <= truth["fruit_kg"] * (1.0 + 1e-9)
    assert sum(apart) == pytest.approx(truth["fruit_kg"], rel=0.1)


def test_what_passed_adds_up() -> None:
    """The running totals end where the shift's figures do: all fruit gave its juice, and the meter saw it all."""
    truth = run(**SUMP).truth
    last = dict(zip(truth["passed"]["columns"], truth["passed"]["rows"][-1], strict=True))
    assert last["milled_kg"] == pytest.approx(truth["fruit_kg"])
    assert last["juice_fruit_kg"] == pytest.approx(truth["fruit_kg"])
    assert last["juice_l"] == pytest.approx(truth["juice_l"]) == last["metered_l"]


def test_pump_starts() -> None:
    """Between two starts of the sump's pump the meter sees what came into the sump, to a second's flow."""
    truth = run(**SUMP).truth
    starts = truth["pump_starts"]
    first, last = starts[len(starts) // 4], starts[len(starts) // 2]
    rows = {row[0]: row for row in truth["passed"]["rows"]}
    near = [rows[10.0 * round(at / 10.0)] for at in (first, last)]
    came, metered = near[1][3] - near[0][3], near[1][4] - near[0][4]
    assert metered == pytest.approx(came, rel=0.05)
    assert run(**{**SUMP, "sump": False}).truth["pump_starts"][1:] == []


def test_juice_of_a_new_load_comes_after_its_fruit() -> None:
    """Each load's juice leads from a minute or two after its fruit came."""
    truth = run(**DAY).truth
    begun = [truth["edges"][0], *(end for _, end in truth["gaps"])]
    for at, load in zip(begun, truth["loads"], strict=True):
        assert 10.0 < load["juice_from"] - at < 240.0


def test_silences_are_told() -> None:
    """Every pause of a sensor of more than three seconds is among the drop-outs."""
    made = run(**DAY)
    readings = made.readings["juice/flow"]
    told = [(d["at"], d["until"]) for d in made.truth["dropouts"] if d["signal"] == "juice/flow"]
    pauses = [(a, b) for (a, _), (b, _) in itertools.pairwise(readings) if b - a > 3.0]
    assert pauses and all(any(at - 1.1 <= a and b <= until + 2.1 for at, until in told) for a, b in pauses)


def test_the_way_from_mill_to_juice() -> None:
    """Juice comes about one to two minutes after its fruit was milled, with a spread of half a minute or so."""
    for seed in range(1, 6):
        delay = run(seed=seed, hours=0.5).truth["mill_to_juice"]
        assert 55.0 < delay["mean_s"] < 115.0
        assert 20.0 < delay["spread_s"] < 60.0


def test_slower_fruit_arrives_later() -> None:
    """After a stop the feed comes back slowly, and the juice of that fruit has taken longer."""
    stopped = run(seed=2, hours=1.25, faults="starved@45").truth
    fault = stopped["faults"][0]
    usual = [m["mean_s"] for m in stopped["mill_to_juice_by_minute"] if 1200 < m["at"] < fault["at"]]
    during = [
        m["mean_s"]
        for m in stopped["mill_to_juice_by_minute"]
        if fault["at"] + 60 < m["at"] < fault["until"] and m["mean_s"]
    ]
    assert max(during) > 1.2 * max(usual)
