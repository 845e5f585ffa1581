"""The ledger: when a bin may be closed, which meter counts, and what a sum is worth."""

import math

import msgspec
import pytest

from tumpline.pressing.ledger import HOLD, Flow, Ledger, close_bin, due
from tumpline.pressing.params import Accuracy, LineParams, Quantity, ResidenceParams, SignalParams
from tumpline.pressing.residence import BIN
from tumpline.pressing.signals import Integral, Signal

FRUIT = SignalParams("mill/throughput", Quantity.MASS_FLOW, 0.0, 2.0, Accuracy(of_reading=0.015))
JUICE = SignalParams("juice/flow", Quantity.VOLUME_FLOW, 0.0, 0.002, Accuracy(of_reading=0.01))
TOTAL = SignalParams("juice/total", Quantity.VOLUME, 0.0, 1000.0, Accuracy(of_reading=0.002), rollover=1000.0)
REFRACTOMETER = SignalParams("juice/brix", Quantity.BRIX, 0.0, 30.0, Accuracy(fixed=0.2))


def line(*meters: SignalParams) -> LineParams:
    """A line with these meters and five seconds of lateness."""
    return LineParams("line-1", 1.0, 0.0007, ResidenceParams(), meters)


def heard(name: str, readings: dict[float, float]) -> Signal:
    """A signal with these readings."""
    signal = Signal(name)
    for at, value in readings.items():
        signal.take(at, value, lateness=5.0)
    return signal


def steady(name: str, value: float, until: float) -> Signal:
    """The same value once a second up to a time."""
    return heard(name, {float(t): value for t in range(int(until) + 1)})


def test_a_bin_is_closed_when_fruit_and_juice_are_heard_past_its_lateness() -> None:
    """The first five seconds may be closed at ten seconds, and only if both meters were heard by then."""
    both = {"mill/throughput": steady("mill/throughput", 1.0, 10), "juice/flow": steady("juice/flow", 0.0007, 10)}
    assert due(Ledger(0.0), line(FRUIT, JUICE), both, 10.0)
    assert not due(Ledger(0.0), line(FRUIT, JUICE), both, 9.0)
    behind = both | {"juice/flow": steady("juice/flow", 0.0007, 8)}
    assert not due(Ledger(0.0), line(FRUIT, JUICE), behind, 60.0)


def test_a_lost_meter_holds_the_ledger_for_a_while_only() -> None:
    """After ten minutes of silence the bin is closed with what there is."""
    signals = {"mill/throughput": steady("mill/throughput", 1.0, 700), "juice/flow": steady("juice/flow", 0.0007, 8)}
    assert not due(Ledger(0.0), line(FRUIT, JUICE), signals, 8.0 + HOLD)
    assert due(Ledger(0.0), line(FRUIT, JUICE), signals, 9.0 + HOLD)


def test_bins_follow_each_other_and_the_last_may_be_short() -> None:
    """Three seconds into the third bin the shift ends: 13 seconds of 1 kg/s are 13 kg."""
    ledger, signals = Ledger(0.0), {"mill/throughput": steady("mill/throughput", 1.0, 30)}
    for end in (5.0, 10.0, 13.0):
        close_bin(ledger, line(FRUIT), signals, end)
    assert (ledger.bins, ledger.end) == (3, 13.0)
    assert sum(ledger.fruit.amounts) == pytest.approx(13.0)


def test_a_meter_that_is_not_fitted_counts_nothing() -> None:
    """Its column is as long as the others'."""
    ledger = Ledger(0.0)
    close_bin(ledger, line(FRUIT), {"mill/throughput": steady("mill/throughput", 1.0, 10)}, 5.0)
    assert ledger.pomace.amounts == [0.0]
    assert ledger.brix == [-1.0]


def test_a_counter_wins_over_the_flow() -> None:
    """Where both are there the counter's increase counts, with its own, better limits."""
    signals = {
        "juice/flow": steady("juice/flow", 0.002, 10),
        "juice/total": heard("juice/total", {0.0: 10.0, 5.0: 10.004, 10.0: 10.008}),
    }
    ledger = Ledger(0.0)
    close_bin(ledger, line(JUICE, TOTAL), signals, 5.0)
    assert ledger.juice.amounts == [pytest.approx(0.004)]
    assert ledger.juice.of_reading == pytest.approx(0.002 * 0.004)


def test_a_counter_that_is_reset_is_bridged_by_the_flow() -> None:
    """The bins of the reset come from the flow, those before and after from the counter."""
    signals = {
        "juice/flow": steady("juice/flow", 0.002, 20),
        "juice/total": heard("juice/total", {0.0: 400.0, 5.0: 400.004, 10.0: 0.001, 15.0: 0.005, 20.0: 0.009}),
    }
    ledger = Ledger(0.0)
    for end in (5.0, 10.0, 15.0):
        close_bin(ledger, line(JUICE, TOTAL), signals, end)
    assert ledger.juice.amounts == pytest.approx([0.004, 0.010, 0.004])


def test_a_bin_closed_without_its_meter_may_hide_all_of_the_last_rate() -> None:
    """A minute beyond the last reading the rate is held, and anything from nothing to twice of it is believed."""
    ledger, signals = Ledger(0.0), {"juice/flow": steady("juice/flow", 0.001, 5)}
    for i in range(1, 13):
        close_bin(ledger, line(JUICE), signals, BIN * i)
    low, high = ledger.juice.estimate("juice/flow").figure()[1:]
    assert sum(ledger.juice.amounts) == pytest.approx(0.06)
    assert low < 0.02
    assert high > 0.10


def test_the_refractometer_is_a_mean_where_it_was_heard() -> None:
    """Between two readings of 11.8 and 12.2 stand 12 °Bx; a silent bin is marked as such."""
    ledger, signals = Ledger(0.0), {"juice/brix": heard("juice/brix", {1.0: 11.8, 2.0: 12.2})}
    close_bin(ledger, line(REFRACTOMETER), signals, 5.0)
    close_bin(ledger, line(REFRACTOMETER), signals, 10.0)
    assert ledger.brix == [pytest.approx(12.0), -1.0]


def test_the_terms_of_a_sum_name_their_sources() -> None:
    """Limits of the meter add up over the bins; scatter adds in quadrature."""
    flow, meter = Flow(), SignalParams("juice/flow", Quantity.VOLUME_FLOW, 0.0, 1.0, Accuracy(0.01, 0.001))
    for _ in range(4):
        flow.add(Integral(value=5.0, flowing=5.0, scatter=0.25), meter)
    terms = {t.source: t for t in flow.estimate("juice/flow").terms}
    assert terms["accuracy of juice/flow"].u * math.sqrt(3.0) == pytest.approx(0.01 * 20.0 + 0.001 * 20.0)
    assert terms["scatter of juice/flow"].u == pytest.approx(1.0)
    half = flow.estimate("juice/flow", 0.5)
    assert half.value == pytest.approx(10.0)
    assert half.u == pytest.approx(flow.estimate("juice/flow").u / 2.0)


def test_one_long_gap_is_worth_more_doubt_than_as_many_seconds_in_many_gaps() -> None:
    """Gaps are independent of each other, the seconds of one gap are not."""
    one, many = Flow(), Flow()
    for _ in range(8):
        one.add(Integral(value=1.0, fill=0.5), FRUIT)
    for _ in range(8):
        many.add(Integral(value=1.0, fill=0.5), FRUIT)
        many.add(Integral(value=1.0), FRUIT)
    gap = "time without mill/throughput"
    u_one, u_many = (next(t.u for t in f.estimate("mill/throughput").terms if t.source == gap) for f in (one, many))
    assert u_one == pytest.approx(u_many * math.sqrt(8.0))


def test_a_ledger_that_is_split_loses_nothing() -> None:
    """Split at 12 s, its first two bins stay and the rest begins at 10 s; amounts and doubts sum to what they were."""
    ledger, signals = Ledger(0.0), {"mill/throughput": steady("mill/throughput", 1.0, 40)}
    for i in range(1, 7):
        close_bin(ledger, line(FRUIT), signals, BIN * i)
    before = ledger.fruit.estimate("mill/throughput")
    rest = ledger.split(12.0)
    assert (ledger.bins, ledger.end, rest.start, rest.end) == (2, 10.0, 10.0, 30.0)
    parts = [part.fruit.estimate("mill/throughput") for part in (ledger, rest)]
    assert [p.value for p in parts] == pytest.approx([10.0, 20.0])
    assert sum(p.u for p in parts) == pytest.approx(before.u)


def test_splitting_at_the_end_begins_a_new_ledger_and_before_the_start_takes_it_whole() -> None:
    """Nothing is left over at the end; everything is, when the split lies before the first bin."""
    ledger, signals = Ledger(0.0), {"mill/throughput": steady("mill/throughput", 1.0, 40)}
    close_bin(ledger, line(FRUIT), signals, 5.0)
    assert (ledger.split(5.0).start, ledger.split(7.5).start, ledger.bins) == (5.0, 7.5, 1)
    whole = ledger.split(-60.0)
    assert (ledger.bins, whole.start, whole.bins) == (0, 0.0, 1)


def test_a_meter_silent_until_the_split_was_not_heard_before_it() -> None:
    """One that spoke only later is unknown in the first part; one that never spoke is unknown in both."""
    late = Flow([0.0, 0.0, 5.0], blind=2)
    rest = late.split(2)
    assert (late.heard, rest.heard) == (False, True)
    silent = Flow([0.0, 0.0, 0.0], blind=3)
    rest = silent.split(2)
    assert (silent.heard, rest.heard) == (False, False)


def test_a_meter_at_the_end_of_its_range_is_not_taken_at_its_word() -> None:
    """What it gave before stands in for it, give or take what it says now."""
    signals = {"mill/throughput": heard("mill/throughput", {float(t): 1.0 if t < 60 else 2.0 for t in range(91)})}
    ledger = Ledger(0.0)
    for i in range(1, 18):
        close_bin(ledger, line(FRUIT), signals, BIN * i, ["mill/throughput"] if i > 12 else [])
    assert ledger.fruit.amounts[13:] == pytest.approx([5.0] * 4, rel=0.01)
    found = ledger.fruit.estimate("mill/throughput").figure()
    assert found.low < 85.0 < found.high - 15.0


def pumped(until: float, *, damped: float = 0.1) -> dict[float, float]:
    """A sump's pump: thirty seconds of thrice the juice of 1 kg/s, a minute of nothing, through a damped meter."""
    found, reads = {}, 0.0
    for t in range(round(until) + 1):
        reads += ((0.0021 if t % 90 >= 60 else 0.0) - reads) * -math.expm1(-1.0 / damped)
        found[float(t)] = reads
    return found


@pytest.mark.parametrize("damped", [0.1, 1.5, 2.0])
def test_starts_and_stops_of_a_pump_show_through_a_damped_meter(damped: float) -> None:
    """Ten cycles: every start and every stop, in turn."""
    signals, ledger = {"juice/flow": heard("juice/flow", pumped(920.0, damped=damped))}, Ledger(0.0)
    for i in range(1, 183):
        close_bin(ledger, line(JUICE), signals, BIN * i)
    assert [mark.on for mark in ledger.marks] == [True, False] * 10


@pytest.mark.parametrize(("feed", "gives"), [(1.0, 0.0035), (0.5, 0.00175)])
def test_juice_from_a_sump_that_is_not_heard_is_what_its_fruit_gives(feed: float, gives: float) -> None:
    """Give or take a quarter, over ten minutes; of half the fruit it is half as much."""
    fruit = {float(t): 1.0 if t <= 1800 else feed for t in range(2701)}
    signals = {
        "mill/throughput": heard("mill/throughput", fruit),
        "juice/flow": heard("juice/flow", {**pumped(1800.0), 2700.0: 0.0, 2701.0: 0.0}),
    }
    ledger, told = Ledger(0.0), msgspec.structs.replace(line(FRUIT, JUICE), juice_pump="on-off")
    for i in range(1, 541):
        close_bin(ledger, told, signals, BIN * i)
    assert ledger.juice.amounts[420:520] == pytest.approx([gives] * 100, rel=0.05)
    hidden = sum(ledger.juice.holes.get(j, 0.0) for j in range(420, 520))
    assert hidden == pytest.approx(0.25 * 100 * gives, rel=0.1)
