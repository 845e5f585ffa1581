"""What the line runs on: water for the flume and the belts, air for the press."""

from __future__ import annotations

from random import Random

from tumpline_sim.drift import Wander
from tumpline_sim.faults import Effects

FLUME_L_PER_S_PER_T_H = 2.27
"""8.2 m³ of water past each tonne; 15 to 17 m³/t is printed for a once-through flume for root crops."""
_MAKE_UP_L_PER_S_PER_T_H = 0.125  # 0.45 m³/t; 0.2 to 1 (common practice, no source)


class Flume:
    """The flume pump, and the fresh water a float valve lets into its circuit."""

    def __init__(self, rng: Random, *, rate: float) -> None:
        self._nominal = FLUME_L_PER_S_PER_T_H * rate
        self._loss = _MAKE_UP_L_PER_S_PER_T_H * rate
        self._wander = Wander(rng, sd=0.015, seconds=60.0)
        self._down = 0.0
        self._open = False

    def step(self, *, running: bool, effects: Effects) -> tuple[float, float]:
        """One second: L/s of the pump, L/s of fresh water."""
        wander = self._wander.step()
        on = running and not effects.flume_stopped
        if on:
            self._down += self._loss
        if self._down > 60.0 * self._loss:
            self._open = True
        elif self._down <= 0.0:
            self._open = False
        fresh = 2.5 * self._loss if self._open else 0.0
        self._down -= fresh
        return self._nominal * (1.0 + wander) * effects.flume if on else 0.0, fresh


class Air:
    """Pressure of the air on the belts, bar gauge."""

    def __init__(self, rng: Random, *, bar: float) -> None:
        self._set = bar
        self._now = 0.0
        self._wander = Wander(rng, sd=0.02, seconds=90.0)

    def step(self, *, on: bool, effects: Effects) -> float:
        """One second."""
        target = (self._set + self._wander.step()) * effects.air if on else 0.0
        self._now += (target - self._now) / 15.0
        return self._now if self._now > 0.005 else 0.0
