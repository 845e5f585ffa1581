"""Each fault shows in the signals the way it does on a line."""

from statistics import fmean, median, stdev
from typing import Any

import pytest

from simulated import Run, run
from tumpline_sim import Options, shift
from tumpline_sim.faults import KINDS, FaultListError

AT = 15.0
LOOKED_AT = (
    "flume/flow,mill/throughput,press/pressure,juice/flow,juice/total,mill/current,press/wash-pressure,pomace/flow"
)
USUAL: dict[str, Any] = {"seed": 2, "hours": 0.75, "signals": LOOKED_AT}


def with_fault(kind: str, **options: Any) -> tuple[Run, dict[str, Any]]:
    """A shift with one fault, and what the truth says of it."""
    made = run(faults=f"{kind}@{AT:g}", **{**USUAL, **options})
    (fault,) = made.truth["faults"]
    assert fault["kind"] == kind.partition(":")[0]
    return made, fault


def kept(made: Run, name: str, start: float, end: float, **options: Any) -> float:
    """A signal's mean as a share of what it is in the same shift without the fault."""
    return made.mean(name, start, end) / run(**{**USUAL, **options}).mean(name, start, end)


@pytest.mark.parametrize("seed", [2, 3])
def test_a_blocked_mill(seed: int) -> None:
    """Fruit stops within 4 s, the current jumps to 150 to 250 % and trips; water runs until the crew stops it."""
    made, fault = with_fault("blocked", seed=seed, tidy=True)
    at = fault["at"]
    usual = median(made.values("mill/current", at - 300.0, at))
    peak = max(made.values("mill/current", at - 0.5, at + 2.5))
    assert 1.3 * usual < peak < 2.8 * usual
    assert max(made.values("mill/throughput", at + 5.0, fault["until"] - 5.0)) == 0.0
    assert max(made.values("mill/current", at + 6.0, fault["until"] - 30.0)) == 0.0
    assert min(made.values("flume/flow", at, at + 18.0)) > 5.0
    assert max(made.values("flume/flow", at + 62.0, fault["until"] - 30.0)) == 0.0
    assert made.mean("mill/throughput", fault["until"] + 30.0, fault["until"] + 120.0) > 2.5


def test_a_starved_mill() -> None:
    """Hardly any fruit comes and the mill idles without tripping; water fails only where its pump is the cause."""
    seen = set()
    for seed in (1, 2):
        made, fault = with_fault("starved", seed=seed)
        start, end = fault["at"] + 25.0, fault["until"] - 5.0
        assert made.mean("mill/throughput", start, end) < 0.08 * 4.0
        assert 0.3 * 28.0 < made.mean("mill/current", start, end) < 0.45 * 28.0
        water = kept(made, "flume/flow", start, end, seed=seed)
        assert water < 0.5 if fault["how"] == "flume pump" else 0.97 < water < 1.03
        seen.add(fault["how"])
    assert seen == {"flume pump", "elevator"}


def test_low_juice() -> None:
    """The meter reads a quarter to two fifths low for the same fruit: juice spilt, or held back in wetter pomace."""
    seen = set()
    for seed in (1, 2):
        made, fault = with_fault("juice-low", seed=seed)
        during = fault["at"] + 150.0, fault["until"]
        assert 0.58 < kept(made, "juice/flow", *during, seed=seed) < 0.77
        assert kept(made, "mill/throughput", *during, seed=seed) == pytest.approx(1.0, rel=0.01)
        spilt, pomace = made.truth["juice_lost_l"], kept(made, "pomace/flow", *during, seed=seed)
        if fault["how"] == "leak before the meter":
            assert spilt > 20.0 and pomace == pytest.approx(1.0, rel=0.02)
        else:
            assert spilt == 0.0 and pomace > 1.4
        seen.add(fault["how"])
    assert seen == {"leak before the meter", "cloth suddenly blinded"}


def test_a_lost_signal() -> None:
    """The named sensor says nothing, the others go on."""
    made, fault = with_fault("signal-lost:juice/flow")
    assert fault["signal"] == "juice/flow"
    assert made.values("juice/flow", fault["at"] + 0.5, fault["until"] - 0.5) == []
    assert made.values("mill/throughput", fault["at"], fault["until"])


def test_a_stone() -> None:
    """One reading of the current is more than twice the usual, and nothing comes of it."""
    made, fault = with_fault("stone", tidy=True)
    usual = median(made.values("mill/current", fault["at"] - 300.0, fault["at"] - 1.0))
    high = [v for v in made.values("mill/current", fault["at"] - 60.0, fault["at"] + 60.0) if v > 1.5 * usual]
    assert len(high) == 1 and high[0] > 2.0 * usual
    assert fault["until"] - fault["at"] < 1.0
    assert made.mean("mill/current", fault["at"] + 2.0, fault["at"] + 60.0) == pytest.approx(usual, rel=0.1)


def test_lost_air() -> None:
    """The pressure sags to between half and four fifths over minutes, the yield falls with it, and both come back."""
    made, fault = with_fault("air-lost")
    before = made.mean("press/pressure", fault["at"] - 300.0, fault["at"])
    lowest = min(made.values("press/pressure", fault["at"], fault["until"]))
    assert 0.5 < lowest / before < 0.8
    assert made.mean("press/pressure", fault["at"] + 5.0, fault["at"] + 25.0) > 0.85 * before
    assert made.mean("press/pressure", fault["until"] + 90.0, fault["until"] + 300.0) == pytest.approx(before, rel=0.03)
    assert kept(made, "juice/flow", fault["at"] + 200.0, fault["until"]) < 0.98
    assert made.mean("press/pressure", fault["felt"] - 5.0, fault["felt"] + 5.0) == pytest.approx(
        0.9 * before, rel=0.02
    )


def test_blinding() -> None:
    """A slowly blinded cloth costs yield over most of an hour and makes pomace wetter, the wash pressure rises."""
    made, fault = with_fault("blinding", hours=1.5)
    late = fault["until"] - 600.0, fault["until"]
    assert 0.75 < kept(made, "juice/flow", *late, hours=1.5) < 0.95
    assert kept(made, "juice/flow", fault["at"], fault["at"] + 300.0, hours=1.5) > 0.97
    assert kept(made, "pomace/flow", *late, hours=1.5) > 1.1
    assert kept(made, "press/wash-pressure", *late, hours=1.5) > 1.05
    assert fault["until"] - fault["at"] >= 2400.0


def test_a_blocking_strainer() -> None:
    """The flume loses its water slowly, over a quarter of an hour or more, and fruit still comes."""
    made, fault = with_fault("strainer", hours=1.0)
    before = made.mean("flume/flow", fault["at"] - 300.0, fault["at"])
    assert made.mean("flume/flow", fault["at"], fault["at"] + 60.0) > 0.95 * before
    assert made.mean("flume/flow", fault["until"] - 30.0, fault["until"]) < 0.65 * before
    assert fault["until"] - fault["at"] >= 900.0


def test_a_drifting_meter() -> None:
    """The juice meter drifts by 3 % of itself within the hour, its counter with it; the juice does not change."""
    made, _ = with_fault("meter-drift", hours=1.5)
    right = run(**{**USUAL, "hours": 1.5})
    last = made.truth["end"] - 900.0, made.truth["end"] - 600.0
    drift = made.mean("juice/flow", *last) / right.mean("juice/flow", *last) - 1.0
    counts = [(r.values("juice/total", *last)[0], r.values("juice/total", *last)[-1]) for r in (made, right)]
    counted, truly = (end - start for start, end in counts)
    assert abs(drift) == pytest.approx(0.03, abs=0.003)
    assert counted / truly - 1.0 == pytest.approx(drift, abs=0.005)
    assert made.truth["juice_l"] == right.truth["juice_l"]


def test_a_frozen_sensor() -> None:
    """The named sensor repeats its last value to the digit while the others move."""
    made, fault = with_fault("frozen:mill/throughput")
    stuck = made.values("mill/throughput", fault["at"] + 0.5, fault["until"] - 0.5)
    assert len(stuck) > 60 and len(set(stuck)) == 1 and stuck[0] > 0.0
    assert len(set(made.values("juice/flow", fault["at"], fault["until"]))) > 30


def test_a_drift_of_a_tenth() -> None:
    """A tenth of the yield is lost within a quarter of an hour, for good, and the pomace gets wetter by as much."""
    made, fault = with_fault("yield-drift", hours=1.5)
    late = fault["at"] + 1200.0, fault["at"] + 3600.0
    assert kept(made, "juice/flow", *late, hours=1.5) == pytest.approx(0.9, abs=0.015)
    assert kept(made, "pomace/flow", *late, hours=1.5) > 1.15
    assert fault["until"] == made.truth["end"]


def test_a_bridged_hopper() -> None:
    """Fruit stops within a quarter of a minute and the mill idles; where the pulp hangs, its level is high."""
    seen = set()
    for seed in (2, 3):
        made, fault = with_fault("hopper-bridged", seed=seed, signals=f"{LOOKED_AT},pulp/level")
        during = fault["at"] + 60.0, fault["until"] - 1.0
        assert 0.3 * 28.0 < made.mean("mill/current", *during) < 0.45 * 28.0
        assert max(made.values("mill/throughput", *during)) < 0.2
        assert (made.mean("pulp/level", *during) > 80.0) is (fault["how"] == "pulp hopper")
        seen.add(fault["how"])
    assert seen == {"fruit hopper", "pulp hopper"}


def test_air_in_the_juice_meter() -> None:
    """It reads high and scatters many times more than it used to, though the juice is what it was."""
    made, fault = with_fault("air-in-meter", tidy=True)
    right = run(**{**USUAL, "tidy": True})
    ratios = [
        a / b
        for a, b in zip(
            made.values("juice/flow", fault["at"] + 1.0, fault["until"]),
            right.values("juice/flow", fault["at"] + 1.0, fault["until"]),
            strict=True,
        )
    ]
    assert 1.02 < fmean(ratios) < 1.12
    assert 0.03 < stdev(ratios) < 0.13
    assert made.truth["juice_l"] == right.truth["juice_l"]


def test_a_sensor_at_its_limit() -> None:
    """The named sensor reads the top of its range until it comes back."""
    made, fault = with_fault("at-limit:press/pressure")
    assert set(made.values("press/pressure", fault["at"] + 0.5, fault["until"] - 0.5)) == {8.0}
    assert max(made.values("press/pressure", fault["until"] + 1.0, made.truth["end"])) < 6.0


def test_a_fault_of_fruit_waits_for_fruit() -> None:
    """Asked for before any fruit runs, a blocked mill comes a minute after the fruit."""
    truth = run(hours=0.5, faults="blocked@0").truth
    assert truth["edges"][0] + 59.0 <= truth["faults"][0]["at"] < truth["edges"][0] + 90.0


def test_random_faults() -> None:
    """Asked for random faults, a shift has some, of known kinds, inside the shift."""
    kinds = set()
    for seed in range(1, 7):
        truth = run(seed=seed, hours=0.5, faults="random").truth
        assert truth["faults"]
        assert all(0.0 < f["at"] < f["until"] <= truth["end"] for f in truth["faults"])
        kinds |= {f["kind"] for f in truth["faults"]}
    assert kinds <= set(KINDS) and len(kinds) >= 5


@pytest.mark.parametrize(
    ("text", "why"),
    [
        ("flood@3", "'flood' is not a fault; one of blocked,"),
        ("blocked", "write kind@minutes"),
        ("blocked@-1", "write kind@minutes"),
        ("blocked@nan", "write kind@minutes"),
        ("blocked:juice/flow@3", "only at-limit, frozen, signal-lost take a signal"),
        ("frozen:juice/brix@3", "one of flume/flow, mill/throughput"),
    ],
)
def test_a_list_that_cannot_be_read(text: str, why: str) -> None:
    """A list of faults with a mistake is refused with what would be accepted."""
    with pytest.raises(FaultListError, match=why):
        shift(Options(faults=text))
