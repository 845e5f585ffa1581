"""The units that the page shows figures in."""

import pytest

from page_style import style
from tumpline.adapters.web.scales import IMPERIAL, METRIC, si
from tumpline.wire.catalogue import CATALOGUE


def test_every_metric_unit_has_what_stands_for_it() -> None:
    """An imperial site has no unit that the page could not ask for, and of the same dimension."""
    assert {unit: scale.dimension for unit, scale in IMPERIAL.items()} == {
        unit: scale.dimension for unit, scale in METRIC.items()
    }


@pytest.mark.parametrize(
    ("value", "unit", "shown"),
    [
        (100.0, "t", "98.4 ton"),
        (1000.0, "L", "220 gal"),
        (60.0, "L/min", "13.2 gal/min"),
        (1.0, "bar", "14.5 psi"),
        (10.0, "°C", "50.0 °F"),
        (100.0, "kg", "220 lb"),
        (700.0, "L/t", "156 gal/ton"),
        (24.0, "%", "24.0 %"),
    ],
)
def test_imperial_figures(value: float, unit: str, shown: str) -> None:
    """By the exact long ton, imperial gallon and pound (Units of Measurement Regulations 1995)."""
    assert style(imperial=True).figure(si(value, unit), unit) == shown


def test_every_signal_can_be_shown() -> None:
    """Whatever a signal is documented in has a scale; a status has no unit."""
    assert {kind.unit for kind in CATALOGUE.values()} - set(METRIC) == {"0/1"}
