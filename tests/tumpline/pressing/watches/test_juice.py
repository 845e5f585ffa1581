"""Juice against the fruit it comes from."""

from collections.abc import Iterable

import pytest

from bins import FED, USUAL, Press
from looks import LINE, NORMAL
from tumpline.pressing.ledger import PumpMark
from tumpline.pressing.residence import BIN
from tumpline.pressing.watches.bins import Bins
from tumpline.pressing.watches.juice import JuiceWatch

LIMITS = LINE.watches["juice-low"]


def hold(watch: JuiceWatch, bins: Iterable[Bins], *, runs: bool = True) -> list[int]:
    """Let a watch see bins and the seconds in them; seconds after which the alarm was active."""
    active, second = [], 0
    for one in bins:
        watch.close_bin(one, LINE, runs=runs, normal=True)
        for _ in range(int(BIN)):
            second += 1
            watch.second(NORMAL._replace(at=one.ledger.end + second % 5, juice=one.juice[-1] / BIN), LIMITS, runs=runs)
            if watch.held.active:
                active.append(second)
    return active


def test_juice_a_third_low_is_told_within_half_a_minute_and_ten_per_cent_is_not() -> None:
    """The limit is 80 % of what this fruit gave before."""
    press, watch = Press(), JuiceWatch()
    assert hold(watch, press.run(120)) == []
    assert hold(watch, press.run(60, share=0.9)) == []
    low = hold(watch, press.run(20, share=0.6))
    assert low
    assert low[0] < 30
    verdict = watch.verdict(LIMITS, " Possible: a leak.")
    assert (verdict.limit, verdict.unit) == (80.0, "%")
    assert verdict.value == pytest.approx(60.0 / 0.93, abs=5.0)
    assert verdict.cause.endswith("of what this fruit gave before. Possible: a leak.")


def test_a_sixth_that_is_lost_at_once_is_told_and_one_lost_over_minutes_is_not() -> None:
    """Where fruit comes evenly and is not new, less of a loss is told if it came from one moment to the next."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    low = hold(watch, press.run(20, share=0.83))
    assert low
    assert low[0] < 45
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    for step in range(34):
        assert hold(watch, press.run(2, share=1.0 - 0.005 * step)) == []


def test_a_thick_layer_is_not_held_against_a_thin_one() -> None:
    """Half the fruit gave a fifth more of it for a quarter of an hour; twice as much gives what it always did."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(60))
    assert hold(watch, press.run(180, share=1.2, fruit=0.5 * FED)) == []
    assert hold(watch, press.run(60)) == []


def test_juice_that_follows_its_fruit_badly_has_to_be_lower_to_be_low() -> None:
    """Where too much and too little of it take turns all the time, a fifth too little is nothing new."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(60))
    for _ in range(12):
        hold(watch, press.run(5, share=1.2))
        hold(watch, press.run(5, share=0.8))
    hold(watch, press.run(12))
    assert hold(watch, press.run(5, share=0.75)) == []
    assert hold(watch, press.run(12, share=0.2))


def test_a_press_that_fills_is_judged_by_when_its_juice_was_seen_to_rise() -> None:
    """Juice that came when it was thought to and then falls short is told while the press still fills."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    hold(watch, press.run(20, fruit=0.0), runs=False)
    low = []
    for n in range(16):
        low += hold(watch, press.run(1, fruit=FED * min(n / 12.0, 1.0), share=1.0 if n < 8 else 0.65))
    assert low


def test_a_trace_of_the_load_before_does_not_make_fruit_new_again() -> None:
    """The load that most of the juice is of has to change."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    mixed = [bins._replace(owner={"41": 0.9 + n * 1e-4, "42": 0.1 - n * 1e-4}) for n, bins in enumerate(press.run(60))]
    hold(watch, mixed)
    assert watch.new == 0


def test_a_loss_that_lasts_does_not_become_the_usual() -> None:
    """Half an hour later the alarm stands."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    assert hold(watch, press.run(360, share=0.7))[-1] == 1800


def test_juice_is_not_missed_from_a_line_that_gets_no_fruit() -> None:
    """Without fruit there is no juice to miss: the alarm ends, and none is raised."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    assert hold(watch, press.run(20, share=0.6))
    assert hold(watch, press.run(20, share=0.6), runs=False) == []


def test_a_gap_in_the_fruit_and_the_press_filling_after_it_are_no_loss() -> None:
    """Juice that comes forty seconds later than it is thought to is not missed."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    gap, back = list(press.run(20, fruit=0.0)), list(press.run(8, share=0.0))
    assert hold(watch, gap) == []
    assert hold(watch, back) == []
    assert hold(watch, press.run(60)) == []


def test_where_the_residence_time_is_not_known_yet_juice_may_come_at_any_time() -> None:
    """A dip in the fruit minutes ago may be what shows now; without one a loss is still told."""
    press, watch = Press(u_mean=35.0), JuiceWatch()
    hold(watch, press.run(120))
    assert hold(watch, [*press.run(6, fruit=0.2 * FED), *press.run(20, share=0.5)]) == []
    assert hold(watch, press.run(60, share=0.5))


def test_other_fruit_may_give_less_and_is_learned_anew() -> None:
    """A fifth less from the next load is its own yield, and soon the usual; the sentence names the load before."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    assert hold(watch, press.run(120, share=0.75, owner="42")) == []
    assert watch.usual == pytest.approx(0.75 * USUAL, rel=0.02)
    hold(watch, press.run(6, owner="43"))
    hold(watch, press.run(20, share=0.4, owner="43"))
    assert "the fruit before this load" in watch.verdict(LIMITS, "").cause


def test_a_sudden_loss_is_told_of_fruit_that_gives_more_than_usual() -> None:
    """Juice that falls by a third within seconds is low, though it is no less than the fruit before this load gave."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    assert hold(watch, press.run(24, share=1.2, owner="42")) == []
    low = hold(watch, press.run(12, share=0.8, owner="42"))
    assert low
    assert low[0] < 40


def test_a_slow_fall_is_not_a_sudden_one() -> None:
    """Fruit of two loads mixes over minutes."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120, share=1.2))
    for step in range(20):
        assert hold(watch, press.run(3, share=1.2 - 0.015 * step)) == []


def test_an_alarm_ends_with_the_fruit_and_does_not_come_again() -> None:
    """A loss that was told is not told once more in the seconds in which the mill runs out."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    assert hold(watch, press.run(20, share=0.6))
    assert hold(watch, press.run(1, share=0.6), runs=False) == []
    assert hold(watch, press.run(1, share=0.6)) == []


def test_of_fruit_that_nobody_knows_an_alarm_ends_at_its_limit() -> None:
    """A load that gives less than the one before it does not keep the alarm of a leak that is mended."""
    press, watch = Press(), JuiceWatch()
    hold(watch, press.run(120))
    assert hold(watch, press.run(20, share=0.5, owner="42"))
    assert hold(watch, press.run(60, share=0.85, owner="42"))[-1] < 60


def test_juice_in_bursts_is_judged_by_its_pump() -> None:
    """Bins of nothing between full ones raise nothing; a pump that starts too late does."""
    press, watch = Press(pumped=True), JuiceWatch()
    assert hold(watch, press.run(240)) == []
    low = hold(watch, press.run(60, share=0.6))
    assert low
    assert low[0] <= 100


def test_a_pump_that_runs_for_minutes_is_still_the_pump_of_a_sump() -> None:
    """Where juice is known to be pumped in bursts, a stop that was not heard is no juice that fails to come."""
    press, watch = Press(pumped=True), JuiceWatch()
    assert hold(watch, press.run(240)) == []
    bins = list(press.run(1))[-1]
    bins.ledger.marks.append(PumpMark(len(bins.aligned) - 40.0, 1.0, True))
    assert hold(watch, [bins._replace(aligned=[*bins.aligned])] * 4) == []
    assert watch.pumped


@pytest.mark.parametrize("on", [True, False])
def test_half_a_burst_that_was_heard_may_be_a_sump_all_the_same(on: bool) -> None:
    """Where only the pump's start or only its stop was heard, no juice in the first minutes is no loss yet."""
    press, watch = Press(), JuiceWatch()
    assert hold(watch, press.run(40)) == []
    (bins,) = press.run(1, share=0.0)
    bins.ledger.marks.append(PumpMark(1.0 if on else 40.0, 0.0, on))
    assert hold(watch, press.run(30, share=0.0)) == []


def test_a_sump_that_no_juice_reaches_is_told_too() -> None:
    """The pump never starts again."""
    press, watch = Press(pumped=True), JuiceWatch()
    hold(watch, press.run(240))
    assert hold(watch, press.run(60, share=0.0))[-1] == 300


def test_too_little_fruit_is_no_ground_to_miss_juice() -> None:
    """At a fifth of the rated throughput nothing is said."""
    assert hold(JuiceWatch(), Press().run(200, share=0.2, fruit=0.2 * FED)) == []
