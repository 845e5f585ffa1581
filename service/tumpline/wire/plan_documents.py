"""What is left of a season, as a document; and what a plan needs to know, read from those of the season so far."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from tumpline.pressing.plan import Ahead, Outcome, Plan, Pressed
from tumpline.pressing.quantities import Estimate, normal, total
from tumpline.pressing.records import Known, Unknown
from tumpline.wire.figures import LITRES, LITRES_PER_TONNE, PERCENT, Document, figure, plain, rounded

PLAN = "tumpline.plan/1"

_T_PER_H = 3.6  # t/h in a kg/s
_K95 = 1.959964
_SLOPE = LITRES_PER_TONNE / _T_PER_H  # L/t per t/h in a m³/kg per kg/s


def pressed_of(loads: Iterable[Document]) -> list[Pressed]:
    """The load rows of a season whose fruit, rate and yield are known."""
    return [
        Pressed(
            fruit=load["fruit_kg"]["value"],
            rate=load["throughput_t_per_h"] / _T_PER_H,
            extraction=load["yield_l_per_t"]["value"] / LITRES_PER_TONNE,
        )
        for load in loads
        if load["fruit_kg"] and load["yield_l_per_t"] and load.get("throughput_t_per_h")
    ]


def shift_time_of(summaries: Sequence[Document]) -> float:
    """Seconds of pressing in a shift, the mean of these."""
    pressing = [float(summary["time"]["pressing_s"] + summary["time"]["slow_s"]) for summary in summaries]
    return sum(pressing) / max(1, len(pressing))


def room_of(summaries: Iterable[Document]) -> Known:
    """m³ that all vats still take whose capacity and contents are known, as the last shift with each left it."""
    last = {vat["vat"]: vat for summary in summaries for vat in summary["vats"]}
    rooms = [_room(vat) for vat in last.values() if vat["capacity_l"] is not None and vat["contents_l"] is not None]
    return total(rooms) if rooms else Unknown("of no vat both capacity and contents are known")


def plan_document(ahead: Ahead, plan: Plan) -> Document:
    """`tumpline.plan/1`: what was given, what this line does, and what that comes to at each rate."""
    effect = plan.effect
    return {
        "schema": PLAN,
        "to_come_kg": rounded(ahead.to_come),
        "days": ahead.days,
        "waiting_kg": rounded(ahead.waiting),
        **figure("room_l", ahead.room, LITRES),
        "shift_s": rounded(ahead.shift_time),
        "shifts_a_day": rounded(ahead.shifts_a_day),
        "spoilt_a_day_pct": rounded(PERCENT * ahead.spoilt_a_day),
        "mean_rate_t_per_h": rounded(effect.mean * _T_PER_H),
        **figure("yield_l_per_t", effect.there, LITRES_PER_TONNE),
        **figure("yield_change_l_per_t_per_t_per_h", effect.slope, _SLOPE, floor=float("-inf")),
        "now": _outcome_document(plan.now),
        **figure("vats_full_after_shifts", plan.full_after),
        "best": _outcome_document(plan.best),
        **figure("gain_l", plan.gain, LITRES, floor=float("-inf")),
        "outcomes": [_outcome_document(outcome) for outcome in plan.outcomes],
        "assumptions": list(plan.assumptions),
    }


def _room(vat: Document) -> Estimate:
    """Room in one vat, never below none; as unsure as its contents."""
    room = max(0.0, vat["capacity_l"] - vat["contents_l"]) / LITRES
    held = vat.get("held_l")
    u = (held["high"] - held["low"]) / 2.0 / _K95 / LITRES if held else 0.0
    return Estimate(room, (normal("contents of the vats", u),))


def _outcome_document(outcome: Outcome) -> Document:
    return {
        "rate_t_per_h": rounded(outcome.rate * _T_PER_H),
        "juice_l": rounded(outcome.juice * LITRES),
        "pressed_kg": rounded(outcome.pressed),
        "spoilt_kg": rounded(outcome.spoilt),
        "shifts": rounded(outcome.shifts),
        "days": outcome.days,
        **plain("vats_full_after_shifts", outcome.full_after, "the vats take it all, or their room is not known"),
    }
