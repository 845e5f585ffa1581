"""Single values of the settings."""

import pytest

from tumpline.pressing.params import Accuracy, Quantity
from tumpline.settings.values import limits_in, parse_accuracy
from tumpline.wire.words import Refused

BAR = Quantity.PRESSURE.value


@pytest.mark.parametrize(
    ("text", "accuracy"),
    [
        ("1.5 % of reading", Accuracy(of_reading=0.015)),
        ("±1.5% of reading", Accuracy(of_reading=0.015)),
        ("0.5 % of span", Accuracy(fixed=5000.0)),
        ("0.02 bar", Accuracy(fixed=2000.0)),
        ("2 kPa", Accuracy(fixed=2000.0)),
        ("0.5 % of reading + 0.5 % of span + 0.02 bar", Accuracy(of_reading=0.005, fixed=7000.0)),
        ("0 bar", Accuracy()),
    ],
)
def test_limits_are_read(text: str, accuracy: Accuracy) -> None:
    """The maker's limits may be a share, an amount, or several of them joined."""
    found = parse_accuracy(text, unit="bar", dimension=BAR, span=1e6)
    assert isinstance(found, Accuracy)
    assert (found.of_reading, found.fixed) == pytest.approx((accuracy.of_reading, accuracy.fixed))


@pytest.mark.parametrize(
    "text", ["good", "1.5 %", "2 % of scale", "0.02", "0.02 kg", "-0.02 bar", "", "0.5 % of reading +"]
)
def test_what_is_no_limit_is_refused_with_examples(text: str) -> None:
    """A bare per cent could be of anything, and another unit is another quantity."""
    refused = parse_accuracy(text, unit="bar", dimension=BAR, span=1e6)
    assert isinstance(refused, Refused)
    assert limits_in("bar") in refused.reason


def test_a_share_of_a_span_needs_one() -> None:
    """Nobody's guess of a range decides how wide an interval is."""
    refused = parse_accuracy("0.5 % of span", unit="bar", dimension=BAR, span=None)
    assert isinstance(refused, Refused) and '"range"' in refused.reason


def test_a_limit_of_temperature_is_a_difference() -> None:
    """± 0.5 K is half a degree."""
    assert parse_accuracy("0.5 K", unit="Cel", dimension=Quantity.TEMPERATURE.value, span=None) == Accuracy(fixed=0.5)
