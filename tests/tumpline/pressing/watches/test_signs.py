"""What else the press shows when it gives less juice."""

from looks import NORMAL
from tumpline.pressing.watches.look import Look
from tumpline.pressing.watches.signs import Signs

BARE = NORMAL._replace(pressure=None, wash=None, pulp=None)


def evidence(now: Look, *, usual: Look = NORMAL, unsteady: bool = False) -> str:
    """The evidence, after ten minutes of the usual."""
    signs = Signs()
    for _ in range(600):
        signs.learn(usual)
    return signs.evidence(now, unsteady=unsteady)


def test_without_further_meters_all_that_it_may_be_is_named() -> None:
    """A leak, cloths, air, or the meter itself."""
    assert evidence(BARE, usual=BARE) == " Possible: a leak, belts blinding, low press pressure, or the juice meter."


def test_a_meter_that_reads_as_usual_rules_something_out() -> None:
    """With the usual pressure the press pressure is not to blame, and the sentence says what was looked at."""
    said = evidence(NORMAL)
    assert "As usual: press pressure, belt wash, milled fruit before the press." in said
    assert "low press pressure" not in said


def test_pulp_is_heaped_well_over_the_usual() -> None:
    """A fifth of the hopper over it; with no level, or one not seen for minutes yet, nobody knows."""
    signs = Signs()
    for _ in range(240):
        signs.learn(NORMAL)
    assert signs.heaped(NORMAL._replace(pulp=0.9)) is None
    for _ in range(240):
        signs.learn(NORMAL)
    assert [signs.heaped(NORMAL._replace(pulp=level)) for level in (0.6, 0.7, None)] == [False, True, None]


def test_a_hopper_that_fills_at_first_is_not_heaped_for_ever() -> None:
    """Its first minute nearly empty is not its usual level; where it is held from then on is."""
    signs = Signs()
    for second in range(900):
        signs.learn(NORMAL._replace(pulp=0.1 if second < 60 else 0.4))
    assert [signs.heaped(NORMAL._replace(pulp=level)) for level in (0.4, 0.5, 0.75)] == [False, False, True]


def test_each_further_meter_names_its_cause() -> None:
    """Low air, a stiff wash, a heaped hopper, an unsteady meter; several at once are all told."""
    assert "press pressure 20 % under the usual" in evidence(NORMAL._replace(pressure=3.6e5))
    assert "as when cloths blind" in evidence(NORMAL._replace(wash=4.2e5))
    assert "hopper bridges" in evidence(NORMAL._replace(pulp=0.9))
    assert "air in it" in evidence(NORMAL, unsteady=True)
    both = evidence(NORMAL._replace(pressure=3.6e5, wash=4.2e5))
    assert "under the usual, and belt wash" in both
