"""The summary of a shift, from the ledger, the attribution, the book, the stops and the alarms."""

from __future__ import annotations

from functools import partial
from typing import NamedTuple

from tumpline.pressing import cellar_records, extraction
from tumpline.pressing import juice as juice_physics
from tumpline.pressing.alarm_load import alarm_load
from tumpline.pressing.attribution import Attribution, Portion
from tumpline.pressing.balance import Weighed, line_balance
from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.cellar_records import Vats
from tumpline.pressing.learning import Learned
from tumpline.pressing.ledger import Flow, Ledger
from tumpline.pressing.params import LineParams
from tumpline.pressing.proof import proof_records
from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.records import (
    AlarmRecord,
    Balance,
    Condition,
    Known,
    LoadRecord,
    ProofRecord,
    Share,
    SignalRecord,
    StopRecord,
    Summary,
    TrailerRecord,
    Unknown,
)
from tumpline.pressing.residence import BIN


class Shift(NamedTuple):
    """Everything a summary is made from."""

    params: LineParams
    ledger: Ledger
    attribution: Attribution
    book: Book
    learned: Learned


def measured(flow: Flow, params: LineParams, *names: str) -> Known:
    """A flow's sum; unknown when no such meter is fitted, or heard."""
    fitted = next((n for n in names if params.signal(n) is not None), None)
    return extraction.sum_of(flow, fitted) if fitted else Unknown(f"no {names[0]} is fitted")


def brix(shift: Shift) -> Estimate | None:
    """°Bx of the juice: measured, else what the loads were weighed in with."""
    meter = shift.params.signal("juice/brix")
    found = extraction.brix_of(shift.ledger) if meter else None
    if found is not None and meter is not None:
        half = meter.accuracy.of_reading * found.value + meter.accuracy.fixed
        return found.plus(limits("accuracy of juice/brix", half))
    weight = value = 0.0
    for page in shift.book.known_loads(shift.attribution.portions):
        if page.entry.brix is not None:
            part = shift.attribution.portions[page.entry.load].aligned
            weight += part
            value += part * page.entry.brix
    if weight <= 0.0:
        return None
    return Estimate(value / weight, (limits("sugar of the loads as weighed in", 1.0),))


def fruit_dry_matter(shift: Shift) -> Estimate | None:
    """Dry matter of the fruit in kg/kg from samples, loads or the settings; None when nobody knows."""
    sampled = [s.dry_matter_pct for s in shift.book.samples if s.what == "fruit" and s.dry_matter_pct is not None]
    if sampled:
        return Estimate(sum(sampled) / len(sampled) / 100.0, (limits("dry matter of the fruit, sampled", 0.005),))
    given = [p.entry.dry_matter_pct for p in shift.book.known_loads(shift.attribution.portions)]
    known = [d for d in given if d is not None]
    if known:
        return Estimate(sum(known) / len(known) / 100.0, (limits("dry matter of the fruit, as weighed in", 0.01),))
    if shift.params.fruit_dry_matter is not None:
        return Estimate(shift.params.fruit_dry_matter, (limits("dry matter of the fruit, from the settings", 0.015),))
    return None


def extraction_of(shift: Shift) -> Known:
    """Yield of the whole shift, over the fruit whose juice has come."""
    part = given(shift)
    fruit = extraction.part_of(shift.ledger.fruit, "mill/throughput", part.aligned)
    return extraction.yield_of(extraction.part_of(shift.ledger.juice, "juice/flow", part.juice), fruit)


def given(shift: Shift) -> Portion:
    """The whole shift's juice as far as it is given away, and the fruit it came from."""
    portions = shift.attribution.portions.values()
    return Portion(aligned=sum(p.aligned for p in portions), juice=sum(p.juice for p in portions))


def dryness_of(shift: Shift, portion: Portion | None = None) -> Known:
    """Dry matter of the pomace of the shift or of one load, by difference."""
    part = portion or given(shift)
    sugar = brix(shift)
    fruit = extraction.part_of(shift.ledger.fruit, "mill/throughput", part.aligned)
    juice = extraction.part_of(shift.ledger.juice, "juice/flow", part.juice)
    return extraction.dryness(fruit, extraction.juice_mass(juice, sugar), sugar, fruit_dry_matter(shift))


def load_record(shift: Shift, name: str) -> LoadRecord:
    """What became of one load so far."""
    portion = shift.attribution.portions.get(name, Portion())
    order = shift.attribution.named()
    place = order.index(name) if name in order else 0
    ends = (1 if place > 0 else 0) + (1 if place + 1 < len(order) else 0)
    page = shift.book.loads.get(name)
    fruit = extraction.load_fruit(shift.ledger, portion.fruit, shared_ends=ends, seconds=10.0)
    juice = extraction.load_juice(shift.ledger, portion, shared_ends=ends, u_residence=shift.learned.u_mean)
    whole = extraction.load_fruit(shift.ledger, portion.aligned, shared_ends=ends, seconds=10.0)
    return LoadRecord(
        load=name,
        grower=page.entry.grower if page else "",
        varieties=page.entry.varieties if page else (),
        net=page.entry.net_kg if page else 0.0,
        milled=fruit,
        juice=juice,
        extraction=extraction.yield_of(juice, whole),
        pomace_dry_matter=dryness_of(shift, portion)
        if portion.aligned > 0.0
        else Unknown("none of its juice has come"),
        on=page.on if page else None,
        off=page.off if page else None,
    )


def vats_of(shift: Shift) -> Vats:
    """The vats now, with what went into them in this shift."""
    juice = partial(extraction.part_of, shift.ledger.juice, "juice/flow")
    pours = shift.attribution.pours
    return cellar_records.vats_of(
        shift.book, pours, juice, delay_u=shift.learned.u_mean, bounds=shift.params.vat_bounds
    )


def trailer_record(shift: Shift, name: str) -> TrailerRecord:
    """A trailer and what went into it; only with a pomace weigher."""
    shares = shift.attribution.trailers.get(name, {})
    entry = shift.book.trailers.get(name)
    weigher = shift.params.signal("pomace/flow") is not None
    none: Known = Unknown("no pomace weigher is fitted")

    def part(amount: float) -> Known:
        return extraction.part_of(shift.ledger.pomace, "pomace/flow", amount) if weigher else none

    return TrailerRecord(
        trailer=name,
        pomace=part(sum(shares.values())),
        dry_matter=dryness_of(shift),
        shares=tuple(Share(k, part(v)) for k, v in shares.items()),
        capacity=None if entry is None else entry.capacity_kg,
        weighed=None if entry is None else entry.net_kg,
        taken_by=None if entry is None else entry.to,
    )


class Course(NamedTuple):
    """What happened during the shift, apart from the figures."""

    name: str
    start: float
    end: float
    time: dict[Condition, float]
    stops: tuple[StopRecord, ...]
    alarms: tuple[AlarmRecord, ...]
    signals: tuple[SignalRecord, ...]


def sum_up(shift: Shift, course: Course) -> Summary:
    """The summary document's record."""
    ledger, params = shift.ledger, shift.params
    fruit = extraction.sum_of(ledger.fruit, "mill/throughput")
    juice = extraction.sum_of(ledger.juice, "juice/flow")
    sugar = brix(shift)
    mass = extraction.juice_mass(juice, sugar)
    pomace = measured(ledger.pomace, params, "pomace/flow")
    if isinstance(pomace, Unknown) and sum(ledger.fruit.amounts) > 0.0:
        pomace = extraction.pomace_by_difference(fruit, mass)
    seconds = course.end - course.start
    running = sum(
        course.time.get(c, 0.0) for c in (Condition.PRESSING, Condition.SLOW, Condition.FILLING, Condition.DRAINING)
    )
    stopped = [s.end - s.start for s in course.stops if s.end is not None]
    return Summary(
        line=params.id,
        shift=course.name,
        start=course.start,
        end=course.end,
        crew=shift.book.crew,
        fruit=fruit,
        juice=juice,
        juice_mass=mass,
        extraction=extraction_of(shift),
        mass_yield=extraction.yield_of(mass, fruit),
        pomace=pomace,
        pomace_dry_matter=dryness_of(shift),
        flume_water=measured(ledger.water, params, "flume/flow"),
        potential_alcohol=_alcohol(sugar),
        time=course.time,
        availability=running / seconds if seconds > 0.0 else None,
        effectiveness=None
        if isinstance(fruit, Unknown) or running <= 0.0
        else fruit.value / params.rated_throughput / running,
        stops=course.stops,
        mean_time_between_stops=running / len(stopped) if stopped else None,
        mean_stop=sum(stopped) / len(stopped) if stopped else None,
        alarms=course.alarms,
        alarm_load=alarm_load(course.alarms, start=course.start, end=course.end),
        loads=tuple(load_record(shift, n) for n in shift.attribution.named()),
        vats=cellar_records.vat_records(vats_of(shift)),
        trailers=tuple(trailer_record(shift, n) for n in shift.attribution.trailers if n != UNNAMED),
        balance=_balance(shift, fruit, mass),
        signals=course.signals,
        residence=shift.learned.record(_feed(shift)),
        notes=tuple(shift.book.notes),
        moves=cellar_records.moves(vats_of(shift)),
        proofs=_proofs(shift),
        corrections=tuple(shift.book.corrections),
    )


def _proofs(shift: Shift) -> tuple[ProofRecord, ...]:
    ledger = shift.ledger
    fruit, juice = ledger.fruit.amounts, ledger.juice.amounts
    counted = {
        "mill/throughput": fruit,
        "mill/total": fruit,
        "juice/flow": juice,
        "juice/total": juice,
        "pomace/flow": ledger.pomace.amounts,
        "flume/flow": ledger.water.amounts,
    }
    return proof_records(shift.book.proofs, counted, start=ledger.start)


def _feed(shift: Shift) -> float:
    """Mean feed while fruit came, as a share of the rated one."""
    rated = BIN * shift.params.rated_throughput
    coming = [kg for kg in shift.ledger.fruit.amounts if kg > 0.2 * rated]
    return sum(coming) / len(coming) / rated if coming else 1.0


def _alcohol(sugar: Estimate | None) -> Known:
    if sugar is None:
        return Unknown("the sugar of the juice is not known")
    found = juice_physics.potential_alcohol(sugar)
    return Unknown(found.sentence) if isinstance(found, juice_physics.OutOfRange) else found


def _balance(shift: Shift, fruit: Known, juice: Known) -> Balance:
    """The meters held against each other over the whole shift."""
    if isinstance(fruit, Unknown) or isinstance(juice, Unknown):
        silent = fruit if isinstance(fruit, Unknown) else juice
        return Balance({"fruit_kg": fruit, "juice_kg": juice}, silent, None, None, None, isolable=False)
    weigher = "pomace/flow" if shift.params.signal("pomace/flow") is not None else None
    weighed = shift.ledger.pomace
    pomace = Weighed(weigher, weighed.estimate(weigher)) if weigher and weighed.heard else None
    return line_balance(
        fruit=Weighed("mill/throughput", fruit),
        water=extraction.carried_in(fruit),
        juice=Weighed("juice/flow", juice),
        pomace=pomace,
    )
