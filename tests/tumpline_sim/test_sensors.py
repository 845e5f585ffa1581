"""What the sensors say of the truth."""

import itertools

import pytest

from simulated import run
from tumpline_sim import Options, shift
from tumpline_sim.sensors import EXPECTED, SENSORS, Fitted, SignalChoiceError, chosen


def test_biases_lie_within_the_makers_limits() -> None:
    """Every meter is off by no more than its maker allows, and they are not all off the same way."""
    for sensor in SENSORS:
        fitted = [Fitted(sensor, seed=str(n), rate=4.0, tidy=True, unbiased=False) for n in range(1, 9)]
        shares, offsets = [meter.share for meter in fitted], [meter.offset for meter in fitted]
        assert all(abs(share) <= sensor.of_reading for share in shares)
        assert all(abs(offset) <= sensor.of_span * (sensor.top(4.0) - sensor.low) for offset in offsets)
        if sensor.of_reading:
            assert min(shares) < 0.0 < max(shares)


def test_a_bias_lasts_the_whole_shift() -> None:
    """Over a shift the juice meter is off by its bias, and by nothing else worth mentioning."""
    made = run(hours=1.0, tidy=True)
    metered = sum(value for _, value in made.readings["juice/flow"]) / 60.0
    assert metered / made.truth["juice_l"] - 1.0 == pytest.approx(
        made.truth["meter_biases"]["juice/flow"]["of_reading"], abs=3e-4
    )


def test_a_counter_counts_what_its_meter_reads() -> None:
    """Flow and counter are two readings of one meter with one bias."""
    made = run(hours=1.0, signals="all", tidy=True)
    for flow, counter, true in (
        ("juice/flow", "juice/total", "juice_l"),
        ("mill/throughput", "mill/total", "fruit_kg"),
    ):
        first, last = made.readings[counter][0][1], made.readings[counter][-1][1]
        biases = made.truth["meter_biases"]
        assert biases[flow]["of_reading"] == biases[counter]["of_reading"]
        assert (last - first) % 1e6 == pytest.approx(made.truth[true] * (1.0 + biases[counter]["of_reading"]), rel=1e-4)


def test_readings_stay_in_range() -> None:
    """No sensor says what it cannot say, whatever goes wrong, bursts of a sump included."""
    for seed in (1, 2, 3):
        made = run(seed=seed, hours=0.5, signals="all", faults="random", sump=True)
        for sensor in SENSORS:
            values = [value for _, value in made.readings[sensor.name]]
            assert sensor.low <= min(values) and max(values) < max(sensor.top(4.0), 1.0)


def test_noise_is_small() -> None:
    """Steady readings scatter by about 0.4 %."""
    made = run(hours=1.0, tidy=True)
    values = made.values("flume/flow", 1200.0, 2400.0)
    steps = [abs(b / a - 1.0) for a, b in itertools.pairwise(values)]
    assert 0.002 < sum(steps) / len(steps) < 0.01


def test_unbiased_meters() -> None:
    """Asked for unbiased meters, only noise is left of their errors, and the shift is the same shift."""
    right, usual = (run(hours=0.5, signals="all", tidy=True, unbiased=unbiased) for unbiased in (True, False))
    assert all(bias == {"of_reading": 0.0, "offset": 0.0} for bias in right.truth["meter_biases"].values())
    counted = right.readings["juice/total"][-1][1] - right.readings["juice/total"][0][1]
    assert counted % 1e6 == pytest.approx(right.truth["juice_l"], abs=0.2)
    assert right.truth["fruit_kg"] == usual.truth["fruit_kg"]


def test_choosing_signals() -> None:
    """Signals are chosen by word or by name, and an unknown one is refused with those there are."""
    assert tuple(sensor.name for sensor in chosen("expected")) == EXPECTED
    assert chosen("all") == SENSORS
    assert [sensor.name for sensor in chosen("juice/flow, juice/brix,juice/flow")] == ["juice/flow", "juice/brix"]
    with pytest.raises(SignalChoiceError, match=r"'juice/colour' is not one .* flume/flow"):
        shift(Options(signals="juice/colour"))
