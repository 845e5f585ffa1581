"""What deserves an alarm: gates, limits, delays, and the words that are said."""

import re

import pytest

from tumpline.pressing.watches import NAMES, Baseline, Feed, FruitWatch, JuiceWatch, Look, MillWatch, Verdict, lost

RATED = 1.1  # kg/s
USUAL = 0.0007  # m³/kg
UNSAFE = re.compile(r"\bsafe(ly)?\b|\bunblock|\bclear (it|the)\b", re.IGNORECASE)

NORMAL = Look(at=0.0, fruit=1.0, current=18.0, current_peak=18.0, water=0.02, left=5000.0, net=9800.0, load_on=0.0)
BLOCKED = NORMAL._replace(fruit=0.0, current=42.0, current_peak=42.0)
IDLE = NORMAL._replace(fruit=0.0, current=7.0, current_peak=7.0)
TRIPPED = NORMAL._replace(fruit=0.0, current=0.0, current_peak=0.0)
UNMETERED = NORMAL._replace(current=None, current_peak=None)
RUN_OUT = IDLE._replace(left=20.0)


def watch(*spells: tuple[Look, int]) -> tuple[Verdict, Verdict]:
    """What mill and fruit watch say at the end of so many seconds of each look, after a minute of normal running."""
    feed, mill, fruit = Feed(), MillWatch(), FruitWatch()
    normal = UNMETERED if spells[0][0].current is None else NORMAL
    now, verdicts = 0.0, (Verdict(False), Verdict(False))
    for look, seconds in ((normal, 60), *spells):
        for _ in range(seconds):
            now += 1.0
            at = look._replace(at=now)
            feed.step(at, RATED)
            blocked = mill.step(at, feed, RATED)
            verdicts = blocked, fruit.step(at, feed, blocked=blocked.active)
    return verdicts


CASES = [
    ("running", [(NORMAL, 60)], "", ""),
    ("current high", [(BLOCKED, 4)], "current was high", ""),
    ("current high, then gone", [(BLOCKED, 2), (TRIPPED, 30)], "current was high", ""),
    ("current gone while water runs", [(TRIPPED, 10)], "tripped", ""),
    ("current gone with the water", [(TRIPPED._replace(water=0.0), 30)], "", ""),
    ("no current meter", [(UNMETERED._replace(fruit=0.0), 10)], "less sure", ""),
    ("no current meter, load run out", [(UNMETERED._replace(fruit=0.0, left=10.0), 60)], "", ""),
    ("no current meter, no water", [(UNMETERED._replace(fruit=0.0, water=0.0), 10)], "", ""),
    ("idle with fruit to come", [(IDLE, 25)], "", "runs idle"),
    ("idle with fruit to come, too soon to say", [(IDLE, 10)], "", ""),
    ("idle and the water low", [(IDLE._replace(water=0.004), 25)], "", "water is low"),
    ("idle without a load known", [(IDLE._replace(left=None, net=None), 60)], "", ""),
    ("load run out", [(RUN_OUT, 600)], "", ""),
    ("fruit meter silent", [(NORMAL._replace(fruit=None), 60)], "", ""),
    ("back to normal after a blockage", [(BLOCKED, 30), (NORMAL, 10)], "", ""),
    ("a flicker of fruit does not end a blockage", [(BLOCKED, 30), (NORMAL, 2), (BLOCKED, 1)], "current was high", ""),
]


@pytest.mark.parametrize(("spells", "mill", "fruit"), [c[1:] for c in CASES], ids=[c[0] for c in CASES])
def test_mill_and_fruit_watches_say_the_right_thing(spells: list[tuple[Look, int]], mill: str, fruit: str) -> None:
    """Each situation is blocked, starved or neither, never both, and the sentence says from what it is told."""
    blocked, starved = watch(*spells)
    assert blocked.active is bool(mill)
    assert starved.active is bool(fruit)
    assert not mill or mill in blocked.cause
    assert not fruit or fruit in starved.cause


@pytest.mark.parametrize("spells", [c[1] for c in CASES], ids=[c[0] for c in CASES])
def test_no_sentence_calls_anything_safe_or_sends_people_into_a_machine(spells: list[tuple[Look, int]]) -> None:
    """What is said is what was seen, and what it may mean."""
    for verdict in watch(*spells):
        assert not UNSAFE.search(verdict.cause)
        assert not verdict.cause or verdict.cause.endswith(".")


def test_every_caution_names_isolation_stored_air_and_competent_people() -> None:
    """Wherever somebody may go near a machine the alarm says how that begins; nothing is ever called safe."""
    cautions = [caution for _, caution in NAMES.values() if caution is not None]
    assert NAMES["mill-blocked"][1] in cautions
    assert NAMES["fruit-starved"][1] in cautions
    for caution in cautions:
        for words in ("isolate", "lock it off", "stored air", "Competent people", "not a safety function"):
            assert words in caution
        assert not UNSAFE.search(caution)


def test_a_baseline_follows_what_is_normal_and_hardly_what_may_not_be() -> None:
    """After a minute of 20 it says 20; a few slow seconds of 40 hardly move it."""
    baseline = Baseline()
    for _ in range(60):
        baseline.learn(20.0)
    assert baseline.value == pytest.approx(20.0)
    for _ in range(10):
        baseline.learn(40.0, slowly=True)
    assert 20.0 < baseline.value < 21.0


def press(watch: JuiceWatch, shares: list[float], *, fruit: float = 5.0, pump: str = "auto") -> list[bool]:
    """Feed closed bins of juice at so much of the usual yield; whether the watch was active after each."""
    aligned: list[float] = []
    juice: list[float] = []
    active = []
    for share in shares:
        aligned.append(fruit)
        juice.append(fruit * USUAL * share)
        watch.close_bin(aligned, aligned, juice, expected=USUAL, rated_bin=5.5, pump=pump)
        active.append(watch.active)
    return active


def test_juice_a_third_low_is_active_and_ten_per_cent_low_is_not() -> None:
    """The limit is 80 % of what this fruit gave before."""
    assert not any(press(JuiceWatch(), [1.0] * 40 + [0.9] * 60))
    watch = JuiceWatch()
    active = press(watch, [1.0] * 120 + [0.65] * 20)
    assert active[-1]
    verdict = watch.verdict(pressing=True)
    assert (verdict.limit, verdict.unit) == (80.0, "%")
    assert verdict.value == pytest.approx(65.0, abs=2.0)
    assert "Juice is at" in verdict.cause
    assert not UNSAFE.search(verdict.cause)


def test_juice_is_not_missed_from_a_line_that_does_not_press() -> None:
    """Without fruit there is no juice to miss: the alarm ends."""
    watch = JuiceWatch()
    press(watch, [1.0] * 40 + [0.5] * 20)
    assert watch.active
    assert not watch.verdict(pressing=False).active


def test_juice_that_comes_in_bursts_is_judged_over_minutes() -> None:
    """A sump emptied by a float switch: six empty bins and three full ones, again and again, raise nothing."""
    assert not any(press(JuiceWatch(), ([0.0] * 6 + [3.0] * 3) * 20)[60:])


def test_a_pump_known_to_run_steadily_is_missed_at_once() -> None:
    """The same bursts from a pump that the settings call steady are juice that stays away."""
    assert any(press(JuiceWatch(), ([0.0] * 6 + [3.0] * 3) * 20, pump="steady")[60:])


def test_too_little_fruit_is_no_ground_to_miss_juice() -> None:
    """At a fifth of the rated throughput the watch says nothing."""
    watch = JuiceWatch()
    assert not any(press(watch, [0.2] * 80, fruit=1.0))
    assert watch.verdict(pressing=True).cause == ""


def test_lost_signals_are_listed_by_name() -> None:
    """One or several, in one sentence; none is no alarm."""
    assert not lost([]).active
    assert "juice/flow has not been heard" in lost(["juice/flow"]).cause
    both = lost(["juice/flow", "flume/flow"])
    assert "juice/flow, flume/flow have not been heard" in both.cause
    assert both.value == 2.0
