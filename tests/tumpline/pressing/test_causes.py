"""Which alarm explains which."""

import pytest

from tumpline.pressing.alarms import Alarm, Trigger
from tumpline.pressing.causes import CAUSES, LINGERS, cause_of
from tumpline.pressing.records import Priority


def alarms(*names: str) -> dict[str, Alarm]:
    """Alarms that nobody has heard of yet."""
    return {name: Alarm(name, Priority.MEDIUM) for name in names}


@pytest.mark.parametrize("name", CAUSES)
def test_no_alarm_stands_under_itself(name: str) -> None:
    """Whatever explains what, in the end there is one alarm that asks for somebody."""
    above, seen = list(CAUSES[name]), set()
    while above:
        cause = above.pop()
        assert cause != name
        seen.add(cause)
        above += [c for c in CAUSES.get(cause, ()) if c not in seen]


@pytest.mark.parametrize("cause", ["flume-low", "mill-blocked"])
def test_a_mill_without_fruit_is_put_down_to_what_keeps_the_fruit_away(cause: str) -> None:
    """A flume without water and a blocked mill each explain that no fruit is milled."""
    all_of_them = alarms("fruit-starved", cause)
    all_of_them[cause].move(Trigger.RAISED, 100.0)
    assert cause_of(all_of_them["fruit-starved"], all_of_them, 110.0) == cause


@pytest.mark.parametrize("cause", ["pressure-low", "mill-blocked", "fruit-starved", "flume-low"])
def test_missing_juice_is_put_down_to_lost_air_and_to_missing_fruit(cause: str) -> None:
    """A press without air and a mill without fruit each explain that there is little juice."""
    all_of_them = alarms("juice-low", cause)
    assert cause_of(all_of_them["juice-low"], all_of_them, 100.0) is None
    all_of_them[cause].move(Trigger.RAISED, 100.0)
    assert cause_of(all_of_them["juice-low"], all_of_them, 110.0) == cause


def test_a_cause_that_is_over_explains_for_as_long_as_juice_takes() -> None:
    """Fruit that was missing at the mill is missing at the juice meter some minutes later, and no longer."""
    all_of_them = alarms("juice-low", "mill-blocked")
    all_of_them["mill-blocked"].move(Trigger.RAISED, 100.0)
    all_of_them["mill-blocked"].move(Trigger.CLEARED, 200.0)
    assert cause_of(all_of_them["juice-low"], all_of_them, 200.0 + LINGERS["juice-low"]) == "mill-blocked"
    assert cause_of(all_of_them["juice-low"], all_of_them, 201.0 + LINGERS["juice-low"]) is None


@pytest.mark.parametrize("aside", [Trigger.SHELVED, Trigger.TAKEN_OUT])
def test_a_cause_that_asks_for_nobody_hides_nothing(aside: Trigger) -> None:
    """When people have set the cause aside, its consequence asks for somebody itself."""
    all_of_them = alarms("juice-low", "mill-blocked")
    all_of_them["mill-blocked"].move(Trigger.RAISED, 100.0)
    all_of_them["mill-blocked"].move(aside, 110.0)
    assert cause_of(all_of_them["juice-low"], all_of_them, 120.0) is None


@pytest.mark.parametrize("name", ["hard-object", "mill-blocked", "pressure-low", "pressure-high", "vat-nearly-full"])
def test_what_may_hurt_somebody_is_never_put_under_another_alarm(name: str) -> None:
    """A cause asks for somebody whatever else goes wrong."""
    assert name not in CAUSES
