"""What each load of a shift is made of, and all of them together."""

import msgspec
import pytest

from press_stories import params
from tumpline.pressing.attribution import Attribution, Portion
from tumpline.pressing.book import Book
from tumpline.pressing.entries import Load, Sample, Variety
from tumpline.pressing.makings import learned_anchors, makings, together
from tumpline.pressing.params import Accuracy, Quantity, SignalParams

REFRACTOMETER = SignalParams("juice/brix", Quantity.BRIX, 0.0, 30.0, Accuracy(fixed=0.2))
THERMOMETER = SignalParams("juice/temperature", Quantity.TEMPERATURE, -10.0, 50.0, Accuracy(fixed=0.3))


def pressed(**portions: Portion) -> Attribution:
    """Loads that were pressed, without the bins they came in."""
    return Attribution(portions=portions)


def portion(*, brix: float | None = None, celsius: float | None = None) -> Portion:
    """A tonne of fruit and 700 L, with what the meters said of its juice."""
    part = Portion(1000.0, 1000.0, 0.7)
    if brix is not None:
        part.sugar, part.sugar_juice = 0.7 * brix, 0.7
    if celsius is not None:
        part.warmth, part.warmth_juice = 0.7 * celsius, 0.7
    return part


def book(*loads: Load) -> Book:
    """A book in which these loads were weighed in."""
    written = Book()
    for entry in loads:
        written.write(0.0, entry)
    return written


def load(name: str, *, brix: float | None = None, dry_matter_pct: float | None = None) -> Load:
    """A load of one variety."""
    return Load(name, "Long Acre", 4000.0, (Variety(f"kind of {name}", 1.0),), brix, dry_matter_pct=dry_matter_pct)


def test_the_sugar_is_measured_before_it_is_taken_from_the_load() -> None:
    """A refractometer on the line counts; without one the hand's does, less sharply; without either it is a guess."""
    written = book(load("a", brix=13.4))
    line = params(REFRACTOMETER)
    measured = makings(line, pressed(a=portion(brix=12.0)), written, {})["a"]
    by_hand = makings(params(), pressed(a=portion()), written, {})["a"]
    neither = makings(params(), pressed(b=portion()), book(load("b")), {})["b"]
    assert (measured.sugar.value, by_hand.sugar.value) == pytest.approx((12.0, 13.4))
    assert measured.sugar.u < by_hand.sugar.u < neither.sugar.u
    assert (measured.sugar_known, by_hand.sugar_known, neither.sugar_known) == (True, True, False)


def test_temperature_is_known_where_a_thermometer_was_heard() -> None:
    """Its maker's limits come with it."""
    warm = makings(params(THERMOMETER), pressed(a=portion(celsius=11.0)), Book(), {})["a"].celsius
    assert warm is not None
    assert (warm.value, warm.u) == pytest.approx((11.0, 0.3 / 3.0**0.5))
    assert makings(params(), pressed(a=portion(celsius=11.0)), Book(), {})["a"].celsius is None


def test_a_load_of_a_sampled_variety_is_judged_by_it() -> None:
    """One load's oven sample sharpens what is said of the next load of the same kind, in the next shift too."""
    first = book(Load("a", "Long Acre", 4000.0, (Variety("Acre Russet", 1.0),), dry_matter_pct=18.0))
    after = learned_anchors(params(), pressed(a=portion()), first, {})
    second = book(Load("b", "Long Acre", 4000.0, (Variety("Acre Russet", 1.0),)))
    told = makings(params(), pressed(b=portion()), second, after)["b"].solids
    untold = makings(params(), pressed(b=portion()), second, {})["b"].solids
    assert untold.value < told.value < 0.18
    assert told.u < untold.u


def test_a_sample_of_pomace_anchors_its_load() -> None:
    """Wetter pomace after the same juice means less dry matter in the fruit."""
    line = params(REFRACTOMETER)

    def solids_with(pct: float) -> float:
        written = book(load("a"))
        written.write(0.0, Sample("pomace", dry_matter_pct=pct))
        return makings(line, pressed(a=portion(brix=12.0)), written, {})["a"].solids.value

    assert solids_with(22.0) < solids_with(28.0)


def test_together_sugar_goes_by_juice_and_dry_matter_by_fruit() -> None:
    """Two loads, the second with three times the fruit and juice: 12 and 14 °Bx are 13.5, 15 and 17 % are 16.5 %."""
    small, large = portion(), Portion(3000.0, 3000.0, 2.1)
    written = book(load("a", brix=12.0, dry_matter_pct=15.0), load("b", brix=14.0, dry_matter_pct=17.0))
    shift = pressed(a=small, b=large)
    whole = together(shift.portions, makings(params(), shift, written, {}))
    assert whole.sugar.value == pytest.approx(13.5)
    assert whole.solids.value == pytest.approx(0.165)
    assert whole.sugar_known


def test_before_any_fruit_the_makings_are_a_guess() -> None:
    """An empty shift has the usual range, and says that it knows nothing."""
    whole = together({}, {})
    assert not whole.sugar_known
    assert whole.celsius is None
    assert whole.solids.u > 0.01


def test_the_settings_figure_stands_in_for_a_sample() -> None:
    """A site that knows its fruit may say so."""
    line = msgspec.structs.replace(params(), fruit_dry_matter=0.17)
    assert makings(line, pressed(a=portion()), book(load("a")), {})["a"].solids.value == 0.17
