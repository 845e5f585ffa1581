"""Fruit from the trailers to the mill: one load after another with planned gaps, at a rate that wanders."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp
from random import Random

from tumpline_sim.drift import Wander
from tumpline_sim.loads import Load

_RISE_S = 5.0  # fruit comes up the elevator gradually
_TAIL_S = 6.0  # and the last of a load straggles in
_LAST_KG = 0.5


class Feed:
    """Which load reaches the mill now, and how fast. `rated` in kg/s; fruit first reaches the mill at `first` (s)."""

    def __init__(self, rng: Random, loads: Sequence[Load], *, rated: float, first: float) -> None:
        self._rated = rated
        self._loads = loads
        self._quick = Wander(rng, sd=0.05, seconds=180.0)
        self._slow = Wander(rng, sd=0.05, seconds=1500.0)
        self._transit = [min(rng.uniform(10.0, 30.0), first) for _ in loads]
        self._wait = first
        self._left = loads[0].kg
        self._flow = 0.0
        self._on = self._off = False
        self.load = 0
        self.milling_s = 0.0
        """s for which fruit has come steadily."""
        self.finished = False

    @property
    def between_loads(self) -> bool:
        """Whether a load has run out and the next has not come."""
        return self.load > 0 and self._wait > 0.0 and not self.finished

    def step(self, share: float) -> tuple[float, list[tuple[str, str]]]:
        """One second with `share` of the fruit getting through: kg milled, and book entries (kind, load)."""
        wander = exp(self._quick.step() + self._slow.step())
        if self.finished:
            return 0.0, []
        if self._wait > 0.0:
            self.milling_s = 0.0
            # Nobody tips the next load while the line stands.
            self._wait -= 1.0 if share > 0.5 else 0.0
            return 0.0, self._load_on() if self._wait <= self._transit[self.load] else []
        target = self._rated * wander * share
        if target > self._flow:
            self._flow += (target - self._flow) / _RISE_S
        else:
            self._flow = target
        kg = self._left if self._left < _LAST_KG else min(self._flow, self._left / _TAIL_S)
        # The last straggling fruit of a load is as stuck as the rest when nothing gets through.
        kg = min(kg, target)
        self._left -= kg
        self.milling_s = self.milling_s + 1.0 if kg > 0.5 * self._rated else 0.0
        entries = self._load_off() if self._left < self._rated * self._transit[self.load] else []
        if self._left <= 0.0:
            self._next()
        return kg, entries

    def _load_on(self) -> list[tuple[str, str]]:
        if self._on:
            return []
        self._on = True
        return [("load-on", self._loads[self.load].name)]

    def _load_off(self) -> list[tuple[str, str]]:
        if self._off:
            return []
        self._off = True
        return [("load-off", self._loads[self.load].name)]

    def _next(self) -> None:
        self._flow = 0.0
        self._on = self._off = False
        if self.load + 1 == len(self._loads):
            self.finished = True
            return
        self.load += 1
        self._left = self._loads[self.load].kg
        self._wait = self._loads[self.load].gap_before
