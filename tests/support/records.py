"""Records of an invented shift, one of each kind, with round numbers that can be checked by eye."""

from __future__ import annotations

from tumpline.pressing.entries import Variety
from tumpline.pressing.quantities import Estimate, limits, normal
from tumpline.pressing.records import (
    AddingRecord,
    AlarmLoad,
    AlarmRecord,
    AlarmState,
    Balance,
    Condition,
    CorrectionRecord,
    Holding,
    Live,
    LoadRecord,
    MoveRecord,
    Priority,
    ProofRecord,
    Share,
    SignalNow,
    SignalRecord,
    StopRecord,
    Summary,
    TrailerRecord,
    Unknown,
    VatRecord,
)

SEVEN = 1791961200.0
"""2026-10-14T07:00:00Z."""


def within(value: float, half_width: float) -> Estimate:
    """A value with limits of ±: its 95 % interval is 0.95 of them."""
    return Estimate(value, (limits("accuracy of a meter", half_width),))


LOAD = LoadRecord(
    load="L-7",
    grower="Coppice Farm",
    varieties=(Variety("Top Late", 0.6), Variety("Acre Russet", 0.4)),
    net=4210.0,
    milled=within(4200.0, 60.0),
    juice=within(3.0, 0.02),
    extraction=within(7.142857142857e-4, 1e-5),
    pomace_dry_matter=Unknown("no sample of this fruit has been measured"),
    on=SEVEN + 60.0,
    off=None,
)
VAT = VatRecord(
    vat="V1",
    juice=within(3.0, 0.02),
    shares=(Share("L-7", within(2.9, 0.02)), Share("", Unknown("no load was on"))),
    contents=7.25,
    capacity=10.0,
    brix=12.1,
    acidity=4.5,
    tannin=2.0,
    fruit_class="bittersweet",
    held=within(7.25, 0.05),
    holds=(Holding("L-7", "Coppice Farm", within(2.9, 0.02)), Holding("", "", within(4.35, 0.05))),
    outside=("Its acidity of 4.5 g/L lies below the 5 g/L that the site wants at the least.",),
    adding=(AddingRecord("L-8", 2.8, True, 12.6, 5.2, 1.6, "sharp"),),
)
MOVE = MoveRecord(SEVEN + 7200.0, "V1", "V4", None, within(2.5, 0.025), (Share("L-7", within(1.0, 0.01)),))
PROOF = ProofRecord("juice/flow", SEVEN, SEVEN + 600.0, within(0.5, 0.001), within(0.51, 0.002), within(0.98, 0.004))
CORRECTION = CorrectionRecord(
    "load-0123456789ab",
    "load",
    "L-7",
    SEVEN + 9000.0,
    "N. Vale",
    {"net_kg": 4120.0, "at": SEVEN},
    {"net_kg": 4210.0, "at": SEVEN},
)
TRAILER = TrailerRecord(
    trailer="T2",
    pomace=within(1200.0, 40.0),
    dry_matter=Estimate(0.245, (normal("sample", 0.01),)),
    shares=(Share("L-7", within(1200.0, 40.0)),),
    capacity=8000.0,
    weighed=None,
)
STOP = StopRecord(
    id="stop-1",
    start=SEVEN + 1800.0,
    end=SEVEN + 2100.25,
    condition=Condition.BLOCKED,
    fruit_not_pressed=333.3333333,
    reason="blocked mill",
    note=None,
    by="M. Reed",
)
ALARM = AlarmRecord(
    name="mill-blocked",
    subject=None,
    state=AlarmState.ACKNOWLEDGED,
    active=True,
    priority=Priority.HIGH,
    raised=SEVEN + 1800.0,
    cleared=None,
    acknowledged=SEVEN + 1830.0,
    by="M. Reed",
    value=0.12345678,
    limit=1.0,
    unit="t/h",
    cause="Fruit and water still come but the throughput has collapsed.",
    because_of=None,
    caution="Stop, isolate and lock off by the site's own procedure.",
)
LIVE = Live(
    line="line-1",
    at=SEVEN + 3600.0,
    shift="early",
    shift_start=SEVEN,
    condition=Condition.PRESSING,
    since=SEVEN + 2100.25,
    why="fruit is milled and juice comes",
    signals=(
        SignalNow("mill/throughput", SEVEN + 3599.5, 1.125, True),
        SignalNow("juice/flow", SEVEN + 3500.0, 0.7e-3, False),
        SignalNow("vat/V1/volume", None, None, False),
        SignalNow("juice/temperature", SEVEN + 3599.0, 11.5, True),
    ),
    recent_yield=Unknown("the line is filling"),
    load_yield=within(7.1e-4, 1e-5),
    shift_yield=within(7.0e-4, 1e-5),
    fruit=within(4200.0, 60.0),
    juice=within(3.0, 0.02),
    pomace_dry_matter=within(0.245, 0.026),
    load=LOAD,
    load_left=10.0,
    vat=VAT,
    vat_full_in=3928.5714285,
    trailer=TRAILER,
    stop=None,
    alarms=(ALARM,),
)
SUMMARY = Summary(
    line="line-1",
    shift="early",
    start=SEVEN,
    end=SEVEN + 28800.0,
    crew=("M. Reed", "N. Vale"),
    fruit=within(4200.0, 60.0),
    juice=within(3.0, 0.02),
    juice_mass=within(3140.0, 20.0),
    extraction=within(7.142857142857e-4, 1e-5),
    mass_yield=within(0.7476, 0.01),
    pomace=within(1200.0, 40.0),
    pomace_dry_matter=within(0.245, 0.026),
    flume_water=within(630.0, 10.0),
    potential_alcohol=Unknown("the sugar of the juice is not measured"),
    time={Condition.PRESSING: 25200.0, Condition.BLOCKED: 300.25, Condition.STOPPED: 3299.75},
    availability=0.875,
    effectiveness=0.9,
    stops=(STOP,),
    mean_time_between_stops=25200.0,
    mean_stop=300.25,
    alarms=(ALARM,),
    alarm_load=AlarmLoad(count=1, per_hour=0.125, worst_ten_minutes=1, flood=0.0, chattering=()),
    loads=(LOAD,),
    vats=(VAT,),
    trailers=(TRAILER,),
    balance=Balance(
        reconciled={"fruit_kg": within(4195.0, 50.0), "juice_kg": within(3141.0, 15.0)},
        residual=within(-12.5, 60.0),
        statistic=0.25,
        limit=3.841458820694124,
        suspect=None,
        isolable=False,
        advice="a dip of vat V1 would settle it",
    ),
    signals=(SignalRecord("mill/throughput", 28700, 28690, 5, 3, 2, 12.0, 11.0),),
    notes=("fog until nine",),
    moves=(MOVE,),
    proofs=(PROOF,),
    corrections=(CORRECTION,),
)
