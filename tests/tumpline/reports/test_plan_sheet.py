"""What is left of a season, on paper."""

from seasons import season
from tumpline.pressing.plan import Ahead, plan
from tumpline.pressing.records import Unknown
from tumpline.reports.plan_sheet import plan_sheet
from tumpline.reports.sheet import Site
from tumpline.wire.plan_documents import plan_document, pressed_of

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London")


def page(shifts: int) -> str:
    """The sheet after so many shifts."""
    ahead = Ahead(to_come=40_000.0, days=8, waiting=6_000.0, room=Unknown("no dip was taken"), shift_time=25_200.0)
    found = plan(ahead, pressed_of(season(shifts)["loads"]))
    assert not isinstance(found, Unknown)
    return plan_sheet(plan_document(ahead, found), SITE)


def test_it_says_what_is_to_come_and_what_that_gives() -> None:
    """Fruit, days, juice at the rate so far, and at which rate there would be most."""
    sheet = page(10)
    for expected in ("40 t in 8 days", "in the yard: 6.0 t", "At 4.00 t/h, as so far", "Most juice at", "3.80"):
        assert expected in sheet


def test_its_assumptions_stand_on_it() -> None:
    """Nobody takes a calculation for a promise."""
    sheet = page(10)
    assert "What this rests on" in sheet and "Only rates this line has pressed at count: 3.80 to 4.20 t/h." in sheet


def test_what_is_not_known_is_said() -> None:
    """Room that nobody measured, and an effect of the rate from too few loads, are reasons."""
    sheet = page(2)
    assert "no dip was taken" in sheet
    assert "What the rate does to the yield is not known" in sheet
