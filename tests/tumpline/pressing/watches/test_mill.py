"""The mill: blocked, tripped, stopped by people, and hard objects that went through it."""

import pytest

from looks import BLOCKED, IDLE, LINE, NORMAL, TRIPPED, UNMETERED, Spell, feed_after, seconds, thinning
from tumpline.pressing.watches.feed import Feed
from tumpline.pressing.watches.look import Look
from tumpline.pressing.watches.mill import MillWatch, StoneWatch
from tumpline.pressing.watches.verdict import Verdict

STONE = NORMAL._replace(current_peak=45.0)
UNHEARD, GONE = BLOCKED._replace(fruit=None), TRIPPED._replace(fruit=None)
EMPTY = UNMETERED._replace(fruit=0.0)
DENSE = NORMAL._replace(fruit=1.5, current=25.0, current_peak=25.0)
THIN = UNMETERED._replace(fruit=0.7)
UNNAMED = UNMETERED._replace(left=None, net=None)
UNNAMED_EMPTY = UNNAMED._replace(fruit=0.0)


def mill(*spells: Spell) -> tuple[Verdict, float | None]:
    """What the mill's watch says at the end of the spells, and how many seconds after the usual it first said it."""
    watch, said = MillWatch(), [Verdict(False)]
    first: list[float] = []

    def see(look: Look, feed: Feed) -> None:
        said[0] = watch.step(look, feed, LINE.watches["mill-blocked"])
        if said[0].active and not first:
            first.append(look.at - 400.0)

    feed_after(*spells, see=see)
    return said[0], first[0] if first else None


CASES = [
    ("running", [(NORMAL, 60)], ""),
    ("current high", [(BLOCKED, 4)], "current was high"),
    ("current high, then gone", [(BLOCKED, 2), (TRIPPED, 30)], "current was high"),
    ("current beyond its meter", [(IDLE._replace(current=None, current_peak=float("inf")), 4)], "current was high"),
    ("current gone while water runs", [(TRIPPED, 10)], "tripped"),
    ("current gone with the water", [(TRIPPED._replace(water=0.0), 30)], ""),
    ("switched off after it turned empty", [(IDLE, 8), (TRIPPED, 30)], ""),
    ("no current meter", [(EMPTY, 10)], "less sure"),
    ("no current meter, load run out", [(EMPTY._replace(left=10.0), 60)], ""),
    ("no current meter, no load known", [*thinning(UNNAMED, 3), (UNNAMED_EMPTY, 10)], "names no load"),
    ("no current meter, no load known, cut off", [(UNNAMED_EMPTY, 60)], ""),
    ("no current meter, no load known, a mean over the cut", [*thinning(UNNAMED, 2), (UNNAMED_EMPTY, 60)], ""),
    ("no current meter, fruit was thinner already", [(THIN, 20), *thinning(THIN, 3), (EMPTY, 10)], "less sure"),
    ("no current meter, no water", [(EMPTY._replace(water=0.0), 10)], ""),
    ("no current meter, a tenth still goes in", [(EMPTY._replace(fruit=0.15), 30)], ""),
    ("no current meter, fruit thins out", [*thinning(UNMETERED, 10), (EMPTY, 30)], ""),
    ("no current meter, stopped and begun again", [(EMPTY._replace(water=0.0), 30), (EMPTY, 20)], ""),
    ("more fruit drew more current just before", [(DENSE, 5), (IDLE, 30)], ""),
    ("idle with fruit to come", [(IDLE, 60)], ""),
    ("emergency stop", [(BLOCKED._replace(emergency_stop=True), 30)], ""),
    ("fruit meter silent, current high and gone", [(UNHEARD, 4), (GONE, 2)], "is not heard"),
    ("fruit meter silent, current gone", [(GONE, 20)], ""),
    ("fruit meter silent", [(NORMAL._replace(fruit=None), 60)], ""),
    ("back to normal", [(BLOCKED, 30), (NORMAL, 10)], ""),
    ("a flicker of fruit does not end it", [(BLOCKED, 30), (NORMAL, 2), (BLOCKED, 1)], "current was high"),
]


@pytest.mark.parametrize(("spells", "cause"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_a_blocked_mill_is_told_from_all_that_looks_like_it(spells: list[Spell], cause: str) -> None:
    """The sentence says from what it is told, and without a current meter that it is less sure."""
    verdict, _ = mill(*spells)
    assert verdict.active is bool(cause)
    assert cause in verdict.cause


def test_the_current_makes_it_quick_and_without_it_the_delay_is_the_settings() -> None:
    """At once with a current meter, five seconds without."""
    assert mill((BLOCKED, 10))[1] == pytest.approx(1.0, abs=0.5)
    assert mill((EMPTY, 10))[1] == pytest.approx(5.0, abs=1.0)


def test_people_who_bring_a_line_up_may_stop_it_to_look() -> None:
    """An elevator that stands at once in the first minutes is not a blocked mill before it has stood for long."""
    start_up = ((EMPTY, 3700), (UNMETERED, 90), (EMPTY, 40))
    assert not mill(*start_up)[0].active
    assert mill(*start_up, (EMPTY, 18))[0].active


def stone(*spells: Spell) -> Verdict:
    """What the watch for hard objects says at the end of the spells."""
    watch, feed, verdict = StoneWatch(), Feed(), Verdict(False)
    for look in seconds(*spells):
        feed.step(look, LINE)
        verdict = watch.step(look, feed, LINE.watches["hard-object"])
    return verdict


def test_a_spike_with_nothing_after_it_is_a_hard_object() -> None:
    """It is told three seconds later, with how high it was, for a minute."""
    assert not stone((STONE, 1), (NORMAL, 2)).active
    verdict = stone((STONE, 1), (NORMAL, 4))
    assert verdict.active
    assert verdict.value == pytest.approx(250.0)
    assert "2.5 times the usual" in verdict.cause
    assert not stone((STONE, 1), (NORMAL, 70)).active


def test_a_spike_beyond_the_meter_is_one_too() -> None:
    """How high it was nobody knows, and nobody says."""
    verdict = stone((NORMAL._replace(current_peak=float("inf")), 1), (NORMAL, 4))
    assert verdict.active
    assert verdict.value is None
    assert "left its meter's range" in verdict.cause


@pytest.mark.parametrize(
    "spells",
    [
        [(BLOCKED, 10)],
        [(STONE, 1), (IDLE, 10)],
        [(NORMAL._replace(current=24.0, current_peak=24.0), 60)],
        [(NORMAL._replace(current=40.0, current_peak=40.0), 20)],
        [(IDLE, 5), (IDLE._replace(current_peak=60.0), 1), (IDLE, 10)],
        [(UNMETERED, 30)],
    ],
    ids=["a plug", "fruit stops after it", "hard fruit", "a current that stays", "without fruit", "no meter"],
)
def test_what_is_no_hard_object(spells: list[Spell]) -> None:
    """A plug, hard fruit, and a motor that starts are something else."""
    assert not stone(*spells).active
