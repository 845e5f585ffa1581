"""All watches of a line, and the words they use."""

import re

import pytest

from bins import Press
from looks import BLOCKED, IDLE, LINE, NORMAL, UNMETERED, Spell, seconds, thinning
from tumpline.pressing.residence import BIN
from tumpline.pressing.watches import NAMES, NEAR_A_VAT, Verdict
from tumpline.pressing.watches.room import Room
from tumpline.pressing.watches.together import Watches

UNSAFE = re.compile(r"\bsafe(ly)?\b|\bunblock|\bclear (it|the)\b|\breach in\b", re.IGNORECASE)


def told(*spells: Spell, rooms: tuple[Room, Room] = (Room(), Room()), warm: int = 400) -> dict[str, Verdict]:
    """Every alarm that was raised in the spells, as it was last said; after `warm` seconds of the usual."""
    watches, press, found = Watches(), Press(), {}
    for look in seconds(*spells, warm=warm):
        verdicts = list(zip(("mill-blocked", "fruit-starved"), watches.feed_second(look, LINE), strict=True))
        for name, verdict in [*verdicts, *watches.second(look, LINE).items()]:
            assert name in NAMES
            if verdict.active:
                found[name] = verdict
        if look.at % 5.0 == 0.0:
            fruit = look.fruit or 0.0
            share = (look.juice or 0.0) / (7e-4 * fruit) if fruit else 0.0
            (bins,) = press.run(1, share=share, fruit=BIN * fruit)
            watches.bin_closed(bins, LINE, rooms=rooms)
    return found


WRONG = {
    "mill-blocked": [(BLOCKED, 20)],
    "fruit-starved": [(IDLE, 40)],
    "hard-object": [(NORMAL._replace(current_peak=50.0), 1), (NORMAL, 10)],
    "flume-low": [(NORMAL._replace(water=0.01), 20)],
    "juice-low": [(NORMAL, 600), (NORMAL._replace(juice=3e-4), 90)],
    "yield-drift": [(NORMAL, 900), (NORMAL._replace(juice=6.3e-4), 1200)],
    "pressure-low": [(NORMAL._replace(pressure=3.5e5), 30)],
    "pressure-high": [(NORMAL._replace(pressure=5.5e5), 30)],
}


@pytest.mark.parametrize("name", list(WRONG))
def test_each_trouble_raises_its_own_alarm(name: str) -> None:
    """And the sentence is one that people can read aloud."""
    verdict = told(*WRONG[name])[name]
    assert verdict.cause[0].isupper()
    assert verdict.cause.endswith(".")
    assert not UNSAFE.search(verdict.cause)


def test_an_hour_of_the_usual_raises_nothing() -> None:
    """Nobody is called for a line that runs well, or that people stop."""
    assert told((NORMAL, 1800), (NORMAL._replace(fruit=0.8, juice=5.6e-4), 30)) == {}
    stopped = IDLE._replace(water=0.0, current=0.0, current_peak=0.0, juice=0.0, pressure=0.0)
    assert told((NORMAL, 300), (stopped, 900)) == {}
    assert told((UNMETERED, 60), *thinning(UNMETERED, 15), (stopped._replace(current=None), 600)) == {}


def test_a_hopper_that_bridges_behind_the_mill_is_no_blocked_mill() -> None:
    """Juice that fell, or pulp that heaped up, before the mill stopped taking fruit: what is milled gets no further."""
    full = UNMETERED._replace(fruit=0.0)
    falling = [(UNMETERED._replace(juice=7e-4 * (1.0 - 0.02 * n)), 1) for n in range(20)]
    for before in (falling, [(UNMETERED._replace(pulp=0.95), 10)]):
        found = told((UNMETERED, 900), *before, (full._replace(juice=before[-1][0].juice, pulp=before[-1][0].pulp), 30))
        assert "mill-blocked" not in found
        assert "its hopper bridges" in found["fruit-starved"].cause
    assert "mill-blocked" in told((UNMETERED, 900), (full, 30))


def test_a_hopper_that_was_still_filling_when_first_seen_does_not_hide_a_blocked_mill() -> None:
    """Its level is what it is held at while the line runs, not that of the first minute."""
    full = UNMETERED._replace(fruit=0.0)
    filling, held = UNMETERED._replace(pulp=0.1), UNMETERED._replace(pulp=0.4)
    assert "mill-blocked" in told((filling, 60), (held, 900), (full._replace(pulp=0.4), 30), warm=0)


def test_a_vat_and_a_trailer_are_told_by_their_names() -> None:
    """Each has an alarm of its own."""
    found = told((NORMAL, 200), rooms=(Room("V3", 9.5, 10.0), Room("T1", 2900.0, 3000.0)))
    assert found["vat-nearly-full"].subjects == ("V3",)
    assert found["trailer-nearly-full"].subjects == ("T1",)


def test_less_juice_is_told_with_what_else_is_seen() -> None:
    """Juice that falls with the pressure names the pressure."""
    low = NORMAL._replace(juice=3e-4, wash=4.4e5)
    assert "as when cloths blind" in told((NORMAL, 600), (low, 90))["juice-low"].cause


def test_every_caution_says_how_going_near_begins() -> None:
    """Isolation, stored air, competent people for a machine; permit and gas for a vat; nothing is ever called safe."""
    for name, (_, caution) in NAMES.items():
        assert caution is not None, name
        assert "Competent people" in caution
        assert "not a safety function" in caution
        assert not UNSAFE.search(caution)
        if caution is NEAR_A_VAT:
            assert "permit" in caution and "carbon dioxide" in caution
        else:
            assert "isolate it and lock it off" in caution and "stored air" in caution
