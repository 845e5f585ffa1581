"""Which alarms were deserved, missed, and came for nothing."""

from typing import Any

import pytest

from score_shifts import draw, fault, heard
from tumpline_score.alarms import DESERVES, judged
from tumpline_score.engine import Raised
from tumpline_sim.faults import KINDS

AIR = fault("air-lost", 2000.0, 2400.0) | {"felt": 2060.0}
BLOCKED = fault("blocked", 2000.0, 2300.0)


def raised(name: str, at: float, subject: str | None = None, because_of: str | None = None) -> Raised:
    """An alarm at a time."""
    return Raised(name, subject, at, because_of)


def verdict(alarm: Raised, *faults: dict[str, object], **facts: Any) -> tuple[str, str]:
    """What is thought of one alarm, and what it came in."""
    (found,) = judged(heard(raised=[alarm], faults=list(faults), **facts)).alarms
    return found.verdict, found.during


def test_a_fault_is_found_with_its_delay() -> None:
    """An alarm four seconds after its fault began found it in four seconds."""
    (wrong,) = judged(heard(raised=[raised("mill-blocked", 2004.0)], faults=[BLOCKED])).faults
    assert (wrong.kind, wrong.found, wrong.delay) == ("blocked", True, 4.0)


def test_a_fault_is_missed() -> None:
    """An alarm of another name, or after the fault's time, does not find it."""
    alarms = [raised("fruit-starved", 2010.0), raised("mill-blocked", 2400.0)]
    found = judged(heard(raised=alarms, faults=[BLOCKED]))
    assert [wrong.found for wrong in found.faults] == [False]
    assert [alarm.verdict for alarm in found.alarms] == ["false", "false"]
    assert found.alarms[0].during == "blocked"


@pytest.mark.parametrize(("signals", "found"), [("mill/current,juice/flow", False), ("juice/flow", None)])
def test_what_nobody_could_notice_is_not_missed(signals: str, found: bool | None) -> None:
    """A stone is asked about only where the mill's current is measured."""
    stone = fault("stone", 2000.0, 2000.5)
    assert judged(heard(of=draw(signals=signals), faults=[stone])).faults[0].found is found


def test_true_consequences_are_excused() -> None:
    """What a fault may well raise besides, and what names a found alarm as its cause, is neither found nor false."""
    assert verdict(raised("yield-drift", 2200.0), AIR) == ("excused", "air-lost")
    assert verdict(raised("juice-low", 2100.0, because_of="mill-blocked"), BLOCKED) == ("excused", "blocked")
    assert verdict(raised("juice-low", 2100.0), BLOCKED) == ("false", "blocked")


def test_a_mill_over_a_full_chute_that_is_called_blocked_is_a_false_alarm() -> None:
    """However hard it is to tell the hopper behind it that bridged from the mill itself."""
    bridged = fault("hopper-bridged", 2000.0, 2300.0, how="pulp hopper")
    assert verdict(raised("mill-blocked", 2040.0), bridged)[0] == "false"


def test_one_of_two_alarms_serves() -> None:
    """A mill starved by its flume pump is found by either name."""
    pump = fault("starved", 2000.0, 2400.0, how="flume pump")
    for name in ("fruit-starved", "flume-low"):
        (wrong,) = judged(heard(raised=[raised(name, 2020.0)], faults=[pump])).faults
        assert (wrong.found, wrong.delay) == (True, 20.0)


def test_lost_air_counts_from_when_it_is_felt() -> None:
    """The delay begins when the pressure has truly fallen."""
    (wrong,) = judged(heard(raised=[raised("pressure-low", 2070.0)], faults=[AIR])).faults
    assert wrong.delay == 10.0


def test_the_same_alarm_again() -> None:
    """An alarm that comes and goes during one fault has found it once."""
    alarms = [raised("mill-blocked", 2004.0), raised("mill-blocked", 2100.0)]
    assert [a.verdict for a in judged(heard(raised=alarms, faults=[BLOCKED])).alarms] == ["found", "again"]


def test_a_sensor_that_fell_silent_of_itself() -> None:
    """A lost signal is excused while that sensor drops out for long, and false for another one."""
    silent = [{"signal": "juice/flow", "at": 3000.0, "until": 3060.0}]
    assert verdict(raised("signal-lost", 3010.0, "juice/flow"), dropouts=silent) == ("excused", "drop-out")
    assert verdict(raised("signal-lost", 3010.0, "mill/current"), dropouts=silent) == ("false", "nothing wrong")


@pytest.mark.parametrize(
    ("at", "during"),
    [
        (400.0, "filling"),
        (3050.0, "gap between loads"),
        (5100.0, "break"),
        (4000.0, "other fruit"),
        (7600.0, "draining"),
        (6500.0, "nothing wrong"),
    ],
)
def test_when_a_false_alarm_came(at: float, during: str) -> None:
    """A false alarm is put down to what was going on."""
    facts = {"gaps": [[3000.0, 3100.0]], "events": [fault("break", 5000.0, 5600.0)]}
    assert verdict(raised("fruit-starved", at), **facts) == ("false", during)


def test_a_filling_vat_deserves_its_alarm() -> None:
    """From four fifths on the alarm of a nearly full vat is right, and missed where it came to nine tenths without."""
    filled = {"kind": "vat", "name": "V1", "four_fifths_at": 4000.0, "nine_tenths_at": 5000.0}
    assert verdict(raised("vat-nearly-full", 4500.0), filled=[filled]) == ("found", "vat filling")
    assert verdict(raised("vat-nearly-full", 3500.0), filled=[filled])[0] == "false"
    for nine_tenths_at, found in ((5000.0, False), (None, None)):
        (wrong,) = judged(heard(filled=[filled | {"nine_tenths_at": nine_tenths_at}])).faults
        assert wrong.found is found


@pytest.mark.parametrize(("at", "found"), [(5000.0, False), (7000.0, None)])
def test_what_had_no_time_to_show_is_not_missed(at: float, found: bool | None) -> None:
    """A slow drift of yield is asked about where half an hour of fruit was left for it."""
    assert judged(heard(faults=[fault("yield-drift", at, 8000.0)])).faults[0].found is found


def test_every_fault_of_the_simulated_line_is_judged() -> None:
    """No kind of fault is forgotten."""
    assert set(KINDS) <= set(DESERVES)
