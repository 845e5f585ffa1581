"""The signals a line can have."""

import pytest

from tumpline.pressing.params import Quantity
from tumpline.wire.catalogue import CATALOGUE, VAT_VOLUME, kind_of
from tumpline.wire.units import SCALES


@pytest.mark.parametrize(
    ("name", "unit", "quantity"),
    [
        ("flume/flow", "L/s", Quantity.VOLUME_FLOW),
        ("mill/throughput", "t/h", Quantity.MASS_FLOW),
        ("press/pressure", "bar", Quantity.PRESSURE),
        ("juice/flow", "L/min", Quantity.VOLUME_FLOW),
        ("juice/total", "L", Quantity.VOLUME),
        ("mill/total", "kg", Quantity.MASS),
        ("mill/current", "A", Quantity.CURRENT),
        ("pulp/level", "%", Quantity.FRACTION),
        ("press/belt-speed", "m/min", Quantity.SPEED),
        ("press/wash-pressure", "bar", Quantity.PRESSURE),
        ("juice/brix", "°Bx", Quantity.BRIX),
        ("juice/temperature", "°C", Quantity.TEMPERATURE),
        ("pomace/flow", "kg/h", Quantity.MASS_FLOW),
        ("pomace/trailer", "kg", Quantity.MASS),
        ("vat/V1/volume", "L", Quantity.VOLUME),
        ("water/make-up", "L/min", Quantity.VOLUME_FLOW),
        ("line/emergency-stop", "0/1", Quantity.STATUS),
    ],
)
def test_every_signal_of_the_contract_is_known(name: str, unit: str, quantity: Quantity) -> None:
    """Names and document units are those other programs rely on."""
    kind = kind_of(name)
    assert kind is not None
    assert (kind.unit, kind.quantity) == (unit, quantity)
    assert unit in SCALES[quantity.value]


def test_four_signals_are_expected() -> None:
    """A line is complete with these four."""
    expected = {name for name, kind in CATALOGUE.items() if kind.expected}
    assert expected == {"flume/flow", "mill/throughput", "press/pressure", "juice/flow"}


@pytest.mark.parametrize(
    "name", ["mill", "mill/speed", "vat//volume", "vat/a/b/volume", "vat/+/volume", "vat/V1/level", ""]
)
def test_other_names_are_nobodys(name: str) -> None:
    """A name that no line has measures nothing."""
    assert kind_of(name) is None


def test_every_vat_may_have_a_level() -> None:
    """A vat is called what the site calls it."""
    assert kind_of("vat/Old Tom/volume") is None  # a topic level without spaces
    assert kind_of("vat/old-tom/volume") is VAT_VOLUME
