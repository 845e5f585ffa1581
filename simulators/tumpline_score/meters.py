"""Whether a drifting juice meter was found, and named where the meters present can tell."""

from __future__ import annotations

from typing import NamedTuple

from tumpline_score.engine import Heard

_WRONG = frozenset({"meter-drift", "frozen", "at-limit", "air-in-meter"})


class Balanced(NamedTuple):
    """What the balance of one shift said."""

    case: str
    """`drift`: the juice meter drifted, with an hour of fruit left after it; `other`: some other meter was wrong or
    juice ran away unseen; `clean`."""
    meters: str
    """What else is fitted that could tell: `vat level`, `pomace weigher` or `neither`."""
    found: bool
    """The statistic passed its limit at the end of the shift, or `balance-open` was raised in it."""
    suspect: str | None
    isolable: bool


def balanced(heard: Heard) -> Balanced:
    """The balance of a summary beside what was truly wrong."""
    balance = heard.summary.balance
    over = balance.statistic is not None and balance.limit is not None and balance.statistic > balance.limit
    return Balanced(
        case=_case(heard),
        meters=_meters(heard.draw.options.signals),
        found=over or any(alarm.name == "balance-open" for alarm in heard.raised),
        suspect=balance.suspect,
        isolable=balance.isolable,
    )


def _meters(signals: str) -> str:
    if "vat/" in signals:
        return "vat level"
    return "pomace weigher" if "pomace/flow" in signals else "neither"


def _case(heard: Heard) -> str:
    wrong = [fault for fault in heard.truth["faults"] if fault["kind"] in _WRONG]
    lost = heard.truth["juice_lost_l"] > 0.0
    if not wrong and not lost:
        return "clean"
    left = heard.truth["edges"][-1] - wrong[0]["at"] if wrong else 0.0
    return "drift" if not lost and [f["kind"] for f in wrong] == ["meter-drift"] and left > 3600.0 else "other"
