"""From the press to the vat: tray and pipe, and where there is one the sump emptied by a float switch."""

from __future__ import annotations

from collections.abc import Sequence
from math import exp

from tumpline_sim.flow import Parcels, Plug, Tank, pour
from tumpline_sim.material import Fruit


def litres(juice: Parcels, fruits: Sequence[Fruit]) -> dict[int, float]:
    """Volume of juice by load number, L, at the juice's own temperature."""
    return {load: parcel.juice / fruits[load].density for load, parcel in juice.items()}


class Tray:
    """Collecting tray and pipe between press and meter."""

    def __init__(self, *, tray_s: float, pipe_s: int) -> None:
        self._share = 1.0 - exp(-1.0 / tray_s)
        self._tray = Tank()
        self._pipe = Plug(pipe_s)

    @property
    def empty(self) -> bool:
        """Whether all juice has run through."""
        return not self._tray.contents and self._pipe.empty

    def step(self, juice: Parcels) -> Parcels:
        """One second: juice from the press in, juice at the end of the pipe out."""
        out = self._tray.take(self._share)
        pour(juice, self._tray.contents)
        return self._pipe.push(out)


class Sump:
    """Fills until the float switch starts the pump; the pump runs until the float is down again."""

    def __init__(self, *, rated_l_per_s: float) -> None:
        self._tank = Tank()
        self._high = 60.0 * rated_l_per_s + 10.0
        self._low = 10.0
        self._pump_l_per_s = 2.8 * rated_l_per_s
        self._pumping = False

    @property
    def empty(self) -> bool:
        """Whether nothing is left in it."""
        return not self._tank.contents

    def step(self, juice: Parcels, fruits: Sequence[Fruit], *, by_hand: bool) -> Parcels:
        """One second: juice in, what is pumped on out. `by_hand`: the crew empties it at the end of the shift."""
        pour(juice, self._tank.contents)
        level = sum(litres(self._tank.contents, fruits).values())
        if level >= self._high:
            self._pumping = True
        elif level <= self._low:
            self._pumping = False
        if not level or not (self._pumping or by_hand):
            return {}
        return self._tank.take(min(1.0, self._pump_l_per_s / level))
