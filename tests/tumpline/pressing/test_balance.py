"""The meters held against each other: what is said when they agree, when they do not, and when nothing can be said."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing.balance import Weighed, line_balance
from tumpline.pressing.quantities import Estimate, limits, normal
from tumpline.pressing.records import Balance, Known, Unknown

WATER = Estimate(150.0, (normal("water on the fruit", 45.0),))

TRUE = {"fruit": 10_000.0, "juice": 7545.0, "pomace": 2605.0, "vat": 7545.0, "trailer": 2605.0, "loads": 10_000.0}
ACCURACY = {"fruit": 0.01, "juice": 0.005, "pomace": 0.02, "vat": 0.005, "trailer": 0.01, "loads": 0.003}
SIGNALS = {
    "fruit": "mill/throughput",
    "juice": "juice/flow",
    "pomace": "pomace/flow",
    "vat": "vat/V3/volume",
    "trailer": "pomace/trailer",
    "loads": None,
}


def balance(
    *besides: str, wrong: dict[str, float] | None = None, water: Estimate = WATER, size: float = 1.0
) -> Balance:
    """The balance of a true line by fruit and juice meter and some besides, some of them wrong by a factor."""
    weighed = {}
    for key in ("fruit", "juice", *besides):
        mass = size * TRUE[key] * (wrong or {}).get(key, 1.0)
        weighed[key] = Weighed(SIGNALS[key], Estimate(mass, (limits(f"accuracy of {key}", ACCURACY[key] * mass),)))
    return line_balance(water=water.scaled(size), **weighed)


def known(value: Known) -> Estimate:
    """The estimate, where there should be one."""
    assert isinstance(value, Estimate)
    return value


def test_fruit_and_juice_alone_check_nothing() -> None:
    """No residual, no test, no verdict; pomace is what the juice leaves over, and the advice says what to weigh."""
    found = balance()
    assert found.residual == Unknown("nothing weighs the pomace")
    assert (found.statistic, found.limit, found.suspect, found.isolable) == (None, None, None, False)
    assert known(found.reconciled["pomace_kg"]).value == pytest.approx(2605.0)
    assert found.advice is not None
    assert "dip of the vat" in found.advice
    assert "trailer weighed" in found.advice


def test_meters_that_agree_are_reconciled() -> None:
    """Masses then balance, each better known than by its own meter, and nothing is suspected."""
    found = balance("pomace", wrong={"juice": 1.004, "pomace": 0.99})
    fruit, water, juice, pomace = (
        known(found.reconciled[f"{key}_kg"]) for key in ("fruit", "water", "juice", "pomace")
    )
    assert found.statistic is not None
    assert found.limit is not None
    assert found.limit == pytest.approx(3.841)
    assert found.statistic < found.limit
    assert fruit.value + water.value == pytest.approx(juice.value + pomace.value)
    assert pomace.u < 2605.0 * 0.02 / 3**0.5
    assert found.suspect is None


def test_three_meters_cannot_tell_which_is_wrong() -> None:
    """With fruit, juice and pomace alone nobody is accused, whichever is wrong, and a vat dip is advised."""
    for wrong in ("fruit", "juice", "pomace"):
        found = balance("pomace", wrong={wrong: 1.15})
        assert found.statistic is not None
        assert found.limit is not None
        assert found.statistic > found.limit
        assert found.suspect is None
        assert not found.isolable
        assert found.advice is not None
        assert "the juice meter or the pomace meter" in found.advice
        assert "dip of the vat" in found.advice


def test_disagreement_that_cannot_be_settled_gives_no_reconciled_mass() -> None:
    """A compromise between meters of which one is wrong would be a guess; the residual is still stated."""
    found = balance("pomace", wrong={"juice": 1.06})
    assert all(isinstance(mass, Unknown) for mass in found.reconciled.values())
    assert known(found.residual).value == pytest.approx(-0.06 * 7545.0)


@pytest.mark.parametrize("factor", [0.94, 1.06])
def test_a_vat_dip_finds_a_wrong_juice_meter(factor: float) -> None:
    """The meter is named, how far it is off is said, and the masses are what the others bear out."""
    found = balance("pomace", "vat", wrong={"juice": factor})
    assert found.suspect == "juice/flow"
    assert found.isolable
    assert known(found.reconciled["juice_kg"]).value == pytest.approx(7545.0, abs=1.0)
    more = "more" if factor > 1.0 else "less"
    assert found.advice == f"The juice meter says about 453 kg (6.0 %) {more} than the rest bears out."


def test_a_wrong_vat_level_is_found() -> None:
    """Where juice agrees with fruit and pomace, it is the vat that is wrong."""
    assert balance("pomace", "vat", wrong={"vat": 1.06}).suspect == "vat/V3/volume"


def test_a_vat_dip_leaves_fruit_and_pomace_alike() -> None:
    """With the juice confirmed, a fault lies at the fruit or at the pomace, and juice is known all the same."""
    found = balance("pomace", "vat", wrong={"pomace": 0.8})
    assert found.suspect is None
    assert not found.isolable
    assert known(found.reconciled["juice_kg"]).value == pytest.approx(7545.0, abs=1.0)
    assert isinstance(found.reconciled["pomace_kg"], Unknown)
    assert found.advice is not None
    assert "trailer weighed" in found.advice
    assert "dip of the vat" not in found.advice


@pytest.mark.parametrize("wrong", ["fruit", "juice", "pomace", "vat", "trailer"])
def test_with_everything_weighed_twice_any_meter_is_found(wrong: str) -> None:
    """Vat, trailer and weighed loads together isolate a fault of each meter."""
    found = balance("pomace", "vat", "trailer", "loads", wrong={wrong: 1.08})
    assert found.suspect == SIGNALS[wrong]
    assert found.isolable


def test_too_much_water_is_not_blamed_on_a_meter() -> None:
    """With all meters confirmed, it is the water carried in that differs from what was assumed."""
    found = balance("pomace", "vat", "trailer", "loads", water=Estimate(900.0, WATER.terms))
    assert found.suspect is None
    assert found.advice is not None
    assert found.advice.startswith("The figure for water coming in on the fruit says about 750 kg")


def test_two_wrong_meters_are_not_turned_into_one() -> None:
    """Where no single error explains what is seen, none is named and no mass is given."""
    found = balance("pomace", "vat", "trailer", "loads", wrong={"fruit": 1.08, "trailer": 0.8})
    assert found.suspect is None
    assert not found.isolable
    assert all(isinstance(mass, Unknown) for mass in found.reconciled.values())
    assert found.advice is not None
    assert found.advice.startswith("More than one of the meters is wrong.")


def test_the_trailer_stands_in_for_a_pomace_meter() -> None:
    """Where only the trailer is weighed, the balance is closed by it."""
    found = balance("trailer")
    assert known(found.residual).value == pytest.approx(0.0, abs=1e-9)
    assert found.reconciled["pomace_kg"] == found.reconciled["trailer_kg"]
    assert found.advice is not None
    assert "trailer weighed" not in found.advice


def test_juice_against_the_vat_without_any_pomace() -> None:
    """Juice and vat check each other; pomace stays what is left over, or unknown while they disagree."""
    agreeing, disagreeing = balance("vat"), balance("vat", wrong={"vat": 1.05})
    assert known(agreeing.reconciled["pomace_kg"]).value == pytest.approx(2605.0)
    assert isinstance(disagreeing.reconciled["pomace_kg"], Unknown)
    assert known(disagreeing.reconciled["fruit_kg"]).value == pytest.approx(10_000.0)
    assert disagreeing.advice is not None
    assert disagreeing.advice.startswith("Either the juice meter or the level of the vat is wrong")


def test_a_shared_density_is_no_excuse_for_the_vat() -> None:
    """Juice and vat are both weighed by one density: its doubt cancels between them, so 3 % still shows."""
    density = limits("density of the juice", 300.0)
    found = line_balance(
        fruit=Weighed("mill/throughput", Estimate(10_000.0, (limits("mill", 100.0),))),
        water=WATER,
        juice=Weighed("juice/flow", Estimate(7545.0, (limits("juice meter", 38.0), density))),
        vat=Weighed("vat/V3/volume", Estimate(7545.0 * 1.03, (limits("vat level", 38.0), density))),
    )
    assert found.statistic is not None
    assert found.limit is not None
    assert found.statistic > found.limit


def test_without_accuracies_nobody_can_say() -> None:
    """Meters of which nobody said how good they are give a residual, and the advice to say it."""
    exact = {key: Weighed(SIGNALS[key], Estimate(TRUE[key])) for key in ("fruit", "juice", "pomace")}
    found = line_balance(water=Estimate(150.0), **exact)
    assert known(found.residual).value == pytest.approx(0.0, abs=1e-9)
    assert found.statistic is None
    assert found.advice is not None
    assert "accuracy" in found.advice


@given(st.floats(0.85, 1.15), st.floats(0.85, 1.15), st.floats(1e-3, 10.0))
def test_the_size_of_the_stretch_does_not_change_the_verdict(juice: float, pomace: float, size: float) -> None:
    """A quarter of an hour or a shift: the same errors give the same statistic and blame the same meter."""
    wrong = {"juice": juice, "pomace": pomace}
    found, resized = balance("pomace", "vat", wrong=wrong), balance("pomace", "vat", wrong=wrong, size=size)
    assert resized.statistic == pytest.approx(found.statistic, rel=1e-6, abs=1e-9)
    assert resized.suspect == found.suspect
