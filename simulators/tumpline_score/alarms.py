"""Which alarms were deserved, which were missed and which came for nothing.

*Found*: a fault deserves the alarm named first in `DESERVES`, or one that says the same of it as well (`or_else`). It
is found when that alarm is raised from two seconds before the fault begins until `grace` after it has ended. The delay
is counted from when the fault begins, of a slow one from its first small effect; only of lost air from when the
pressure has truly fallen by a tenth, which is what there is to notice. An alarm that names its subject is only held
against faults of that sensor. A fault is asked about only where the line has the signals its alarm needs and enough
fruit was milled while it lasted for it to show.

*Excused*: alarms that a fault may well raise besides, each a true consequence; neither found nor false. So is an alarm
that names as its cause (`because_of`) one that was found, and `signal-lost` for a sensor that fell silent of itself
for longer than its settings allow.

*Again*: raised anew within ten minutes for a fault already found: a sign of chattering, and not counted as false.

*False*: every other alarm. One that comes while some other fault lasts is false like the rest, and the cross-table
shows which fault it was taken for. False alarms are counted per 100 h of shift.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any, NamedTuple

from tumpline_score.engine import Heard, Raised
from tumpline_score.passage import SETTLED_S, Passage

NOTHING = "nothing wrong"
_EARLY_S = 2.0
_STALE_S = 10.0
_STEP_S = 10.0
"""Between two rows of the truth's totals."""
_REPEAT_S = 600.0
_AFTER_S, _OTHER_FRUIT_S = 120.0, 1800.0
"""So long after an event, and after a change of load, a false alarm is put down to it."""


class Deserves(NamedTuple):
    """What a kind of fault deserves."""

    alarm: str | None
    """None where the fault has no alarm of its own."""
    grace: float
    """s after its end in which the alarm still belongs to it."""
    excused: frozenset[str] = frozenset()
    needs: str | None = None
    """A signal without which nobody could notice."""
    or_else: str | None = None
    """Another alarm that serves as well."""
    pressing: float = 0.0
    """s of fruit while it lasts that it takes to show."""

    @property
    def alarms(self) -> frozenset[str]:
        """Those that find it."""
        return frozenset(name for name in (self.alarm, self.or_else) if name)


def _deserves(
    alarm: str | None,
    grace: float,
    *excused: str,
    needs: str | None = None,
    or_else: str | None = None,
    pressing: float = 0.0,
) -> Deserves:
    return Deserves(alarm, grace, frozenset(excused), needs, or_else, pressing)


DESERVES: dict[str, Deserves] = {
    "blocked": _deserves("mill-blocked", 5.0),
    "starved": _deserves("fruit-starved", 15.0),
    "starved by the flume pump": _deserves("fruit-starved", 15.0, or_else="flume-low"),
    "hopper-bridged": _deserves("fruit-starved", 15.0),
    "hopper-bridged by the pulp hopper": _deserves(None, 120.0, "fruit-starved", "juice-low"),
    "juice-low": _deserves("juice-low", 60.0, "yield-drift", "balance-open", pressing=180.0),
    "signal-lost": _deserves("signal-lost", 10.0),
    "stone": _deserves("hard-object", 10.0, needs="mill/current"),
    "air-lost": _deserves("pressure-low", 15.0, "yield-drift", pressing=180.0),
    "blinding": _deserves("yield-drift", 300.0, "juice-low", pressing=1800.0),
    "strainer": _deserves("flume-low", 15.0, pressing=600.0),
    "yield-drift": _deserves("yield-drift", 0.0, "juice-low", pressing=1800.0),
    "meter-drift": _deserves("balance-open", 0.0, "yield-drift", needs="pomace/flow", pressing=3600.0),
    "frozen": _deserves("signal-lost", 10.0, "balance-open"),
    "at-limit": _deserves("signal-lost", 10.0, "balance-open"),
    "air-in-meter": _deserves(None, 60.0, "signal-lost", "balance-open"),
    "vat filling": _deserves("vat-nearly-full", 0.0),
    "trailer filling": _deserves("trailer-nearly-full", 0.0),
}
"""By the simulator's word for the fault, and how it came about where that makes a difference. A vat and a trailer fill
from four fifths of what they hold until the end of the shift; they are asked about when they came to nine tenths (the
crew changes them at 92 %)."""

_LONG = frozenset({"blinding", "yield-drift", "meter-drift", "strainer", "vat filling", "trailer filling"})
"""Last so long that something shorter is the likelier reason for an alarm."""


class Wrong(NamedTuple):
    """A fault as the score sees it; s since the shift began."""

    kind: str
    at: float
    until: float
    found: bool | None
    """None where it deserves no alarm, or could not be noticed with the signals fitted."""
    delay: float | None
    filling: bool = False
    """Fruit had not come for five minutes without a break, so the line was not full when it began."""


class Judged(NamedTuple):
    """An alarm as the score sees it."""

    name: str
    at: float
    verdict: str
    """`found`, `again` (raised anew for a fault already found), `excused` or `false`."""
    during: str
    """The kind of fault or event it came in, or `nothing wrong`."""


class Verdicts(NamedTuple):
    """All faults and all alarms of a shift."""

    faults: list[Wrong]
    alarms: list[Judged]


def judged(heard: Heard) -> Verdicts:
    """Hold the alarms of a shift against its faults."""
    truth = heard.truth
    faults = [(_kind(fault), fault) for fault in truth["faults"]]
    faults += [(f"{vessel['kind']} filling", _filling(vessel, truth)) for vessel in truth["filled"]]
    wrongs = [_wrong(kind, fault, heard) for kind, fault in faults]
    return Verdicts(wrongs, _with_repeats([_judge(alarm, faults, heard) for alarm in heard.raised]))


def _kind(fault: dict[str, Any]) -> str:
    how = fault.get("how")
    return f"{fault['kind']} by the {how}" if f"{fault['kind']} by the {how}" in DESERVES else str(fault["kind"])


def _filling(vessel: dict[str, Any], truth: dict[str, Any]) -> dict[str, Any]:
    full_at = vessel["nine_tenths_at"]
    return {"at": vessel["four_fifths_at"], "until": truth["end"], "asked": full_at is not None}


def _wrong(kind: str, fault: dict[str, Any], heard: Heard) -> Wrong:
    deserves = DESERVES[kind]
    at, until = fault["at"], fault["until"]
    passage = Passage(heard.truth)
    pressed, filling = passage.milling_s(at, until), passage.milling_s(at - SETTLED_S, at) < SETTLED_S - _STEP_S
    noticeable = (deserves.needs or "") in heard.draw.options.signals and fault.get("asked", True)
    if deserves.alarm is None or not noticeable or pressed < deserves.pressing:
        return Wrong(kind, at, until, None, None)
    fits = [a for a in heard.raised if a.name in deserves.alarms and _about(a, fault, deserves)]
    delay = max(0.0, min(a.at for a in fits) - fault.get("felt", at)) if fits else None
    return Wrong(kind, at, until, bool(fits), delay, filling)


def _about(alarm: Raised, fault: dict[str, Any], deserves: Deserves) -> bool:
    """Whether an alarm came in the time of a fault, and of no other sensor than the fault's own."""
    other = alarm.name == "signal-lost" and alarm.subject is not None and fault.get("signal", "") not in alarm.subject
    return bool(fault["at"] - _EARLY_S <= alarm.at <= fault["until"] + deserves.grace) and not other


def _judge(alarm: Raised, faults: list[tuple[str, dict[str, Any]]], heard: Heard) -> Judged:
    around = [(kind, DESERVES[kind]) for kind, fault in faults if _about(alarm, fault, DESERVES[kind])]
    for kind, deserves in around:
        if alarm.name in deserves.alarms:
            return Judged(alarm.name, alarm.at, "found", kind)
    for kind, deserves in around:
        if alarm.name in deserves.excused or alarm.because_of in deserves.alarms:
            return Judged(alarm.name, alarm.at, "excused", kind)
    if alarm.name == "signal-lost" and any(_silent(alarm, d) for d in heard.truth["dropouts"]):
        return Judged(alarm.name, alarm.at, "excused", "drop-out")
    return Judged(alarm.name, alarm.at, "false", next(_during(alarm.at, around, heard.truth)))


def _with_repeats(judged: list[Judged]) -> list[Judged]:
    """Of several alarms that found the same kind of fault within its usual length, the later ones came again."""
    told: list[Judged] = []
    for alarm in judged:
        before = any(
            a.verdict in ("found", "again") and a[::3] == alarm[::3] and alarm.at - a.at < _REPEAT_S for a in told
        )
        told.append(alarm._replace(verdict="again") if before and alarm.verdict == "found" else alarm)
    return told


def _silent(alarm: Raised, dropout: dict[str, Any]) -> bool:
    long = dropout["until"] - dropout["at"] > _STALE_S - 3.0
    named = alarm.subject is None or dropout["signal"] in alarm.subject
    return bool(long and named and dropout["at"] <= alarm.at <= dropout["until"] + 10.0)


def _during(at: float, around: list[tuple[str, Deserves]], truth: dict[str, Any]) -> Iterator[str]:
    yield from (kind for kind, _ in around if kind not in _LONG)
    yield from (e["kind"] for e in truth["events"] if e["at"] <= at <= e["until"] + _AFTER_S)
    yield from ("gap between loads" for start, end in truth["gaps"] if start <= at <= end + _AFTER_S)
    yield from ("other fruit" for _, end in truth["gaps"] if end <= at <= end + _OTHER_FRUIT_S)
    yield from (kind for kind, _ in around if not kind.endswith("filling"))
    first, last = truth["edges"][0], truth["edges"][-1]
    yield "filling" if at < first + 300.0 else "draining" if at > last else NOTHING
