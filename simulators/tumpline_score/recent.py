"""The live ten-minute yield against the truth, with the meters' own bias taken out.

The live figure is multiplied by (1 + bias of the mill's meter) / (1 + bias of the juice meter), so what is left is the
error of the method: which fruit is in this juice.

Which truth is fair: with a steady pump, the juice that passed the end of the pipe in the ten minutes before the last
closed bin, over the fruit that very juice came from. Behind a sump the meter only knows the time between two starts of
its pump, when the sump stands equally high; so the truth is taken, before the sump, between the last pump start and the
one nearest to ten minutes before it. The plain ratio of the meters beside it is that of the same ten minutes.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from tumpline.pressing.quantities import Estimate
from tumpline_score.engine import Heard, Minute
from tumpline_score.passage import Passage, Peace

WINDOW_S = 600.0
_BEHIND_S = 7.5  # the newest bin closed is this old on average: lateness, and half a bin
_NEW_LOAD_S = 720.0


class Recent(NamedTuple):
    """One look at the ten-minute yield."""

    when: str
    """`steady`: in undisturbed pressing; `new load`: twelve minutes after the juice of a new load came."""
    error_pct: float | None
    """None where the figure was not stated."""
    plain_pct: float
    """The plain, unaligned ratio's error."""


def recents(heard: Heard) -> list[Recent]:
    """Every minute of steady pressing, and one look after each change of load."""
    truth = heard.truth
    passage, peace = Passage(truth), Peace(truth)
    gain = _bias(truth, "mill/throughput") / _bias(truth, "juice/flow")
    found = [
        _look("steady", minute, passage, gain, sump=heard.draw.options.sump)
        for minute in heard.minutes
        if peace.held(minute.at - _BEHIND_S - WINDOW_S, minute.at)
    ]
    for before, load in zip(truth["gaps"], truth["loads"][1:], strict=False):
        arrived = load["juice_from"]
        at = None if arrived is None else arrived + _NEW_LOAD_S
        minute = next((m for m in heard.minutes if at is not None and m.at >= at), None)
        pressed_on = [start for start, _ in truth["gaps"] if start > before[1]]
        undisturbed = minute is not None and all(start > minute.at for start in pressed_on)
        if minute is not None and undisturbed and peace.held_but_for_gaps(arrived, minute.at):
            found.append(_look("new load", minute, passage, gain, sump=heard.draw.options.sump))
    return found


def _look(when: str, minute: Minute, passage: Passage, gain: float, *, sump: bool) -> Recent:
    end = minute.at - _BEHIND_S
    start = end - WINDOW_S
    window = passage.pumped_window(end, WINDOW_S) if sump else None
    true = passage.yield_l_per_t(*(window or (start, end)))
    plain = 100.0 * (passage.unaligned_l_per_t(start, end) / true - 1.0)
    told = minute.recent_yield
    error = 100.0 * (told.value * 1e6 * gain / true - 1.0) if isinstance(told, Estimate) else None
    return Recent(when, error, plain)


def _bias(truth: dict[str, Any], signal: str) -> float:
    return 1.0 + float(truth["meter_biases"][signal]["of_reading"])
