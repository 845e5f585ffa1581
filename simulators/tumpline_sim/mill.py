"""The mill's motor, and the milled fruit that waits for the press."""

from __future__ import annotations

from random import Random

from tumpline_sim.drift import Wander
from tumpline_sim.faults import Effects
from tumpline_sim.flow import Parcels, Tank, pour

FULL_LOAD_A_PER_T_H = 7.0
_IDLE, _LOADED = 0.36, 0.30  # of full-load current: idle 30 to 45 %, normal 50 to 80 % (common practice, no source)
_SLOWEST = 0.08  # of the rated flow: the pump's lowest speed
_FASTEST = 2.0  # and its highest


class Motor:
    """Current of the mill motor, A; `rated` in kg/s."""

    def __init__(self, rng: Random, *, rated: float) -> None:
        self._rated = rated
        self._full = FULL_LOAD_A_PER_T_H * rated * 3.6
        self._wander = Wander(rng, sd=0.03, seconds=20.0)

    def step(self, kg: float, *, running: bool, effects: Effects) -> float:
        """One second with `kg` milled."""
        work = 1.0 + self._wander.step()
        if effects.mill_current is not None:
            return self._full * (_IDLE + _LOADED) * effects.mill_current * work
        if not running:
            return 0.0
        return self._full * (_IDLE + _LOADED * kg / self._rated * work) * effects.mill_load * effects.mill_spike


class Hopper:
    """The pulp buffer. Its pump turns faster the fuller it is, so slower fruit waits longer; it pumps until empty."""

    def __init__(self, *, rated: float, seconds: float) -> None:
        self._tank = Tank()
        self._rated = rated
        self._normal_kg = rated * seconds

    @property
    def level_pct(self) -> float:
        """How full, %: 45 at the rated feed."""
        return min(100.0, 45.0 * self._tank.kg / self._normal_kg)

    @property
    def empty(self) -> bool:
        """Whether all has been pumped on."""
        return not self._tank.contents

    def step(self, milled: Parcels, *, held: bool = False) -> Parcels:
        """One second: milled fruit in, fruit for the press out; none while it is `held` by a bridge."""
        kg = self._tank.kg
        pumped = 0.0 if held else self._rated * min(max((kg / self._normal_kg) ** 2, _SLOWEST), _FASTEST)
        out = self._tank.take(min(1.0, pumped / kg)) if kg else {}
        pour(milled, self._tank.contents)
        return out
