"""Dry matter of the fruit, sugar of the juice, dryness of the pomace."""

import pytest

from tumpline.pressing import solids
from tumpline.pressing.balance import Weighed
from tumpline.pressing.entries import Load, Sample, Variety
from tumpline.pressing.quantities import Estimate, limits, normal
from tumpline.pressing.records import Known, Unknown
from tumpline.pressing.solids import Anchor, Evidence, anchored, prior

RED = (Variety("Coppice Red", 1.0),)
FRUIT = Estimate(1000.0, (limits("accuracy of mill/throughput", 15.0),))
JUICE = Estimate(734.0, (limits("accuracy of juice/flow", 7.0),))


def known(figure: Known) -> Estimate:
    """The figure, or the reason why there is none as a failure."""
    assert not isinstance(figure, Unknown), figure.why
    return figure


def test_an_oven_sample_moves_its_variety_as_a_gaussian_update_does() -> None:
    """Prior 16.5 ± u 1.443, sample 18.0 with u √(0.3² + 0.5²): gain 0.8597, mean 17.79, u 0.541 (by hand)."""
    after = anchored({}, [Evidence(RED, 0.18, 0.003)], None)["Coppice Red"]
    assert prior(None).u == pytest.approx(0.014434, abs=1e-6)
    assert after.mean == pytest.approx(0.17790, abs=1e-5)
    assert after.u == pytest.approx(0.005406, abs=1e-5)
    assert after.samples == 1


def test_samples_may_come_in_any_order() -> None:
    """Two samples of one variety leave the same behind, whichever came first."""
    one, two = Evidence(RED, 0.17, 0.003), Evidence(RED, 0.155, 0.003)
    forth, back = (anchored({}, order, None)["Coppice Red"] for order in ([one, two], [two, one]))
    assert forth.mean == pytest.approx(back.mean)
    assert forth.u == pytest.approx(back.u)


def test_a_mixed_load_teaches_each_variety_by_its_share() -> None:
    """The half that is better known moves less."""
    mixed = (Variety("Coppice Red", 0.5), Variety("Acre Russet", 0.5))
    start = {"Coppice Red": Anchor(0.16, 0.002, 3)}
    after = anchored(start, [Evidence(mixed, 0.175, 0.003)], None)
    assert abs(after["Coppice Red"].mean - 0.16) < abs(after["Acre Russet"].mean - prior(None).mean)


def test_the_dry_matter_of_a_load_is_the_best_that_is_known() -> None:
    """Its own samples, else its variety's, else the settings', else its sugar: each less sharp than the one before."""
    anchors = {"Coppice Red": Anchor(0.17, 0.003, 2)}
    sugar = Estimate(12.0, (limits("accuracy of juice/brix", 0.1),))
    own = solids.dry_matter_of_fruit("41", RED, [(0.16, 0.003), (0.164, 0.003)], anchors, 0.168, sugar)
    kind = solids.dry_matter_of_fruit("41", RED, [], anchors, 0.168, sugar)
    site = solids.dry_matter_of_fruit("41", RED, [], {}, 0.168, sugar)
    sweet = solids.dry_matter_of_fruit("41", RED, [], {}, None, sugar)
    nothing = solids.dry_matter_of_fruit("41", RED, [], {}, None, None)
    assert [e.value for e in (own, kind, site)] == pytest.approx([0.162, 0.17, 0.168])
    assert own.u == pytest.approx(0.003 / 2.0**0.5)
    assert own.u < kind.u < sweet.u < nothing.u
    assert site.u < nothing.u


def test_samples_of_a_load_are_its_own_and_those_that_name_none() -> None:
    """Another load's sample, and a sample of juice, say nothing of this fruit."""
    taken = [
        Sample("fruit", dry_matter_pct=16.0, load="41"),
        Sample("fruit", dry_matter_pct=17.0, load="42"),
        Sample("fruit", dry_matter_pct=15.0),
        Sample("juice", brix=12.0),
    ]
    page = Load("41", "Withy Bottom", 4000.0, RED, dry_matter_pct=16.4)
    own = solids.samples_of(taken, "41", page)
    assert [value for value, _ in own] == pytest.approx([0.16, 0.15, 0.164])
    assert {u for _, u in own} == {0.003}
    assert [value for value, _ in solids.samples_of(taken, "42", None)] == pytest.approx([0.17, 0.15])


def test_juice_weighs_what_its_sugar_and_warmth_make_it_weigh() -> None:
    """A cubic metre at 12 °Bx weighs 1046.44 kg at 20 °C and 1048.58 kg at 10 °C (ICUMSA SPS-4 by own computation)."""
    sugar = Estimate(12.0, (limits("accuracy of juice/brix", 0.1),))
    for celsius, kg in ((20.0, 1046.44), (10.0, 1048.58)):
        assert known(solids.juice_mass(Estimate(1.0), sugar, Estimate(celsius))).value == pytest.approx(kg, abs=0.01)
    guessed = known(solids.juice_mass(Estimate(1.0), sugar, None))
    assert guessed.u > known(solids.juice_mass(Estimate(1.0), sugar, Estimate(12.0))).u
    assert isinstance(solids.juice_mass(Estimate(1.0), sugar, Estimate(60.0)), Unknown)


def test_juice_is_told_at_20_degrees_where_its_temperature_is_known() -> None:
    """What fills 1000 L at 10 °C fills 1002.04 L at 20 °C: 1048.58/1046.44; without a thermometer it is unknown."""
    found = known(solids.at_20(Estimate(1.0), Estimate(12.0), Estimate(10.0)))
    assert found.value == pytest.approx(1.002045, abs=1e-5)
    assert isinstance(solids.at_20(Estimate(1.0), Estimate(12.0), None), Unknown)


def test_dryness_closes_the_balance_of_dry_matter() -> None:
    """Dry matter in the fruit is dry matter in juice and pomace together (worked by hand)."""
    pomace = known(solids.pomace_by_difference(FRUIT, JUICE)).value
    assert pomace == pytest.approx(1000.0 * 1.015 - 734.0)
    found = known(solids.dryness(FRUIT, JUICE, pomace=None, solids=Estimate(0.16), sugar=Estimate(12.0)))
    dissolved = 734.0 * (0.005 + 0.995 * 0.12)
    assert pomace * found.value + dissolved == pytest.approx(160.0, rel=0.01)
    none = solids.dryness(Estimate(0.0), JUICE, pomace=None, solids=Estimate(0.16), sugar=Estimate(12.0))
    assert isinstance(none, Unknown)


def test_dryness_narrows_with_a_sample_and_with_weighed_pomace() -> None:
    """Each thing that is known besides takes away some of the doubt."""
    sugar = Estimate(12.0, (limits("accuracy of juice/brix", 0.1),))
    by_sugar = solids.dry_matter_of_fruit("41", RED, [], {}, None, sugar)
    sampled = Estimate(0.16, (normal("dry matter of load 41, sampled", 0.003),))
    plain = known(solids.dryness(FRUIT, JUICE, pomace=None, solids=by_sugar, sugar=sugar))
    sample = known(solids.dryness(FRUIT, JUICE, pomace=None, solids=sampled, sugar=sugar))
    pomace = Weighed("pomace/flow", Estimate(281.0, (limits("accuracy of pomace/flow", 2.8),)))
    weighed = known(solids.dryness(FRUIT, JUICE, pomace=pomace, solids=sampled, sugar=sugar))
    assert plain.u > sample.u > weighed.u


def test_weighed_pomace_that_contradicts_the_rest_is_left_out() -> None:
    """Meters that do not agree are not averaged."""
    fruit = Estimate(0.16, (normal("sampled", 0.003),))
    wrong = Weighed("pomace/flow", Estimate(500.0, (limits("accuracy of pomace/flow", 5.0),)))
    with_it = solids.dryness(FRUIT, JUICE, pomace=wrong, solids=fruit, sugar=Estimate(12.0))
    assert with_it == solids.dryness(FRUIT, JUICE, pomace=None, solids=fruit, sugar=Estimate(12.0))


def test_a_sample_of_pomace_says_what_the_fruit_was() -> None:
    """The balance turned round gives back the fruit that the dryness was made from."""
    dry = known(solids.dryness(FRUIT, JUICE, pomace=None, solids=Estimate(0.16), sugar=Estimate(12.0))).value
    value, u = solids.from_pomace(dry, fruit=1000.0, juice=734.0, sugar=12.0)
    assert value == pytest.approx(0.16)
    assert 0.001 < u < 0.005


def test_sugar_and_solids_of_one_fruit_are_tied() -> None:
    """What nobody measured is taken from the other; the insoluble part is what stays open."""
    fruit = Estimate(0.165, (normal("sampled", 0.003),))
    sugar = solids.sugar_from_solids("41", fruit)
    assert sugar.value == pytest.approx(13.04, abs=0.01)
    assert {t.source for t in sugar.terms} == {"sampled", "insoluble part of load 41, not sampled"}
    assert solids.usual_sugar("41").u > sugar.u
