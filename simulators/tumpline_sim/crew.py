"""The crew: what they write in the shift book, and which vat and trailer they send things to."""

from __future__ import annotations

from dataclasses import dataclass
from math import inf
from random import Random
from typing import Any

from tumpline_sim.loads import Load
from tumpline_sim.world import Second

CREW = ("shift lead", "press hand")
_NEARLY_FULL, _NINE_TENTHS, _FOUR_FIFTHS = 0.92, 0.9, 0.8


@dataclass(frozen=True)
class Entry:
    """A book entry: when it was made (s since the shift began), its kind and its own fields."""

    at: float
    kind: str
    fields: dict[str, Any]


class Crew:
    """Two people and a book. `rate` (t/h) says how big the vats and trailers are."""

    def __init__(
        self, rng: Random, loads: tuple[Load, ...], *, shift: str, rate: float, first_vat: int, various: bool
    ) -> None:
        self._rng = rng
        self._loads = loads
        self._shift = shift
        self._various = various
        self._vat_capacity = 5000.0 * rate
        self._trailer_capacity = round(0.75 * rate) * 1000.0 or 500.0
        begun = float(round(rng.uniform(0.0, 0.2) * self._vat_capacity, -2))
        self._vat_contents = {f"V{first_vat}": begun if first_vat == 1 else 0.0}
        self._trailer_kg = 0.0
        self._vats, self._trailers = first_vat, 1
        self._weighed = 0
        self._weigh_at = 4.0
        self._switch_at = inf
        self._ended: float | None = None
        self._changed_at = -inf
        self.filled: dict[tuple[str, str], list[float]] = {}
        """Vats and trailers by kind and name: when they were four fifths full, and when nine tenths (s)."""

    @property
    def vat(self) -> str:
        """Where juice goes now."""
        return f"V{self._vats}"

    @property
    def trailer(self) -> str:
        """Where pomace goes now."""
        return f"T{self._trailers}"

    @property
    def ended_at(self) -> float | None:
        """When the shift was closed."""
        return self._ended

    def vat_volume(self, vat: str) -> float:
        """L in a vat; 0 in one not used yet."""
        return self._vat_contents.get(vat, 0.0)

    @property
    def trailer_kg(self) -> float:
        """Pomace on the trailer that stands there now."""
        return self._trailer_kg

    def step(self, second: Second, *, juice_l: float, pomace_kg: float) -> list[Entry]:
        """One second's entries, given what went into the vat and onto the trailer."""
        self._vat_contents[self.vat] += juice_l
        self._trailer_kg += pomace_kg
        now = second.now
        self._note_fullness(now)
        entries = self._open() if now == 1.0 else []
        entries += self._weigh_in(now)
        for kind, load in second.entries:
            entries.append(Entry(now, kind, {"load": load, "by": CREW[0]}))
            if kind == "load-on":
                self._plan_ahead(now, load)
        asked = second.effects.trailer_change and now - self._changed_at > 600.0
        entries += self._change_vat(now) + self._change_trailer(now, asked=asked)
        if second.drained and self._ended is None:
            self._ended = now + 20.0
            entries.append(Entry(now + 10.0, "trailer", self._left()))
            entries.append(Entry(self._ended, "shift-end", {"shift": self._shift, "by": CREW[0]}))
        return entries

    def _open(self) -> list[Entry]:
        return [
            Entry(1.0, "shift-start", {"shift": self._shift, "crew": list(CREW), "by": CREW[0]}),
            Entry(2.0, "vat", self._vat_fields()),
            Entry(3.0, "trailer", self._trailer_fields()),
        ]

    def _plan_ahead(self, now: float, load: str) -> None:
        """When a load goes on: weigh the next one in, and half way through the day change the vat."""
        self._weigh_at = now + 120.0
        half_way = len(self._loads) // 2
        if half_way and load == self._loads[half_way].name:
            # The other half of the day's fruit is kept apart: the vat is changed when its juice should be there.
            # On various days it may as well be in the midst of the load.
            latest = 1500.0 if self._various and self._rng.random() < 0.5 else 150.0
            self._switch_at = now + self._rng.uniform(90.0, latest)

    def _weigh_in(self, now: float) -> list[Entry]:
        """The first load before any fruit runs, the others while the one before is being milled."""
        if self._weighed == len(self._loads) or now < self._weigh_at:
            return []
        self._weigh_at = inf
        load = self._loads[self._weighed]
        self._weighed += 1
        fields: dict[str, Any] = {
            "load": load.name,
            "grower": load.grower,
            "net_kg": load.net_kg,
            "varieties": [{"name": name, "share": share} for name, share in load.varieties],
            **({} if load.brix is None else {"brix": load.brix}),
            "acidity_g_per_l": load.acidity_g_per_l,
            "tannin_g_per_l": load.tannin_g_per_l,
        }
        if load.dry_matter_pct is not None:
            fields["dry_matter_pct"] = load.dry_matter_pct
        return [Entry(now, "load", {**fields, "by": CREW[1]})]

    def _change_vat(self, now: float) -> list[Entry]:
        full = self._vat_contents[self.vat] > _NEARLY_FULL * self._vat_capacity
        if not full and now < self._switch_at:
            return []
        self._switch_at = inf
        self._vats += 1
        self._vat_contents[self.vat] = 0.0
        return [Entry(now, "vat", self._vat_fields())]

    def _vat_fields(self) -> dict[str, Any]:
        contents = round(self._vat_contents[self.vat])
        return {"vat": self.vat, "capacity_l": self._vat_capacity, "contents_l": contents, "by": CREW[0]}

    def _note_fullness(self, now: float) -> None:
        for kind, name, amount, capacity in (
            ("vat", self.vat, self._vat_contents[self.vat], self._vat_capacity),
            ("trailer", self.trailer, self._trailer_kg, self._trailer_capacity),
        ):
            if amount > _FOUR_FIFTHS * capacity:
                times = self.filled.setdefault((kind, name), [now])
                if len(times) == 1 and amount > _NINE_TENTHS * capacity:
                    times.append(now)

    def _change_trailer(self, now: float, *, asked: bool) -> list[Entry]:
        if self._trailer_kg < _NEARLY_FULL * self._trailer_capacity and not asked:
            return []
        self._changed_at = now
        left = Entry(now, "trailer", self._left())
        self._trailers += 1
        self._trailer_kg = 0.0
        return [left, Entry(now + 0.5, "trailer", self._trailer_fields())]

    def _trailer_fields(self) -> dict[str, Any]:
        return {"trailer": self.trailer, "capacity_kg": self._trailer_capacity, "by": CREW[1]}

    def _left(self) -> dict[str, Any]:
        """The trailer that leaves, weighed in divisions of 10 kg."""
        kg = round(self._trailer_kg * (1.0 + self._rng.uniform(-0.002, 0.002)) / 10.0) * 10
        return {"trailer": self.trailer, "net_kg": kg, "by": CREW[1]}
