from collections.abc import Callable
from random import Random

import msgspec
import pytest

from tumpline.pressing.params import Accuracy, Quantity, SignalParams
from tumpline.pressing.qartod import Flag
from tumpline.pressing.quality import Finding, SensorCheck, Trouble, examine, sensor_of

_METERS = {
    "mill/throughput": SignalParams("mill/throughput", Quantity.MASS_FLOW, 0.0, 2.0, Accuracy(0.01)),
    "juice/flow": SignalParams("juice/flow", Quantity.VOLUME_FLOW, 0.0, 0.002, Accuracy(0.01)),
    "flume/flow": SignalParams("flume/flow", Quantity.VOLUME_FLOW, 0.0, 0.05, Accuracy(0.01)),
    "press/pressure": SignalParams("press/pressure", Quantity.PRESSURE, 0.0, 8e5, Accuracy(0.01)),
    "juice/temperature": SignalParams("juice/temperature", Quantity.TEMPERATURE, -10.0, 50.0, Accuracy(0.0, 0.3)),
    "mill/total": SignalParams("mill/total", Quantity.MASS, 0.0, 1e7, Accuracy(0.01), rollover=1e7),
    "line/emergency-stop": SignalParams("line/emergency-stop", Quantity.STATUS, 0.0, 1.0, Accuracy()),
}
_SENSORS = {name: sensor_of(meter) for name, meter in _METERS.items()}
_USUAL = {
    "mill/throughput": 1.1,
    "juice/flow": 0.0008,
    "flume/flow": 0.02,
    "press/pressure": 4.5e5,
    "juice/temperature": 11.0,
    "mill/total": 1.1,
    "line/emergency-stop": 0.0,
}
_SHARE = 1e-4
"""Of the range: what the readings are rounded to."""


class Line:
    """Signals that read once a second; `change` makes one of them say something else, or nothing."""

    def __init__(self, *, running: bool = True) -> None:
        self.checks = {name: SensorCheck() for name in _METERS}
        self.running = running
        self.now = 1000.0
        self.findings: dict[str, Finding] = {}
        self.found: list[tuple[str, Trouble]] = []
        self._rng = Random(7)

    def run(self, seconds: int, **change: Callable[[float], float | None]) -> "Line":
        """Let time pass; `juice_flow=f` makes f of what the juice meter would have read."""
        for _ in range(seconds):
            self.now += 1.0
            for name, meter in _METERS.items():
                usual = _USUAL[name] * self._rng.gauss(1.0, 0.004)
                value = change.get(name.replace("/", "_"), lambda x: x)(usual)
                if value is not None:
                    unit = 0.1 if meter.rollover else _SHARE * meter.span
                    self.checks[name].take(self.now, round(value / unit) * unit, _SENSORS[name])
            self.findings = examine(self.checks, _SENSORS, self.now, running=self.running, normal=self.running)
            for name, finding in self.findings.items():
                if finding.trouble is not None and (name, finding.trouble) not in self.found:
                    self.found.append((name, finding.trouble))
        return self

    def said(self, name: str) -> str:
        """What there is to say of a signal."""
        return self.findings[name].said(name, self.now)


def held(value: float) -> Callable[[float], float | None]:
    """A signal that says the same whatever is true."""
    return lambda _true: value


def test_a_flow_that_runs_out_through_its_last_digit_is_not_frozen() -> None:
    """Where little flows it scatters by little, and is rounded as before; the usual flow would be frozen."""
    steady = 0.016 * _USUAL["juice/flow"]
    assert Line().run(600).run(90, juice_flow=held(steady)).found == []
    assert Line().run(600).run(90, juice_flow=held(_USUAL["juice/flow"])).found == [("juice/flow", Trouble.FROZEN)]


def test_a_counter_near_its_roll_over_is_at_no_limit() -> None:
    """It goes through the last of its range on its way to nought."""
    capacity, kg = _METERS["mill/total"].high, [_METERS["mill/total"].high - 500.0]

    def counted(_: float) -> float:
        kg[0] = (kg[0] + 1.1) % capacity
        return kg[0]

    assert Line().run(900, mill_total=counted).found == []


def test_a_plain_hour_finds_nothing() -> None:
    """Signals that scatter as they always do are good."""
    line = Line().run(3600)
    assert line.found == []
    assert line.findings["juice/flow"].flag is Flag.GOOD


def test_at_first_nothing_is_evaluated() -> None:
    """Before anything usual was seen, a reading is neither good nor bad."""
    assert Line().run(5).findings["juice/flow"].flag is Flag.NOT_EVALUATED


def test_a_frozen_signal_is_found_while_others_move() -> None:
    """A flow that reads the same for half a minute is called frozen, from its last change on."""
    line = Line().run(300)
    line.run(45, juice_flow=held(0.0008))
    finding = line.findings["juice/flow"]
    assert (finding.flag, finding.trouble) == (Flag.SUSPECT, Trouble.FROZEN)
    assert line.said("juice/flow") == (
        "juice/flow has not changed for 44 s while other signals move: it is probably frozen."
    )
    assert line.run(5).findings["juice/flow"].trouble is None
    assert line.found == [("juice/flow", Trouble.FROZEN)]


def test_the_last_digit_may_still_flicker() -> None:
    """A frozen signal whose last digit trembles has still not moved."""
    line = Line().run(300)
    unit = _SHARE * 0.002
    line.run(60, juice_flow=lambda x: 0.0008 + (unit if x > 0.0008 else 0.0))
    assert line.findings["juice/flow"].trouble is Trouble.FROZEN


def test_two_alike_with_silence_between_them_are_not_frozen() -> None:
    """A signal that was not heard for a while and comes back with the same reading may have come back by chance."""
    line = Line().run(300)
    line.run(1, juice_flow=held(0.0008)).run(40, juice_flow=lambda _x: None)
    assert line.run(2, juice_flow=held(0.0008)).found == []


def test_a_line_that_stands_freezes_nothing() -> None:
    """Without fruit going in, a signal may stand still."""
    line = Line().run(300)
    line.running = False
    assert line.run(600, juice_flow=held(0.0008)).found == []


def test_a_gateway_that_repeats_everything_is_found_out() -> None:
    """While the line runs, something always trembles; where nothing does, no signal tells anything."""
    line = Line().run(300)
    usual = {name.replace("/", "_"): held(value) for name, value in _USUAL.items()}
    line.run(45, **usual)
    assert line.findings["juice/flow"].trouble is Trouble.ALL_FROZEN
    assert line.said("juice/flow") == (
        "juice/flow has not changed for 44 s, and no other signal has: what passes them on has probably stopped and "
        "repeats itself."
    )
    assert ("juice/flow", Trouble.FROZEN) not in line.found


def test_coarse_signals_that_never_moved_are_not_all_frozen() -> None:
    """Where nothing is known of any signal's pace, steady readings of all of them are only steady."""
    usual = {name.replace("/", "_"): held(value) for name, value in _USUAL.items()}
    assert Line().run(3600, **usual).found == []


def test_no_flow_is_not_frozen() -> None:
    """A flow of nothing may go on being nothing: the sump is filling, or the pump stands."""
    assert Line().run(300).run(300, juice_flow=held(0.0)).found == []


def test_a_signal_that_changes_slowly_gets_time() -> None:
    """What usually stands for ten seconds is not called frozen after forty."""
    line, shown = Line(), [0.0008]

    def every_tenth(true: float) -> float:
        if line.now % 10.0 == 0.0:
            shown[0] = true
        return shown[0]

    line.run(900, juice_flow=every_tenth)
    assert line.run(40, juice_flow=held(shown[0])).found == []
    assert line.run(160, juice_flow=held(shown[0])).found == [("juice/flow", Trouble.FROZEN)]


def test_a_flow_that_never_moved_is_found_in_the_end() -> None:
    """A meter that was frozen before the start is noticed after ten minutes of pressing."""
    line = Line().run(590, juice_flow=held(0.0008))
    assert line.found == []
    assert line.run(20, juice_flow=held(0.0008)).found == [("juice/flow", Trouble.FROZEN)]


def test_a_counter_that_stands_while_the_line_runs_is_frozen() -> None:
    """While its flow goes on, a counter that counts nothing has lost its pulses; while it does not, it may stand."""
    line, kg = Line(), [12_000.0]

    def counted(true: float) -> float:
        kg[0] += true
        return kg[0]

    line.run(300, mill_total=counted)
    assert line.run(120, mill_total=held(kg[0]), mill_throughput=held(0.0)).found == []
    line.run(60, mill_total=counted)
    assert line.run(40, mill_total=held(kg[0])).found == [("mill/total", Trouble.FROZEN)]


def test_a_signal_that_left_the_settings_is_looked_at_no_more() -> None:
    """What is remembered of a sensor that was taken out does no harm."""
    line = Line().run(10)
    assert "juice/flow" not in examine(line.checks, {}, line.now, running=True, normal=True)


def test_standing_before_the_line_runs_teaches_nothing() -> None:
    """A pause that ends as the line starts is no ordinary pace of the signal."""
    line = Line().run(300)
    line.running = False
    line.run(120, juice_flow=held(0.0008))
    line.running = True
    line.run(3, juice_flow=held(0.0008)).run(60)
    assert line.run(35, juice_flow=held(0.0008)).found == [("juice/flow", Trouble.FROZEN)]


def test_a_slow_instrument_may_stand_still() -> None:
    """A temperature that does not change for an hour is no fault."""
    assert Line().run(3600, juice_temperature=held(11.0)).found == []


@pytest.mark.parametrize(
    ("name", "value"),
    [("juice/flow", 0.002), ("mill/throughput", 2.06), ("juice/temperature", -10.0), ("flume/flow", -0.0006)],
)
def test_the_end_of_the_range_is_no_measurement(name: str, value: float) -> None:
    """A sensor at the end of its range is a failure after four seconds: more may be true."""
    line = Line().run(100)
    change = {name.replace("/", "_"): held(value)}
    assert line.run(4, **change).found == []
    line.run(2, **change)
    assert (line.findings[name].flag, line.findings[name].trouble) == (Flag.FAIL, Trouble.AT_LIMIT)
    assert line.said(name) == f"{name} has stood at the end of its range for 5 s: the true value is not known."


def test_nothing_flowing_is_no_limit() -> None:
    """A range that begins at zero is left at rest every evening."""
    assert Line().run(100).run(60, juice_flow=held(0.0), flume_flow=held(-0.0001)).found == []


def test_air_in_the_juice_meter() -> None:
    """A juice meter that scatters and reads high has air in it, and says so until it is calm again."""
    line, rng = Line().run(600), Random(3)
    line.run(60, juice_flow=lambda x: 1.1 * x * rng.gauss(1.0, 0.02))
    assert line.findings["juice/flow"].trouble is Trouble.AIR
    assert "times as much as usual and reads high: there may be air in it" in line.said("juice/flow")
    assert line.run(60).findings["juice/flow"].trouble is None


def test_noise_alone_is_only_noise() -> None:
    """A meter that scatters around what it read before is not said to have air in it."""
    line, rng = Line().run(600), Random(3)
    line.run(60, juice_flow=lambda x: x * rng.gauss(1.0, 0.02))
    assert line.found == [("juice/flow", Trouble.NOISY)]


def test_noise_before_a_stop_is_forgotten_after_it() -> None:
    """When the line runs again, a meter is judged by what it reads then."""
    line, rng = Line().run(600), Random(3)
    line.run(60, juice_flow=lambda x: x * rng.gauss(1.0, 0.02))
    line.running = False
    line.run(60, juice_flow=held(0.0))
    line.running, line.found = True, []
    assert line.run(300).found == []


def test_juice_in_bursts_is_not_noise() -> None:
    """A float switch that starts and stops the pump makes no noise."""
    line = Line()
    assert line.run(3600, juice_flow=lambda x: 2.0 * x if line.now % 90.0 < 40.0 else 0.0).found == []


def test_a_single_spike_is_suspect_for_one_reading() -> None:
    """A reading that stands apart is flagged when the next one has shown it, and forgotten after that."""
    line = Line().run(300)
    line.run(1, mill_throughput=held(1.6))
    flags = [line.run(1).findings["mill/throughput"].flag for _ in range(3)]
    assert flags == [Flag.SUSPECT, Flag.GOOD, Flag.GOOD]
    assert line.found == []


def test_a_jump_no_juice_can_make_is_suspect() -> None:
    """A temperature that leaps is suspect."""
    line = Line().run(300)
    assert line.run(1, juice_temperature=held(20.0)).findings["juice/temperature"].flag is Flag.SUSPECT


def test_refused_readings_say_so() -> None:
    """Three refusals in a row are a failure that is told apart from silence, and one good reading ends it."""
    line = Line().run(100)
    for _ in range(4):
        line.checks["juice/flow"].refuse(line.now + 0.1)
        line.run(1, juice_flow=lambda _x: None)
    finding = line.findings["juice/flow"]
    assert (finding.flag, finding.trouble) == (Flag.FAIL, Trouble.REFUSED)
    assert line.said("juice/flow").startswith("The readings of juice/flow are refused")
    assert line.run(1).findings["juice/flow"].trouble is None


def test_silence_is_missing_and_no_trouble_of_the_sensor() -> None:
    """A signal that is not heard has no quality."""
    line = Line().run(100)
    finding = line.run(15, juice_flow=lambda _x: None).findings["juice/flow"]
    assert (finding.flag, finding.trouble) == (Flag.MISSING, None)
    assert line.said("juice/flow") == ""


def test_an_emergency_stop_is_a_state_and_not_a_measurement() -> None:
    """A status that stands at one is not at its limit."""
    assert Line().run(100).run(60, line_emergency_stop=held(1.0)).found == []


def test_older_readings_are_passed_over() -> None:
    """A reading that comes late does not look like a jump back."""
    check, sensor = SensorCheck(), _SENSORS["juice/temperature"]
    check.take(10.0, 11.0, sensor)
    check.take(5.0, 45.0, sensor)
    assert (check.at, check.value) == (10.0, 11.0)


def test_what_is_known_survives_a_snapshot() -> None:
    """Written down and read back, the checks find what they would have found."""
    line = Line().run(300)
    packed = msgspec.msgpack.encode(line.checks)
    line.checks = msgspec.msgpack.decode(packed, type=dict[str, SensorCheck])
    assert line.run(45, juice_flow=held(0.0008)).found == [("juice/flow", Trouble.FROZEN)]
