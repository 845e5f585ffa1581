"""Slow wandering, the way rates, levels and temperatures do it."""

from __future__ import annotations

from math import exp, sqrt
from random import Random


class Wander:
    """An autocorrelated random walk around zero, one value a second: standard deviation `sd`, memory `seconds`."""

    def __init__(self, rng: Random, *, sd: float, seconds: float) -> None:
        self._rng = rng
        self._keep = exp(-1.0 / seconds)
        self._kick = sd * sqrt(1.0 - self._keep**2)
        self.value = rng.gauss(0.0, sd)

    def step(self) -> float:
        """One second on."""
        self.value = self._keep * self.value + self._rng.gauss(0.0, self._kick)
        return self.value
