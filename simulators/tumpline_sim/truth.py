"""What truly happened in a shift: kept beside the signals and never published."""

from __future__ import annotations

from collections import deque
from math import sqrt
from typing import Any

from tumpline_sim.faults import Fault
from tumpline_sim.loads import Load
from tumpline_sim.world import Second, World

_WINDOW_S = 600
_PASSAGE_S = 10
_PASSAGE = ("at", "milled_kg", "juice_fruit_kg", "juice_l", "metered_l")
"""Running totals: fruit milled; fruit whose juice has come, and that juice, before any sump; juice metered."""


class _Account:
    """Running sums of one load or of the whole shift: kg and L."""

    def __init__(self) -> None:
        self.fruit = self.juice_kg = self.juice_l = self.lost_kg = self.lost_l = self.pomace = self.pomace_dry = 0.0

    def told(self) -> dict[str, float | None]:
        """The figures as the truth names them."""
        return {
            "fruit_kg": self.fruit,
            "juice_l": self.juice_l,
            "juice_kg": self.juice_kg,
            "juice_lost_kg": self.lost_kg,
            "juice_lost_l": self.lost_l,
            "yield_l_per_t": 1000.0 * self.juice_l / self.fruit if self.fruit else None,
            "pomace_kg": self.pomace,
            "pomace_dry_matter_pct": 100.0 * self.pomace_dry / self.pomace if self.pomace else None,
        }


class Ledger:
    """Adds a shift up, second by second; its totals are summed on their own, not from the loads."""

    def __init__(self, loads: tuple[Load, ...]) -> None:
        self._loads = loads
        self._all = _Account()
        self._each = [_Account() for _ in loads]
        self._flume_l = self._water_kg = 0.0
        self._vats: dict[str, dict[int, float]] = {}
        self._trailers: dict[str, dict[int, float]] = {}
        self._recent: deque[tuple[float, float]] = deque(maxlen=_WINDOW_S)
        self._yields: list[dict[str, float | None]] = []
        self._delays: list[dict[str, float | None]] = []
        self._minute = [0.0] * 3
        self._shift_ages = [0.0] * 3
        self._last_fruit: tuple[float, int] | None = None
        self._metered_l = 0.0
        self._pumping = False
        self._pump_starts: list[float] = []
        self._passed: list[list[float]] = []
        self._passed_kg = self._passed_l = 0.0
        self._arrivals: dict[int, float] = {}
        self._gaps: list[list[float]] = []
        self._edges: list[float] = []

    def take(self, second: Second, *, vat: str, trailer: str) -> None:
        """Enter one second; juice ran to `vat`, pomace to `trailer`."""
        self._flume_l += second.flume_l
        self._take_fruit(second)
        for load, volume in second.metered_l.items():
            density = self._loads[load].fruit.density
            for account in (self._all, self._each[load]):
                account.juice_l += volume
                account.juice_kg += volume * density
            into = self._vats.setdefault(vat, {})
            into[load] = into.get(load, 0.0) + volume
        for load, parcel in second.lost.items():
            for account in (self._all, self._each[load]):
                account.lost_kg += parcel.juice
                account.lost_l += parcel.juice / self._loads[load].fruit.density
        for load, parcel in second.pomace.items():
            fruit = self._loads[load].fruit
            kg = parcel.fruit * fruit.mass_in - parcel.juice
            for account in (self._all, self._each[load]):
                account.pomace += kg
                account.pomace_dry += parcel.fruit * fruit.dry_in - parcel.juice * fruit.juice_dry_matter
            onto = self._trailers.setdefault(trailer, {})
            onto[load] = onto.get(load, 0.0) + kg
        self._take_ages(second)
        self._take_passage(second)

    def _take_fruit(self, second: Second) -> None:
        if not second.milled:
            return
        self._all.fruit += second.milled
        self._each[second.load].fruit += second.milled
        self._water_kg += second.milled * self._loads[second.load].fruit.water_carried
        if self._last_fruit is None:
            self._edges.append(second.now)
        elif self._last_fruit[1] != second.load:
            self._gaps.append([self._last_fruit[0], second.now])
            self._edges.append((self._last_fruit[0] + second.now) / 2.0)
        self._last_fruit = (second.now, second.load)

    def _take_passage(self, second: Second) -> None:
        """Running totals along the line, and when the pump behind a sump starts."""
        pumped = sum(second.metered_l.values())
        self._metered_l += pumped
        if pumped and not self._pumping:
            self._pump_starts.append(second.now)
        self._pumping = bool(pumped)
        if second.juice:
            leading = max(second.juice, key=lambda load: second.juice[load].juice)
            self._arrivals.setdefault(leading, second.now)
        if second.now % _PASSAGE_S == 0.0:
            self._passed.append([second.now, self._all.fruit, self._passed_kg, self._passed_l, self._metered_l])

    def _take_ages(self, second: Second) -> None:
        volume = sum(p.juice / self._loads[load].fruit.density for load, p in second.juice.items())
        tag = sum(p.tag for p in second.juice.values())
        tag_t = sum(p.tag_t for p in second.juice.values())
        tag_tt = sum(p.tag_tt for p in second.juice.values())
        now = second.now
        ages = (tag, now * tag - tag_t, now * now * tag - 2.0 * now * tag_t + tag_tt)
        for sums in (self._minute, self._shift_ages):
            for n, value in enumerate(ages):
                sums[n] += value
        self._recent.append((volume, tag))
        self._passed_l += volume
        self._passed_kg += tag
        if now % 60.0 == 0.0:
            self._delays.append({"at": now, "fruit_kg": self._minute[0], **_delay(self._minute)})
            self._minute = [0.0] * 3
            if len(self._recent) == _WINDOW_S:
                fruit = sum(t for _, t in self._recent)
                litres = sum(v for v, _ in self._recent)
                self._yields.append(
                    {
                        "at": now,
                        "fruit_kg": fruit,
                        "juice_l": litres,
                        "yield_l_per_t": 1000.0 * litres / fruit if fruit > 1.0 else None,
                    }
                )

    def told(self, world: World, end: float) -> dict[str, Any]:
        """The truth as JSON takes it; times in s since the start of the shift."""
        if self._last_fruit is not None:
            self._edges.append(self._last_fruit[0])
        return {
            **self._all.told(),
            "water_carried_kg": self._water_kg,
            "flume_water_l": self._flume_l,
            "end": end,
            "loads": [
                {
                    "load": load.name,
                    "grower": load.grower,
                    "brix": load.fruit.brix,
                    "fruit_dry_matter_pct": 100.0 * load.fruit.dry_matter,
                    "juice_dry_matter_pct": 100.0 * load.fruit.juice_dry_matter,
                    "insoluble_pct": 100.0 * load.fruit.insoluble,
                    "suspended_pct": 100.0 * load.fruit.suspended,
                    "water_carried_pct": 100.0 * load.fruit.water_carried,
                    "written": {"net_kg": load.net_kg, "brix": load.brix, "dry_matter_pct": load.dry_matter_pct},
                    "juice_from": self._arrivals.get(number),
                    **account.told(),
                }
                for number, (load, account) in enumerate(zip(self._loads, self._each, strict=True))
            ],
            "vats": [{"vat": vat, "from": self._shares(shares, "juice_l")} for vat, shares in self._vats.items()],
            "trailers": [
                {"trailer": name, "from": self._shares(shares, "pomace_kg")} for name, shares in self._trailers.items()
            ],
            "mill_to_juice": _delay(self._shift_ages),
            "mill_to_juice_by_minute": self._delays,
            "yield_10_min": self._yields,
            "passed": {"every_s": _PASSAGE_S, "columns": _PASSAGE, "rows": self._passed},
            "pump_starts": self._pump_starts,
            "faults": [_happened(fault, end) for fault in world.faults],
            "events": [_happened(event, end) for event in world.events] + self._varieties(),
            "gaps": self._gaps,
            "edges": self._edges,
        }

    def _varieties(self) -> list[dict[str, Any]]:
        """Changes of load that change the yield, by how much."""
        told = []
        for (_, start), before, after in zip(self._gaps, self._each, self._each[1:], strict=False):
            if min(before.juice_l, after.juice_l) > 0.0:
                change = 100.0 * (after.juice_l / after.fruit / (before.juice_l / before.fruit) - 1.0)
                told.append({"kind": "variety", "at": start, "until": start, "how": f"yield {change:+.1f} %"})
        return told

    def _shares(self, shares: dict[int, float], key: str) -> list[dict[str, str | float]]:
        return [{"load": self._loads[load].name, key: value} for load, value in shares.items()]


def _happened(fault: Fault, end: float) -> dict[str, Any]:
    at = fault.at or 0.0
    told: dict[str, Any] = {"kind": fault.kind, "at": at, "until": min(end, at + fault.lasts)}
    if fault.felt is not None:
        told["felt"] = fault.felt
    if fault.signal:
        told["signal"] = fault.signal
    if fault.how:
        told["how"] = fault.how
    return told


def _delay(sums: list[float]) -> dict[str, float | None]:
    """Mean and standard deviation of the time from mill to juice, weighted by fruit; s."""
    if sums[0] <= 0.0:
        return {"mean_s": None, "spread_s": None}
    mean = sums[1] / sums[0]
    return {"mean_s": mean, "spread_s": sqrt(max(0.0, sums[2] / sums[0] - mean * mean))}
