"""One signal of the settings."""

import pytest

from tumpline.pressing.params import Accuracy, Quantity
from tumpline.settings.signal import Signal
from tumpline.wire.formats import PayloadFormat


def signal(**keys: object) -> Signal:
    """A signal as the file has it."""
    return Signal.model_validate(keys)


def test_a_signal_becomes_parameters_in_si() -> None:
    """What the file says in t/h is computed with in kg/s."""
    params = signal(
        name="mill/throughput", unit="t/h", range=[0, 7.2], accuracy="1.5 % of reading", stale_after="20 s"
    ).params()
    assert (params.name, params.quantity) == ("mill/throughput", Quantity.MASS_FLOW)
    assert (params.low, params.high, params.stale_after) == pytest.approx((0.0, 2.0, 20.0))
    assert params.accuracy == Accuracy(of_reading=0.015)
    assert params.rollover is None


def test_a_counter_may_roll_over() -> None:
    """A capacity is a quantity with its unit."""
    assert signal(name="juice/total", rollover="100000 L").params().rollover == pytest.approx(100.0)


def test_what_is_not_said_is_typical() -> None:
    """Unit, range, limits and patience have defaults."""
    bare = signal(name="press/pressure")
    assert (bare.own_unit, bare.own_range, bare.params().stale_after) == ("bar", (0.0, 16.0), 10.0)
    assert signal(name="press/pressure", unit="kPa").own_range == pytest.approx((0.0, 1600.0))


def test_a_scale_is_a_range() -> None:
    """What 4 and 20 mA mean is what the sensor can measure, and a share of the span is of that."""
    scaled = signal(name="press/pressure", payload="scaled", **{"from": [4, 20]}, to=[10, 0], accuracy="1 % of span")
    assert scaled.own_range == (0.0, 10.0)
    assert scaled.params().accuracy == Accuracy(fixed=10_000.0)


def test_the_form_of_its_payload_is_passed_on() -> None:
    """What the file says about sending is what messages are read with."""
    scaled = signal(
        name="flume/flow",
        payload="scaled",
        topic="gw/raw",
        pointer="/0",
        time_pointer="/t",
        to=[0, 40],
        **{"from": [0, 9]},
    )
    assert scaled.format() == PayloadFormat(
        unit="L/s", kind="scaled", pointer="/0", time_pointer="/t", from_=(0.0, 9.0), to=(0.0, 40.0), topic="gw/raw"
    )
