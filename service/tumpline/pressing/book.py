"""The shift book: loads, vats, trailers, samples and notes, and where fruit, juice and pomace go at any time.

Nothing is overwritten: what is typed late takes its place by its own time, and whoever reads the book reads it anew.
"""

from __future__ import annotations

import math
from bisect import insort
from collections.abc import Iterable, Mapping

import msgspec
from msgspec import Struct, field

from tumpline.pressing import stock
from tumpline.pressing.entries import (
    KINDS,
    Correct,
    Entry,
    Load,
    LoadOff,
    LoadOn,
    Note,
    Proof,
    Sample,
    ShiftStart,
    Trailer,
    Vat,
)
from tumpline.pressing.mistakes import mistake
from tumpline.pressing.records import CorrectionRecord
from tumpline.pressing.switches import FLUME_TIME, Switches
from tumpline.pressing.vats import KEPT, Cellar, Pours

UNNAMED = stock.UNNAMED
"""Fruit that no load entry names."""

_WAITING = 30 * 86400.0
"""Seconds after which a load that was never put on is forgotten."""

_KIND_OF = {entry: kind for kind, entry in KINDS.items()}
_ONLY_WRITTEN_ANEW = frozenset(
    {"shift-end", "acknowledge", "reset", "shelve", "unshelve", "out-of-service", "in-service", "correct"}
)


class Ticket(Struct, frozen=True):
    """A load's entry, and when it was weighed in."""

    at: float
    entry: Load


class LoadPage(Struct):
    """One load as the book has it."""

    tickets: list[Ticket]
    """In order of time: the last one counts."""
    on: float | None = None
    milled: float = 0.0
    """kg by the mill's meter in the shifts before the open one."""
    offs: list[float] = field(default_factory=list)
    """When somebody said that it had all gone, in order."""

    @property
    def off(self) -> float | None:
        """When it had all gone."""
        return self.offs[-1] if self.offs else None

    @property
    def entry(self) -> Load:
        """The load's entry."""
        return self.tickets[-1].entry

    @property
    def at(self) -> float:
        """When it was weighed in."""
        return self.tickets[-1].at


class Taken(Struct, frozen=True):
    """A sample, and when it was taken."""

    at: float
    sample: Sample


class Written(Struct):
    """An entry as it stands, corrections included."""

    at: float
    kind: str
    fields: dict[str, object]


class Book(Struct):
    """Everything people wrote that the figures need."""

    loads: dict[str, LoadPage] = field(default_factory=dict)
    trailers: dict[str, Trailer] = field(default_factory=dict)
    taken: list[Taken] = field(default_factory=list)
    proofs: list[Proof] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    crew: tuple[str, ...] = ()
    at_mill: Switches = field(default_factory=lambda: Switches(lag=FLUME_TIME))
    to_vat: Switches = field(default_factory=Switches)
    to_trailer: Switches = field(default_factory=Switches)
    cellar: Cellar = field(default_factory=Cellar)
    written: dict[str, Written] = field(default_factory=dict)
    """Every entry of the last fortnight by its id: the same entry twice counts once."""
    corrections: list[CorrectionRecord] = field(default_factory=list)
    """Those made in this shift."""
    opened: float = -math.inf
    """When the open shift began."""

    def is_new(self, entry_id: str, at: float, entry: Entry) -> bool:
        """Remember the entry; False when it was taken before."""
        if entry_id in self.written:
            return False
        self.written[entry_id] = Written(at, _KIND_OF[type(entry)], msgspec.to_builtins(entry))
        return True

    def mistake(self, at: float, entry: Entry, pours: Pours) -> str | None:
        """What cannot be so in an entry, in a sentence; `pours` is where the open shift's juice went so far."""
        return mistake(
            entry,
            growers={name: page.entry.grower for name, page in self.loads.items() if page.tickets},
            capacities=self.cellar.capacities,
            stocks=self.cellar.stocks(pours, at),
        )

    def correct(
        self, correction: Correct, *, at: float = math.nan, by: str = "", pours: Pours | None = None
    ) -> tuple[Entry, Entry] | str:
        """
        Put corrected fields in the place of an entry's own; the entry before and after, or a sentence why not. `at` and
        `by` are when and by whom; both versions stay in `corrections`.
        """
        written = self.written.get(correction.entry)
        if written is None:
            return f"There is no entry {correction.entry} in the book of the last fortnight."
        if written.kind in _ONLY_WRITTEN_ANEW:
            return f"An entry of kind {written.kind} is not corrected; write another."
        kind = KINDS[written.kind]
        changes = dict(correction.fields)
        new_at = msgspec.convert(changes.pop("at", written.at), float)
        fields = written.fields | changes
        old, new = msgspec.convert(written.fields, kind), msgspec.convert(fields, kind)
        self._take_back(written.at, old)
        problem = self._merging(old, new) or self.mistake(new_at, new, pours or Pours())
        if problem is not None:
            self.write(written.at, old)
            return problem
        self.write(new_at, new)
        if isinstance(old, Load) and isinstance(new, Load):
            self._rename(old.load, new.load)
        elif isinstance(old, Vat) and isinstance(new, Vat) and old.vat != new.vat:
            self.cellar.reroute(written.at, old.vat, new.vat)
        before = {name: written.fields[name] for name in changes} | ({"at": written.at} if new_at != written.at else {})
        after = {name: fields[name] for name in changes} | ({"at": new_at} if new_at != written.at else {})
        load = getattr(new, "load", None)
        self.corrections.append(CorrectionRecord(correction.entry, written.kind, load, at, by, before, after))
        self.written[correction.entry] = Written(new_at, written.kind, fields)
        return old, new

    def _merging(self, old: Entry, new: Entry) -> str | None:
        """A load does not become another one that was weighed in as well."""
        if not isinstance(old, Load) or not isinstance(new, Load) or new.load == old.load:
            return None
        left, there = self.loads.get(old.load), self.loads.get(new.load)
        if there is None or not there.tickets or (left is not None and left.tickets):
            return None
        return f"Load {new.load} is in the book already; the number of no other load is accepted."

    def _take_back(self, at: float, entry: Entry) -> None:
        """As if it had not been written; a load's page stays, maybe without a ticket."""
        self.cellar.unwrite(at, entry)
        match entry:
            case Load(load=name) if name in self.loads and Ticket(at, entry) in self.loads[name].tickets:
                self.loads[name].tickets.remove(Ticket(at, entry))
            case LoadOn(load=name):
                self.at_mill.remove(at, name)
                self._note_on(name)
            case LoadOff(load=name) if name in self.loads and at in self.loads[name].offs:
                self.loads[name].offs.remove(at)
            case Vat():
                self.to_vat.remove(at, entry.vat)
            case Trailer(net_kg=None):
                self.to_trailer.remove(at, entry.trailer)
            case Trailer() if entry.trailer in self.trailers:
                self.trailers[entry.trailer] = Trailer(entry.trailer, self.trailers[entry.trailer].capacity_kg)
            case Sample() if Taken(at, entry) in self.taken:
                self.taken.remove(Taken(at, entry))
            case Proof() if entry in self.proofs:
                self.proofs.remove(entry)
            case Note(text=text) | ShiftStart(note=text) if text in self.notes:
                self.notes.remove(text)
            case _:
                pass

    def _rename(self, load: str, name: str) -> None:
        """A load that has no ticket of that number any more: whatever was written about it is about the right one."""
        page = self.loads.get(load)
        if page is None or page.tickets:
            return
        del self.loads[load]
        self.loads[name] = LoadPage(self.loads[name].tickets, page.on, page.milled, page.offs)
        self.at_mill.names = [name if held == load else held for held in self.at_mill.names]
        self.taken = [
            Taken(t.at, msgspec.structs.replace(t.sample, load=name)) if t.sample.load == load else t
            for t in self.taken
        ]
        for written in self.written.values():
            if written.fields.get("load") == load:
                written.fields["load"] = name
        self.cellar.rename(load, name)

    def write(self, at: float, entry: Entry) -> bool:
        """Write an entry about fruit, juice or pomace; True when it changes who owns what."""
        changed = self.cellar.write(at, entry)
        match entry:
            case ShiftStart():
                self.crew = entry.crew
                self._note(entry.note)
            case Load():
                self._load(at, entry)
            case LoadOn(load=name):
                self.at_mill.add(at, name)
                self._note_on(name)
                return True
            case LoadOff(load=name) if name in self.loads:
                insort(self.loads[name].offs, at)
            case Vat():
                self.to_vat.add(at, entry.vat)
                return True
            case Trailer():
                return self._trailer(at, entry)
            case Sample():
                self.taken.append(Taken(at, entry))
            case Proof():
                self.proofs.append(entry)
            case Note():
                self._note(entry.text)
            case _:
                pass
        return changed

    def _note(self, text: str | None) -> None:
        if text:
            self.notes.append(text)

    def _note_on(self, load: str) -> None:
        if load in self.loads:
            on = self.at_mill.latest(load)[0]
            self.loads[load].on = on if on < math.inf else None

    def _load(self, at: float, entry: Load) -> None:
        """The ticket written for the latest time counts."""
        page = self.loads.setdefault(entry.load, LoadPage([]))
        insort(page.tickets, Ticket(at, entry), key=lambda ticket: ticket.at)
        self._note_on(entry.load)

    def _trailer(self, at: float, entry: Trailer) -> bool:
        known = self.trailers.get(entry.trailer)
        capacity = entry.capacity_kg if known is None or entry.capacity_kg is not None else known.capacity_kg
        self.trailers[entry.trailer] = Trailer(entry.trailer, capacity, entry.net_kg, entry.to)
        if entry.net_kg is not None:
            return False
        self.to_trailer.add(at, entry.trailer)
        return True

    @property
    def samples(self) -> list[Sample]:
        """Samples that speak of the open shift's fruit, juice and pomace."""
        return [t.sample for t in self.taken if self._speaks(t)]

    def _speaks(self, taken: Taken) -> bool:
        page = self.loads.get(taken.sample.load or UNNAMED)
        if page is None or page.on is None:
            return taken.at >= self.opened
        return page.on >= self.opened or self.at_mill.at(self.opened) == page.entry.load

    def of_juice(self, figure: str) -> dict[str, float]:
        """
        What is known of a figure of the loads' juice by its name in entries (`acidity_g_per_l`, `tannin_g_per_l`,
        `brix`): the newest sample of a load, else what it was weighed in with.
        """
        given = ((name, getattr(page.entry, figure)) for name, page in self.loads.items())
        known = {name: value for name, value in given if value is not None}
        for taken in sorted(self.taken, key=lambda taken: taken.at):
            value = getattr(taken.sample, figure)
            if taken.sample.load is not None and taken.sample.what != "pomace" and value is not None:
                known[taken.sample.load] = value
        return known

    def known_loads(self, names: Iterable[str]) -> list[LoadPage]:
        """Pages of those loads that the book has."""
        return [self.loads[n] for n in names if n in self.loads]

    def end_shift(self, at: float, pours: Pours, milled: Mapping[str, float]) -> None:
        """What the next shift goes on from: its vats, and what was milled of its loads (kg by load)."""
        self.cellar.close(pours, at)
        for load, kg in milled.items():
            if load in self.loads:
                self.loads[load].milled += kg
        self.begin_shift(at)

    def begin_shift(self, at: float) -> None:
        """Keep what goes on, forget what only the last shift needed."""
        for switches in (self.at_mill, self.to_vat, self.to_trailer):
            switches.forget_before(at)
        self.opened = at
        self.notes.clear()
        self.corrections.clear()
        self.proofs = [p for p in self.proofs if p.end > at]
        self.crew = ()
        self.written = {k: w for k, w in self.written.items() if w.at > at - KEPT}
        self._forget_loads(at)

    def _forget_loads(self, at: float) -> None:
        """A load stays while it may still be pressed, corrected, or asked for because its juice is in a vat."""
        going = self.cellar.loads() | {self.at_mill.at(at)}
        self.loads = {
            name: page
            for name, page in self.loads.items()
            if name in going or max(page.at, page.on or page.at) > at - (_WAITING if page.on is None else KEPT)
        }
        self.taken = [t for t in self.taken if t.at >= at or t.sample.load in self.loads]
