"""The summary of a shift, from the ledger, the attribution, the book, the stops and the alarms."""

from __future__ import annotations

import math
from collections.abc import Mapping
from functools import partial
from typing import NamedTuple

from tumpline.pressing import cellar_records, extraction, growth, load_doubt, solids
from tumpline.pressing import juice as juice_physics
from tumpline.pressing.alarm_load import alarm_load
from tumpline.pressing.attribution import Attribution, Portion
from tumpline.pressing.balance import Weighed, line_balance
from tumpline.pressing.book import UNNAMED, Book
from tumpline.pressing.cellar_records import Vats
from tumpline.pressing.drift import Drift
from tumpline.pressing.learning import Learned
from tumpline.pressing.learnt import AnchorRecord
from tumpline.pressing.ledger import Flow, Ledger
from tumpline.pressing.makings import Making, learned_anchors, makings, together
from tumpline.pressing.params import LineParams
from tumpline.pressing.proof import proof_records
from tumpline.pressing.quantities import Estimate, limits, normal
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
from tumpline.pressing.residence import BIN, POMACE_LATER
from tumpline.pressing.solids import Anchors
from tumpline.pressing.state import State


class Shift(NamedTuple):
    """Everything a summary is made from."""

    params: LineParams
    ledger: Ledger
    attribution: Attribution
    book: Book
    learned: Learned
    anchors: Anchors
    """What was known of the varieties' dry matter before this shift."""
    drift: Drift
    """The meters held against each other so far."""
    gauge: growth.Gauge
    """The levels of the vats."""


def shift_of(params: LineParams, state: State, ledger: Ledger) -> Shift:
    """The shift of a line's state, its ledger being `ledger`."""
    s = state
    return Shift(params, ledger, s.attribution, s.book, s.learned, s.anchors, s.drift, s.gauge)


def made_of(shift: Shift) -> dict[str, Making]:
    """The makings of the shift's loads."""
    return makings(shift.params, shift.attribution, shift.book, shift.anchors)


def measured(flow: Flow, params: LineParams, *names: str) -> Known:
    """A flow's sum; unknown when no such meter is fitted, or heard."""
    fitted = next((n for n in names if params.signal(n) is not None), None)
    return extraction.sum_of(flow, fitted) if fitted else Unknown(f"no {names[0]} is fitted")


def juice_of(shift: Shift) -> Known:
    """The juice of the whole shift, as metered, m³."""
    juice = extraction.sum_of(shift.ledger.juice, "juice/flow")
    return extraction.plus(juice, load_doubt.unfounded(*shift.attribution.portions.values()))


def extraction_of(shift: Shift) -> Known:
    """Yield of the whole shift, over the fruit whose juice has come."""
    part, shown = given(shift), shift.attribution.aligned
    fruit = extraction.part_of(shift.ledger.fruit, "mill/throughput", part.aligned)
    juice = extraction.part_of(shift.ledger.juice, "juice/flow", part.juice)
    juice = extraction.plus(juice, load_doubt.unfounded(part))
    # Until the last juice has come, how long fruit takes says how much of it counts.
    ends = shift.learned.u_mean / BIN * (shown[shift.attribution.given - 1] if shift.attribution.given else 0.0)
    return extraction.yield_of(_with_rest(juice, part), extraction.plus(fruit, normal("residence time", ends)))


def given(shift: Shift) -> Portion:
    """The whole shift's juice as far as it is given away, and the fruit it came from."""
    portions = shift.attribution.portions.values()
    return Portion(
        aligned=sum(p.aligned for p in portions),
        juice=sum(p.juice for p in portions),
        pomace=sum(p.pomace for p in portions),
        rest=sum(p.rest for p in portions),
        rest_u=sum(p.rest_u for p in portions),
        unfounded=sum(p.unfounded for p in portions),
    )


def _masses(shift: Shift, part: Portion, making: Making) -> tuple[Known, Known, Known]:
    """Fruit that became juice (kg), its juice as metered (m³) and in kg."""
    fruit = extraction.part_of(shift.ledger.fruit, "mill/throughput", part.aligned)
    juice = _with_rest(extraction.part_of(shift.ledger.juice, "juice/flow", part.juice), part)
    return fruit, juice, solids.juice_mass(juice, making.sugar, making.celsius)


def dryness_of(shift: Shift, making: Making, portion: Portion | None = None) -> Known:
    """Dry matter of the pomace of the shift or of one load: by difference, narrowed where the pomace is weighed."""
    part = portion or given(shift)
    fruit, _, mass = _masses(shift, part, making)
    pomace = None
    if shift.params.signal("pomace/flow") is not None and shift.ledger.pomace.heard:
        weighed = extraction.part_of(shift.ledger.pomace, "pomace/flow", part.pomace)
        if isinstance(weighed, Estimate) and weighed.value > 0.0:
            # How much later pomace comes than juice is known no better than that; some is its neighbour's.
            unsure = BIN * POMACE_LATER * weighed.value / max(part.aligned / _rate(shift), 60.0)
            ends = normal("pomace on its way", unsure)
            pomace = Weighed("pomace/flow", weighed.plus(ends))
    return solids.dryness(fruit, mass, pomace=pomace, solids=making.solids, sugar=making.sugar)


def _rate(shift: Shift) -> float:
    rated = shift.params.rated_throughput
    return max(shift.attribution.feed(rated), 0.1) * rated


def load_record(shift: Shift, name: str, made: Mapping[str, Making]) -> LoadRecord:
    """What became of one load so far."""
    portion = shift.attribution.portions.get(name, Portion())
    order = shift.attribution.named()
    place = order.index(name) if name in order else 0
    ends = (1 if place > 0 else 0) + (1 if place + 1 < len(order) else 0)
    page = shift.book.loads.get(name)
    ledger = shift.ledger
    fruit = extraction.part_of(ledger.fruit, "mill/throughput", portion.fruit, hidden=portion.fruit_hidden)
    whole = extraction.part_of(ledger.fruit, "mill/throughput", portion.aligned, hidden=portion.fruit_hidden)
    juice = extraction.part_of(ledger.juice, "juice/flow", portion.juice, hidden=portion.juice_hidden)
    juice = extraction.plus(juice, normal("residence time", extraction.on_its_way(ledger, ends, shift.learned)))
    juice = extraction.plus(juice, load_doubt.unfounded(portion))
    # Fruit that is counted to the wrong load takes its juice along: amounts are less sure for it, the yield is not.
    per_kg = portion.juice / portion.aligned if portion.aligned > 0.0 else 0.0
    amount = juice
    for wrong in load_doubt.terms(name, ledger, shift.attribution, shift.book) if name in order else ():
        fruit, amount = extraction.plus(fruit, wrong), extraction.plus(amount, wrong._replace(u=wrong.u * per_kg))
    left = limits("juice left in the sump", portion.rest)
    return LoadRecord(
        load=name,
        grower=page.entry.grower if page else "",
        varieties=page.entry.varieties if page else (),
        net=page.entry.net_kg if page else 0.0,
        milled=fruit,
        juice=extraction.plus(amount, left),
        extraction=extraction.own_of(extraction.yield_of(_with_rest(juice, portion), whole), name),
        pomace_dry_matter=dryness_of(shift, made[name], portion)
        if portion.aligned > 0.0 and name in made
        else Unknown("none of its juice has come"),
        on=page.on if page else None,
        off=page.off if page else None,
    )


def _with_rest(juice: Known, portion: Portion) -> Known:
    """With the juice that came but was left in the sump."""
    if isinstance(juice, Unknown) or portion.rest_u == 0.0:
        return juice
    return Estimate(juice.value + portion.rest, (*juice.terms, normal("juice left in the sump", portion.rest_u)))


def vats_of(shift: Shift) -> Vats:
    """The vats now, with what went into them in this shift."""
    juice = partial(extraction.part_of, shift.ledger.juice, "juice/flow")
    pours = shift.attribution.pours
    delay_u = math.hypot(shift.learned.u_mean, shift.attribution.edges.lag_u)
    return cellar_records.vats_of(shift.book, pours, juice, delay_u=delay_u, params=shift.params)


def trailer_record(shift: Shift, name: str, dryness: Known) -> TrailerRecord:
    """A trailer and what went into it, only with a pomace weigher; `dryness` is that of the shift's pomace."""
    shares = shift.attribution.trailers.get(name, {})
    entry = shift.book.trailers.get(name)
    weigher = shift.params.signal("pomace/flow") is not None
    none: Known = Unknown("no pomace weigher is fitted")

    def part(amount: float) -> Known:
        return extraction.part_of(shift.ledger.pomace, "pomace/flow", amount) if weigher else none

    return TrailerRecord(
        trailer=name,
        pomace=part(sum(shares.values())),
        dry_matter=dryness,
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
    juice = juice_of(shift)
    made = made_of(shift)
    whole = together(shift.attribution.portions, made)
    mass = solids.juice_mass(juice, whole.sugar, whole.celsius)
    at_20 = solids.at_20(juice, whole.sugar, whole.celsius)
    pomace = measured(ledger.pomace, params, "pomace/flow")
    if isinstance(pomace, Unknown) and sum(ledger.fruit.amounts) > 0.0:
        pomace = solids.pomace_by_difference(fruit, mass)
    yielded, dryness = extraction_of(shift), dryness_of(shift, whole)
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
        extraction=yielded,
        juice_at_20=at_20,
        extraction_at_20=solids.at_20(yielded, whole.sugar, whole.celsius),
        juice_celsius=whole.celsius if whole.celsius is not None else Unknown("the juice's temperature is not known"),
        mass_yield=extraction.yield_of(mass, fruit),
        pomace=pomace,
        pomace_dry_matter=dryness,
        flume_water=measured(ledger.water, params, "flume/flow"),
        potential_alcohol=_alcohol(whole.sugar if whole.sugar_known else None),
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
        loads=tuple(load_record(shift, n, made) for n in shift.attribution.named()),
        vats=cellar_records.vat_records(vats_of(shift)),
        trailers=tuple(trailer_record(shift, n, dryness) for n in shift.attribution.trailers if n != UNNAMED),
        balance=balance_of(shift, whole),
        signals=course.signals,
        residence=shift.learned.record(shift.attribution.feed(params.rated_throughput)),
        anchors=_anchor_records(shift),
        notes=(*shift.book.notes, *load_doubt.remarks(ledger, shift.attribution, shift.book)),
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


def _alcohol(sugar: Estimate | None) -> Known:
    if sugar is None:
        return Unknown("the sugar of the juice is not known")
    found = juice_physics.potential_alcohol(sugar)
    return Unknown(found.sentence) if isinstance(found, juice_physics.OutOfRange) else found


def learned_anchors_of(shift: Shift) -> Anchors:
    """What is known of the varieties' dry matter after this shift."""
    return learned_anchors(shift.params, shift.attribution, shift.book, shift.anchors)


def _anchor_records(shift: Shift) -> tuple[AnchorRecord, ...]:
    """The varieties that this shift's samples told something about, before and after."""
    guess = solids.prior(shift.params.fruit_dry_matter)
    changed = []
    for variety, after in learned_anchors_of(shift).items():
        before = shift.anchors.get(variety, guess)
        if after != before:
            was, now = (Estimate(a.mean, (normal(f"dry matter of {variety}", a.u),)) for a in (before, after))
            changed.append(AnchorRecord(variety, was, now, after.samples))
    return tuple(changed)


def balance_of(shift: Shift, whole: Making) -> Balance:
    """The meters held against each other over the whole shift, so far; `whole` is what its fruit is made of."""
    fruit = extraction.sum_of(shift.ledger.fruit, "mill/throughput")
    volume = extraction.sum_of(shift.ledger.juice, "juice/flow")
    juice = solids.juice_mass(volume, whole.sugar, whole.celsius)
    if isinstance(fruit, Unknown) or isinstance(juice, Unknown):
        silent = fruit if isinstance(fruit, Unknown) else juice
        return Balance({"fruit_kg": fruit, "juice_kg": juice}, silent, None, None, None, isolable=False)
    weigher = "pomace/flow" if shift.params.signal("pomace/flow") is not None else None
    weighed = shift.ledger.pomace
    held = _held(shift, fruit, juice)
    pomace = None
    if weigher and weighed.heard:
        left = weighed.estimate(weigher)
        pomace = Weighed(weigher, Estimate(left.value + held.value, (*left.terms, *held.terms)))
    trailers = {name: sum(kg.values()) for name, kg in shift.attribution.trailers.items()}
    tickets = growth.trailer_weights(shift.book, trailers)
    ticketed = growth.weighed_pomace(tickets, trailers)
    found = line_balance(
        fruit=Weighed("mill/throughput", fruit),
        water=solids.carried_in(fruit),
        juice=Weighed("juice/flow", juice),
        pomace=pomace,
        vat=_in_vats(shift, _ratio(juice, volume)),
        trailer=Weighed(None, ticketed) if ticketed is not None else None,
    )
    return shift.drift.settle(found)


def _held(shift: Shift, fruit: Estimate, juice: Estimate) -> Estimate:
    """
    kg that the line still holds: fruit whose juice has not come yet, and pomace of the fruit before it. None of it is
    left once a shift is over.
    """
    milled, came = fruit.value, given(shift).aligned
    on_its_way = max(0.0, milled - came)
    if on_its_way == 0.0 or milled <= 0.0:
        return Estimate(0.0)
    behind = min(came, POMACE_LATER * BIN * _rate(shift)) * max(0.0, 1.0 - juice.value / milled)
    return Estimate(on_its_way + behind, (normal("what the line still holds", 0.5 * (on_its_way + behind)),))


def _in_vats(shift: Shift, density: float) -> Weighed | None:
    """What the vats say the shift's juice was, kg: by their levels, else by dips."""
    cellar = shift.book.cellar
    meters = {vat: shift.params.signal(f"vat/{vat}/volume") for vat in shift.book.to_vat.names}
    gauges = {vat: meter.accuracy for vat, meter in meters.items() if meter is not None}
    by_level = growth.grown_by_level(shift.gauge, cellar, gauges)
    grown = by_level or growth.grown_by_dips(cellar, shift.attribution.pours)
    volume = growth.vat_growth(grown, sum(shift.ledger.juice.amounts))
    if volume is None:
        return None
    return Weighed(f"vat/{grown[0].vat}/volume" if by_level else None, volume.scaled(density))


def _ratio(mass: Known, volume: Known) -> float:
    """kg of juice in a m³."""
    if isinstance(mass, Unknown) or isinstance(volume, Unknown) or volume.value <= 0.0:
        return 1050.0
    return mass.value / volume.value
