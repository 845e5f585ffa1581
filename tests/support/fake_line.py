"""An invented line as the engine would show it, to drive the board and the page."""

import math
from datetime import UTC, datetime

import msgspec

from tumpline.pressing.balance import Weighed, line_balance
from tumpline.pressing.entries import Variety
from tumpline.pressing.learnt import Residence
from tumpline.pressing.quantities import Estimate, limits, normal
from tumpline.pressing.records import (
    AlarmRecord,
    AlarmState,
    Balance,
    Condition,
    Known,
    Live,
    LoadRecord,
    Priority,
    Share,
    SignalNow,
    StopRecord,
    TrailerRecord,
    Unknown,
    VatRecord,
)
from tumpline.runtime.board import Board

NOW = datetime(2026, 10, 14, 9, 24, 7, tzinfo=UTC).timestamp()
"""10:24:07 on the wall clock of Hollow Lane (British summer time)."""
MINUTE = 60.0
SIGNALS = {"flume/flow": 0.0227, "mill/throughput": 4.1 / 3.6, "press/pressure": 135_000.0, "juice/flow": 48.3 / 60_000}
CAUTION = (
    "Before anyone goes near the mill: stop, isolate and lock off by the site's own procedure, release stored air; "
    "competent people only."
)


def about(value: float, half: float) -> Estimate:
    """An estimate whose 95 % interval is value ± half."""
    return Estimate(value, (normal("invented", half / 1.959964),))


def signals(*, at: float = NOW, fresh: bool = True, **values: float | None) -> tuple[SignalNow, ...]:
    """The four expected signals; `values` replaces readings, `mill_throughput=None` meaning none yet."""
    given = {name: values.get(name.replace("/", "_"), value) for name, value in SIGNALS.items()}
    return tuple(
        SignalNow(name=name, at=None if value is None else at, value=value, fresh=fresh and value is not None)
        for name, value in given.items()
    )


def load(**changes: object) -> LoadRecord:
    """A load that is being pressed."""
    return msgspec.structs.replace(
        LoadRecord(
            load="14",
            grower="Coppice Farm",
            varieties=(Variety("bittersweet", 0.7), Variety("sharp", 0.3)),
            net=9800.0,
            milled=about(3200.0, 30.0),
            juice=about(2.27, 0.02),
            extraction=about(712e-6, 9e-6),
            pomace_dry_matter=about(0.246, 0.026),
            on=NOW - 47 * MINUTE,
        ),
        **changes,
    )


RESIDENCE = Residence(about(52.0, 4.0), about(22.0, 6.0), True, "learned from 74 minutes of fruit and juice")


def balance(*, juice: float = 10_500.0, pomace: bool = True) -> Balance:
    """14 200 kg of fruit and 213 kg of water on it, against juice and, where it is weighed, 3 900 kg of pomace."""
    weighed = Weighed("pomace/flow", Estimate(3_900.0, (limits("accuracy of pomace/flow", 60.0),)))
    return line_balance(
        fruit=Weighed("mill/throughput", Estimate(14_200.0, (limits("accuracy of mill/throughput", 140.0),))),
        water=Estimate(213.0, (limits("water carried in with the fruit", 71.0),)),
        juice=Weighed("juice/flow", Estimate(juice, (limits("accuracy of juice/flow", 105.0),))),
        pomace=weighed if pomace else None,
    )


def live(**changes: object) -> Live:
    """A line that has been pressing for 1 h 42."""
    share: Known = about(2.27, 0.02)
    return msgspec.structs.replace(
        Live(
            line="line-1",
            at=NOW,
            shift="early",
            shift_start=NOW - 200 * MINUTE,
            condition=Condition.PRESSING,
            since=NOW - 102 * MINUTE,
            why="fruit is milled and juice flows",
            signals=signals(),
            recent_yield=about(712e-6, 14e-6),
            load_yield=about(710e-6, 9e-6),
            shift_yield=about(706e-6, 8e-6),
            fruit=about(14_200.0, 120.0),
            juice=about(10.025, 0.05),
            pomace_dry_matter=about(0.246, 0.026),
            load=load(),
            load_left=6600.0,
            vat=VatRecord("3", share, (Share("14", share),), contents=7.6, capacity=20.0),
            vat_full_in=255 * MINUTE,
            trailer=TrailerRecord("T2", about(1900.0, 200.0), about(0.246, 0.026), (), capacity=6000.0),
            stop=None,
            alarms=(),
            residence=RESIDENCE,
            balance=balance(),
        ),
        **changes,
    )


def alarm(**changes: object) -> AlarmRecord:
    """A blocked mill that nobody has seen yet."""
    return msgspec.structs.replace(
        AlarmRecord(
            name="mill-blocked",
            subject=None,
            state=AlarmState.UNACKNOWLEDGED,
            active=True,
            priority=Priority.HIGH,
            raised=NOW - 3 * MINUTE,
            cleared=None,
            acknowledged=None,
            by=None,
            value=0.1,
            limit=1.2,
            unit="t/h",
            cause="throughput fell from 4.1 to 0.1 t/h in 2 s while fruit and water still came, with the current high",
            because_of=None,
            caution=CAUTION,
        ),
        **changes,
    )


def stop(**changes: object) -> StopRecord:
    """A stop that goes on and has no reason yet."""
    return msgspec.structs.replace(
        StopRecord(id="stop-7", start=NOW - 6 * MINUTE, end=None, condition=Condition.STOPPED), **changes
    )


def stopped() -> Live:
    """A line that has stood for six minutes."""
    why = Unknown("the line does not press")
    return live(
        condition=Condition.STOPPED,
        since=NOW - 6 * MINUTE,
        why="the mill idles and no juice flows",
        signals=signals(mill_throughput=0.0, juice_flow=0.0),
        recent_yield=why,
        stop=stop(),
    )


def blocked() -> Live:
    """A blocked mill with a consequence and an older alarm."""
    juice = alarm(
        name="juice-low",
        priority=Priority.MEDIUM,
        because_of="mill-blocked",
        cause="juice is 34 % below what this fruit gave so far",
        caution=None,
    )
    vat = alarm(
        name="vat-nearly-full",
        subject="3",
        state=AlarmState.ACKNOWLEDGED,
        priority=Priority.LOW,
        raised=NOW - 21 * MINUTE,
        acknowledged=NOW - 20 * MINUTE,
        by="Ada",
        cause="vat 3 is 92 % full",
        caution=None,
    )
    return msgspec.structs.replace(
        stopped(),
        condition=Condition.BLOCKED,
        since=NOW - 3 * MINUTE,
        why="fruit and water come, but the mill takes nothing",
        stop=None,
        alarms=(vat, juice, alarm()),
        vat=VatRecord("3", about(2.27, 0.02), (), contents=18.4, capacity=20.0),
        vat_full_in=None,
    )


def unknown() -> Live:
    """A line that fills after a meter was lost: nothing can be said yet."""
    why = Unknown("the line is filling")
    return live(
        condition=Condition.FILLING,
        since=NOW - 40.0,
        why="fruit is milled, juice does not flow yet",
        signals=signals(juice_flow=None)[:3] + signals(at=NOW - 240.0, fresh=False)[3:],
        recent_yield=why,
        shift_yield=why,
        fruit=Unknown("no fruit has been milled in this shift"),
        juice=why,
        pomace_dry_matter=Unknown("no yield is known yet"),
        load=None,
        load_left=None,
        vat=None,
        vat_full_in=None,
        trailer=None,
    )


def figures(at: float) -> dict[str, float]:
    """A lively half hour: a stop of four minutes 17 minutes before NOW, yields unknown around it."""
    ago = NOW - at
    if 13 * MINUTE < ago < 17 * MINUTE:
        return {"throughput_t_per_h": 0.0, "juice_l_per_min": 0.0, "pressure_bar": 0.2}
    fruit = 4.1 + 0.3 * math.sin(at / 140.0) + 0.08 * math.sin(at / 11.0)
    known = {"throughput_t_per_h": fruit, "juice_l_per_min": fruit * 11.9, "pressure_bar": 1.35}
    if 10 * MINUTE < ago <= 17 * MINUTE:
        return known
    value = 708.0 + 9.0 * math.sin(at / 300.0)
    return known | {"yield_l_per_t": value, "yield_low": value - 14.0, "yield_high": value + 14.0}


def half_hour(board: Board, line: str = "line-1") -> None:
    """Put the half hour before NOW on the board."""
    board.show(line, live(line=line, stop=stop(id="stop-6", start=NOW - 17 * MINUTE, end=NOW - 13 * MINUTE)))
    for step in range(360, -1, -1):
        at = NOW - 5.0 * step
        board.figures(line, at, figures(at))
    board.show(line, live(line=line))
