"""The summary of a shift: its ratios, and where each figure came from."""

from __future__ import annotations

import msgspec
import pytest

from press_stories import inside, known, params
from tumpline.pressing import shift as shifts
from tumpline.pressing.attribution import Attribution, Way
from tumpline.pressing.book import Book
from tumpline.pressing.cellar_records import vat_record
from tumpline.pressing.drift import Drift
from tumpline.pressing.entries import Load, LoadOn, Sample, Trailer, Variety, Vat
from tumpline.pressing.growth import Gauge
from tumpline.pressing.learning import guessed
from tumpline.pressing.ledger import UNHEARD, Flow, Ledger
from tumpline.pressing.makings import together
from tumpline.pressing.params import Accuracy, LineParams, Quantity, SignalParams
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import Condition, LoadRecord, StopRecord, TrailerRecord, Unknown

POMACE = SignalParams("pomace/flow", Quantity.MASS_FLOW, 0.0, 2.0, Accuracy(of_reading=0.02))
REFRACTOMETER = SignalParams("juice/brix", Quantity.BRIX, 0.0, 30.0, Accuracy(fixed=0.2))


def course(
    *,
    hours: float = 1.0,
    time: dict[Condition, float] | None = None,
    stops: tuple[StopRecord, ...] = (),
) -> shifts.Course:
    """What happened in so many hours, from time zero."""
    return shifts.Course("early", 0.0, 3600.0 * hours, time or {}, stops, (), ())


def closed(
    *,
    book: Book | None = None,
    fruit: float = 5.0,
    brix: float = -1.0,
    line: LineParams | None = None,
    bins: int = 720,
    pomace: float = 0.25,
) -> shifts.Shift:
    """A closed hour (720 bins) of `fruit` kg a bin at 700 L/t, a share `pomace` of it as pomace."""
    size, written = line or params(), book or Book()

    def flow(amount: float) -> Flow:
        return Flow([amount] * bins, of_reading=0.01 * amount * bins)

    ledger = Ledger(
        0.0, flow(fruit), flow(0.0007 * fruit), flow(pomace * fruit), flow(0.11), [brix] * bins, [UNHEARD] * bins
    )
    learned, given_away = guessed(size.residence), Attribution()
    way = Way(learned.transport, pumped=False, params=size)
    given_away.extend(ledger, written, way)
    return shifts.Shift(size, ledger, given_away, written, learned, {}, Drift(), Gauge())


def load(name: str, *, brix: float | None = None, dry_matter_pct: float | None = None) -> Load:
    """A load of four tonnes."""
    return Load(name, "Withy Bottom", 4000.0, (Variety("sharp", 1.0),), brix, dry_matter_pct=dry_matter_pct)


def test_availability_and_effectiveness_are_those_of_the_standard() -> None:
    """480 min planned, 402 min running, 60 t at 6 min/t: 0.8375 and 0.895522 (formulas of ISO 22400-2, OPC 40501-1)."""
    size = msgspec.structs.replace(params(), rated_throughput=1000.0 / 360.0)
    shift = closed(fruit=60_000.0 / 5760.0, line=size, bins=5760)
    time = {Condition.PRESSING: 390 * 60.0, Condition.FILLING: 12 * 60.0, Condition.BLOCKED: 78 * 60.0}
    summary = shifts.sum_up(shift, course(hours=8.0, time=time))
    assert summary.availability == pytest.approx(0.8375)
    assert summary.effectiveness == pytest.approx(0.895522, abs=1e-6)


def test_the_mean_time_between_stops_and_of_a_stop() -> None:
    """402 min up and 60 min down in four stops: 100.5 min between stops, 15 min each (own arithmetic, plain mean)."""
    stops = tuple(StopRecord(f"stop-{i}", 6000.0 * i, 6000.0 * i + 900.0, Condition.BLOCKED) for i in range(4))
    summary = shifts.sum_up(closed(), course(hours=8.0, time={Condition.PRESSING: 402 * 60.0}, stops=stops))
    assert summary.mean_time_between_stops == pytest.approx(100.5 * 60.0)
    assert summary.mean_stop == pytest.approx(15.0 * 60.0)
    none = shifts.sum_up(closed(), course())
    assert (none.mean_time_between_stops, none.mean_stop, none.effectiveness) == (None, None, None)


def test_potential_alcohol_needs_the_sugar() -> None:
    """Unknown with its reason without, a little over 6 % by volume at 12 °Bx with it (common practice, no source)."""
    without = shifts.sum_up(closed(), course()).potential_alcohol
    assert isinstance(without, Unknown)
    assert "sugar" in without.why
    found = shifts.sum_up(closed(brix=12.0, line=params(REFRACTOMETER)), course()).potential_alcohol
    assert known(found).value == pytest.approx(0.062, abs=0.003)


def dryness(shift: shifts.Shift) -> Estimate:
    """Dry matter of the whole shift's pomace."""
    whole = together(shift.attribution.portions, shifts.made_of(shift))
    return known(shifts.dryness_of(shift, whole))


def test_a_sample_narrows_the_dryness_of_the_pomace() -> None:
    """With the juice's sugar known, what is known of the fruit is most of what is known of the pomace."""
    book, line = Book(), params(REFRACTOMETER)
    plain = dryness(closed(book=book, brix=12.0, line=line))
    book.write(0.0, Sample("fruit", dry_matter_pct=16.0))
    assert dryness(closed(book=book, brix=12.0, line=line)).u < 0.75 * plain.u


def test_weighed_pomace_narrows_the_dryness_too() -> None:
    """With fruit, juice and pomace borne out by each other, less is left to doubt."""
    book = Book()
    book.write(0.0, Sample("fruit", dry_matter_pct=16.0))
    juice_only = closed(book=book, brix=12.0, line=params(REFRACTOMETER))
    weighed = closed(book=book, brix=12.0, line=params(REFRACTOMETER, POMACE), pomace=0.272)
    assert dryness(weighed).u < 0.95 * dryness(juice_only).u


def test_the_summary_keeps_what_a_sample_said_of_its_variety() -> None:
    """Prior and posterior stand beside each other, and the next shift begins with the posterior."""
    book = Book()
    book.write(-60.0, load("41", dry_matter_pct=18.0))
    book.write(-60.0, LoadOn("41"))
    shift = closed(book=book)
    (told,) = shifts.sum_up(shift, course()).anchors
    assert (told.variety, told.samples) == ("sharp", 1)
    assert told.before.value < told.after.value < 0.18
    assert told.after.u < told.before.u
    assert shifts.learned_anchors_of(shift)["sharp"].mean == pytest.approx(told.after.value)


def test_a_vat_holds_what_it_held_and_what_came() -> None:
    """Contents are known where somebody gave them once, and the capacity is passed on."""
    book = Book()
    book.write(-1.0, Vat("A", capacity_l=6000.0, contents_l=500.0))
    told = vat_record(shifts.vats_of(closed(book=book)), "A")
    assert inside(2.52, told.juice)
    assert told.contents == pytest.approx(0.5 + 2.52)
    assert told.capacity == 6.0
    book.write(-1.0, Vat("B"))
    assert vat_record(shifts.vats_of(closed(book=book)), "B").contents is None


def trailer(shift: shifts.Shift) -> TrailerRecord:
    """The record of the green trailer."""
    whole = together(shift.attribution.portions, shifts.made_of(shift))
    return shifts.trailer_record(shift, "green", shifts.dryness_of(shift, whole))


def record(shift: shifts.Shift, name: str) -> LoadRecord:
    """The record of a load."""
    return shifts.load_record(shift, name, shifts.made_of(shift))


def test_a_trailer_without_a_weigher_has_no_pomace_of_zero() -> None:
    """Nothing weighs it, so nothing is said; with a weigher it is what the weigher says."""
    book = Book()
    book.write(-1.0, Trailer("green", capacity_kg=3000.0))
    without = trailer(closed(book=book))
    assert isinstance(without.pomace, Unknown)
    assert without.capacity == 3000.0
    assert inside(900.0, trailer(closed(book=book, line=params(POMACE))).pomace)


def test_pomace_that_nobody_weighs_is_what_the_juice_left_over() -> None:
    """By difference with its wide interval, weighed with its narrow one."""
    by_difference = known(shifts.sum_up(closed(), course()).pomace)
    weighed = known(shifts.sum_up(closed(line=params(POMACE)), course()).pomace)
    assert weighed.value == pytest.approx(900.0)
    assert by_difference.value == pytest.approx(3600.0 * 1.015 - 2520.0 * 1.05, rel=0.02)
    assert by_difference.u > weighed.u


def test_a_load_that_has_not_pressed_yet_says_so() -> None:
    """Weighed in and never put on: nothing milled, no yield, no dryness."""
    book = Book()
    book.write(0.0, load("44"))
    told = record(closed(book=book), "44")
    assert (told.grower, told.net) == ("Withy Bottom", 4000.0)
    assert isinstance(told.extraction, Unknown)
    assert isinstance(told.pomace_dry_matter, Unknown)


def test_loads_that_touch_are_less_sharp_than_one_alone() -> None:
    """Where one load ends in another, some fruit and juice may be either's."""
    alone, mixed = Book(), Book()
    for book in (alone, mixed):
        book.write(-60.0, load("41"))
        book.write(-60.0, LoadOn("41"))
    mixed.write(-60.0, load("42"))
    mixed.write(2000.0, LoadOn("42"))
    one = known(record(closed(book=alone), "41").milled)
    two = known(record(closed(book=mixed), "41").milled)
    assert two.u / two.value > one.u / one.value


@pytest.mark.parametrize("bins", [60, 120, 360])
def test_what_the_line_still_holds_is_no_fault_of_a_meter(bins: int) -> None:
    """Minutes into a shift not all fruit has come out again; the meters agree all the same, and nobody is accused."""
    line = params(POMACE)
    young = closed(line=line, bins=bins)
    shown = young.attribution.aligned
    young.ledger.juice.amounts[:] = [7e-4 * kg for kg in shown]
    young.ledger.pomace.amounts[:] = [0.0] * 9 + [0.28 * kg for kg in shown[:-9]]
    attribution = Attribution()
    attribution.extend(young.ledger, young.book, Way(young.learned.transport, pumped=False, params=line))
    young = young._replace(attribution=attribution)
    made = together(attribution.portions, shifts.made_of(young))
    found = shifts.balance_of(young, made)
    assert found.suspect is None
    assert found.statistic is not None and found.limit is not None
    assert found.statistic < found.limit
