"""A meter that drifts slowly, seen by what the vat and the pomace say."""

import re
from random import Random

import pytest

from press_stories import params
from tumpline.pressing.attribution import Attribution
from tumpline.pressing.drift import WINDOW, Drift
from tumpline.pressing.ledger import UNHEARD, Ledger
from tumpline.pressing.params import Accuracy, Quantity, SignalParams
from tumpline.pressing.records import Balance, Unknown

LEVEL = SignalParams("vat/A/volume", Quantity.VOLUME, 0.0, 20.0, Accuracy(fixed=0.06))
POMACE = SignalParams("pomace/flow", Quantity.MASS_FLOW, 0.0, 2.0, Accuracy(of_reading=0.03))
FRUIT = 5.5
"""kg a bin: about the rated feed."""
JUICE = 7e-4 * FRUIT


def watched(*, hours: float, meter: float = 1.0, drift: float = 0.0, level: bool = True, pomace: bool = False,
            drawn: float = 0.0, fills: int = 0, weighed: bool = True) -> Drift:  # fmt: skip
    """
    The meters after some hours of steady pressing. The juice meter reads `meter` times the truth, and from the first
    half hour on `drift` more, reached after half an hour; `drawn` m³ leave the vat in the middle. For `fills` bins a
    tenth of the fruit stays before the press; what is not `weighed` is pomace whose meter is never heard.
    """
    rng, found, line = Random(4), Drift(), params(*([LEVEL] if level else []), *([POMACE] if pomace else []))
    ledger, given, vat = Ledger(0.0), Attribution(), 1.0
    bins = round(hours * 720)
    for j in range(bins):
        gain = meter + drift * min(max((j - 360) / 360, 0.0), 1.0)
        vat += JUICE - (drawn if j == bins // 2 else 0.0)
        ledger.fruit.amounts.append(FRUIT)
        ledger.juice.amounts.append(JUICE * gain)
        stays = 0.1 * FRUIT if j < fills else 0.0
        ledger.pomace.amounts.append(FRUIT * 1.015 - 1050.0 * JUICE - stays if weighed else 0.0)
        ledger.pomace.blind += not weighed
        ledger.brix.append(-1.0)
        ledger.celsius.append(UNHEARD)
        given.aligned.append(FRUIT)
        given.juice.append(JUICE * gain)
        found.bin_closed(ledger, given, line, "A", vat + rng.gauss(0.0, 0.003) if level else None)
    return found


@pytest.mark.parametrize("meter", [0.991, 1.0, 1.009])
@pytest.mark.parametrize("drift", [0.03, -0.03])
def test_a_juice_meter_that_drifts_is_named_by_the_vat(meter: float, drift: float) -> None:
    """Three per cent either way, wherever within its limits the meter began, within two hours of the beginning."""
    verdict = watched(hours=2.5, meter=meter, drift=drift).verdict()
    assert verdict.active
    assert verdict.subjects == ("juice/flow",)
    assert ("more" if drift > 0 else "less") in verdict.cause
    first = re.search(r"In the first half hour it said (\d\.\d) %", verdict.cause)
    assert first is not None
    assert float(first[1]) == pytest.approx(100.0 * abs(meter - 1.0), abs=0.15)


def test_fruit_that_still_fills_up_before_the_press_is_not_missing() -> None:
    """For the first ten minutes less pomace comes than fruit and juice say."""
    found = watched(hours=2.0, level=False, pomace=True, fills=120)
    assert not found.verdict().active
    assert found.by_pomace.usual == pytest.approx([0.0, 0.0], abs=1e-3)


def test_pomace_that_nobody_hears_is_not_missing() -> None:
    """A weigher that is fitted and never speaks says nothing, not zero."""
    assert not watched(hours=2.0, level=False, pomace=True, weighed=False).verdict().active


@pytest.mark.parametrize("meter", [0.991, 1.0, 1.009])
@pytest.mark.parametrize("hours", [1.0, 4.0])
def test_meters_within_their_limits_are_let_be(meter: float, hours: float) -> None:
    """A bias that the maker admits is no drift, however long the shift."""
    assert not watched(hours=hours, meter=meter, pomace=True).verdict().active


def test_without_a_vat_nobody_can_tell_which_meter_it_is() -> None:
    """Fruit, juice and pomace contradict each other; nothing is named, and what would tell is said."""
    verdict = watched(hours=3.5, drift=0.04, level=False, pomace=True).verdict()
    assert verdict.active
    assert verdict.subjects == ()
    assert "cannot tell which" in verdict.cause
    assert "dip of the vat" in verdict.cause


def test_a_vat_that_is_drawn_from_is_no_drift() -> None:
    """A quarter of an hour in which somebody used the vat is left out."""
    assert not watched(hours=2.5, drawn=2.0).verdict().active


def test_nothing_is_said_before_two_windows() -> None:
    """A quarter of an hour is one comparison."""
    assert watched(hours=(WINDOW + 20) / 720).by_vat.usual != []
    assert not watched(hours=0.4, meter=1.005).verdict().active


def test_the_balance_of_the_shift_names_what_drifted() -> None:
    """What was found during the shift stands in its balance, with the reason."""
    plain = Balance({}, Unknown("nothing weighs the pomace"), None, None, None, isolable=False, advice="Dip the vat.")
    settled = watched(hours=2.5, drift=0.03).settle(plain)
    assert (settled.suspect, settled.isolable) == ("juice/flow", True)
    assert settled.advice is not None
    assert "drifted" in settled.advice
    assert watched(hours=1.0).settle(plain) == plain


def test_juice_that_another_alarm_knows_to_be_lost_is_no_drift() -> None:
    """Ten minutes of juice on the floor, told a minute after they began, are left out."""
    found, line = Drift(), params(POMACE)
    ledger, given = Ledger(0.0), Attribution()
    for j in range(3 * 720):
        juice = JUICE * (0.7 if 800 <= j < 920 else 1.0)
        ledger.fruit.amounts.append(FRUIT)
        ledger.juice.amounts.append(juice)
        ledger.pomace.amounts.append(FRUIT * 1.015 - 1050.0 * JUICE)
        ledger.brix.append(-1.0)
        ledger.celsius.append(UNHEARD)
        given.aligned.append(FRUIT)
        given.juice.append(juice)
        found.bin_closed(ledger, given, line, "", None, lost=812 <= j < 925)
    assert not found.verdict().active


def test_sweet_juice_is_heavier_and_no_drift() -> None:
    """Where the refractometer is heard, another load's sugar does not look like a meter that drifts."""
    found, line = Drift(), params(POMACE)
    ledger, given = Ledger(0.0), Attribution()
    for j in range(5 * 720):
        brix = 10.0 if j < 720 else 16.0
        ledger.fruit.amounts.append(FRUIT)
        ledger.juice.amounts.append(JUICE)
        ledger.pomace.amounts.append(FRUIT * 1.015 - JUICE * (1040.0 if brix == 10.0 else 1065.4))
        ledger.brix.append(brix)
        ledger.celsius.append(12.0)
        given.aligned.append(FRUIT)
        given.juice.append(JUICE)
        found.bin_closed(ledger, given, line, "", None)
    assert not found.verdict().active


def test_a_quarter_of_an_hour_without_fruit_is_not_compared() -> None:
    """A line that stops right after a window leaves nothing to divide by."""
    found, line = Drift(), params(POMACE)
    ledger, given = Ledger(0.0), Attribution()
    for j in range(3 * WINDOW):
        kg = FRUIT if j < WINDOW + 24 else 0.0
        ledger.fruit.amounts.append(kg)
        ledger.juice.amounts.append(7e-4 * kg)
        ledger.pomace.amounts.append(0.28 * kg)
        ledger.brix.append(-1.0)
        ledger.celsius.append(UNHEARD)
        given.aligned.append(kg)
        given.juice.append(7e-4 * kg)
        found.bin_closed(ledger, given, line, "", None)
    assert not found.verdict().active
