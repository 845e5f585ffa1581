"""4 to 20 mA transmitters, from the message to the reading, against NAMUR NE 43.

The bands are those of NE 43 (2003) as two secondary pages quote them; the recommendation itself was not seen. Within
them the value is on the straight line from 4 mA to 20 mA, here 0 to 10 bar, to 1e-9.
"""

import pytest

from wire_line import reason, taken

MEASURED = [(3.8, -0.125), (4.0, 0.0), (12.0, 5.0), (20.0, 10.0), (20.5, 10.3125)]
UNDEFINED = [3.61, 3.79, 20.51, 20.99]
FAILED = [0.0, 3.6, 21.0, 22.0]


@pytest.mark.parametrize(("current", "bar"), MEASURED)
def test_a_current_in_the_measuring_band(current: float, bar: float) -> None:
    """3.8 to 20.5 mA is a measurement, a little outside the scale too."""
    assert taken("press/pressure", b"%g" % current).value / 1e5 == pytest.approx(bar, abs=1e-9)


@pytest.mark.parametrize("current", UNDEFINED)
def test_a_current_that_means_nothing(current: float) -> None:
    """Between the bands a current is no measurement, and no failure either."""
    assert "is not a measurement" in reason("press/pressure", b"%g" % current)


@pytest.mark.parametrize("current", FAILED)
def test_a_current_that_signals_a_failure(current: float) -> None:
    """3.6 mA and less, and 21 mA and more, say that the sensor has failed."""
    assert "sensor failure signal" in reason("press/pressure", b"%g" % current)
