"""The shift book: loads, vats, trailers, samples and notes, and where fruit, juice and pomace go at any time.

Nothing is overwritten: a switch typed late takes its place by its own time, and whoever reads the book reads it anew.
"""

from __future__ import annotations

import math
from bisect import bisect_right
from collections.abc import Iterable

import msgspec
from msgspec import Struct, field

from tumpline.pressing.entries import (
    KINDS,
    Correct,
    Entry,
    Load,
    LoadOff,
    LoadOn,
    Note,
    Sample,
    ShiftStart,
    Trailer,
    Vat,
)
from tumpline.pressing.records import VatRecord

FLUME_TIME = 20.0
"""Seconds from the flume to the mill, and as many either way (common practice, no source)."""

UNNAMED = ""
"""Fruit that no load entry names."""


_KIND_OF = {entry: kind for kind, entry in KINDS.items()}
_CORRECTABLE = frozenset({"shift-start", "load", "load-on", "load-off", "vat", "trailer", "sample", "reason", "note"})


class Switches(Struct):
    """From when on something goes where, in order of event time."""

    times: list[float] = field(default_factory=list)
    names: list[str] = field(default_factory=list)

    def add(self, at: float, name: str) -> None:
        """From `at` on it is `name`, until the next switch."""
        place = bisect_right(self.times, at)
        self.times.insert(place, at)
        self.names.insert(place, name)

    def remove(self, at: float, name: str) -> None:
        """Take back the switch to `name` that was written for `at`, or for when its fruit reached the mill."""
        for place, (time, held) in enumerate(zip(self.times, self.names, strict=True)):
            if held == name and at <= time <= at + FLUME_TIME:
                del self.times[place], self.names[place]
                return

    def at(self, when: float) -> str:
        """The name that holds at `when`; empty before the first switch."""
        place = bisect_right(self.times, when)
        return self.names[place - 1] if place else UNNAMED

    def latest(self, name: str) -> tuple[float, float]:
        """When it last began to hold, and when the next switch ended that; (inf, inf) where it never did."""
        place = max((i for i, n in enumerate(self.names) if n == name), default=len(self.names))
        times = [*self.times, math.inf, math.inf]
        return times[place], times[place + 1]

    def forget_before(self, when: float) -> None:
        """Drop all switches that no longer matter at `when`."""
        place = bisect_right(self.times, when) - 1
        if place > 0:
            del self.times[:place]
            del self.names[:place]


class LoadPage(Struct):
    """One load as the book has it."""

    entry: Load
    at: float
    on: float | None = None
    off: float | None = None


class Written(Struct):
    """An entry as it stands, corrections included."""

    at: float
    kind: str
    fields: dict[str, object]


class Book(Struct):
    """Everything people wrote that the figures need."""

    loads: dict[str, LoadPage] = field(default_factory=dict)
    vats: dict[str, Vat] = field(default_factory=dict)
    trailers: dict[str, Trailer] = field(default_factory=dict)
    samples: list[Sample] = field(default_factory=list)
    notes: list[str] = field(default_factory=list)
    crew: tuple[str, ...] = ()
    at_mill: Switches = field(default_factory=Switches)
    to_vat: Switches = field(default_factory=Switches)
    to_trailer: Switches = field(default_factory=Switches)
    written: dict[str, Written] = field(default_factory=dict)
    """Every entry of the last week by its id: the same entry twice counts once."""
    load_now: str | None = None

    def is_new(self, entry_id: str, at: float, entry: Entry) -> bool:
        """Remember the entry; False when it was taken before."""
        if entry_id in self.written:
            return False
        self.written[entry_id] = Written(at, _KIND_OF[type(entry)], msgspec.to_builtins(entry))
        return True

    def correct(self, correction: Correct) -> tuple[Entry, Entry] | str:
        """Put corrected fields in the place of an entry's own; the entry before and after, or a sentence why not."""
        written = self.written.get(correction.entry)
        if written is None:
            return f"There is no entry {correction.entry} in the last week's book."
        if written.kind not in _CORRECTABLE:
            return f"An entry of kind {written.kind} is not corrected; write another."
        fields = written.fields | correction.fields
        at = fields.pop("at", written.at)
        kind = KINDS[written.kind]
        old, new = msgspec.convert(written.fields, kind), msgspec.convert(fields, kind)
        new_at = msgspec.convert(at, float)
        self._replace(written.at, old, new_at, new)
        self.written[correction.entry] = Written(new_at, written.kind, fields)
        return old, new

    def _replace(self, at: float, old: Entry, new_at: float, new: Entry) -> None:
        page = None
        match old:
            case Load():
                page = self.loads.pop(old.load, None)
            case LoadOn():
                self.at_mill.remove(at, old.load)
            case LoadOff() if old.load in self.loads:
                self.loads[old.load].off = None
            case Vat():
                self.to_vat.remove(at, old.vat)
            case Trailer():
                self.to_trailer.remove(at, old.trailer)
            case Sample() if old in self.samples:
                self.samples.remove(old)
            case Note(text=text) | ShiftStart(note=text) if text in self.notes:
                self.notes.remove(text)
            case _:
                pass
        self.write(new_at, new)
        if page is not None and isinstance(new, Load):
            self.loads[new.load].on, self.loads[new.load].off = page.on, page.off

    def write(self, at: float, entry: object) -> bool:
        """Write an entry about fruit, juice or pomace; True when it changes who owns what."""
        match entry:
            case ShiftStart():
                self.crew = entry.crew
                self._note(entry.note)
            case Load():
                page = self.loads.get(entry.load)
                self.loads[entry.load] = LoadPage(entry, at, page.on if page else None, page.off if page else None)
            case LoadOn():
                return self._load_on(at, entry.load)
            case LoadOff():
                page = self.loads.get(entry.load)
                if page is not None:
                    page.off = at
                if self.load_now == entry.load:
                    self.load_now = None
            case Vat():
                known = self.vats.get(entry.vat)
                self.vats[entry.vat] = _keep_known(entry, known)
                self.to_vat.add(at, entry.vat)
                return True
            case Trailer():
                return self._trailer(at, entry)
            case Sample():
                self.samples.append(entry)
            case Note():
                self._note(entry.text)
            case _:
                pass
        return False

    def _note(self, text: str | None) -> None:
        if text:
            self.notes.append(text)

    def _load_on(self, at: float, name: str) -> bool:
        page = self.loads.get(name)
        if page is not None:
            page.on = at
        self.load_now = name
        before = self.at_mill.at(at)  # fruit that follows no other load is this load's from the first apple
        self.at_mill.add(at + FLUME_TIME if before != UNNAMED else at, name)
        return True

    def _trailer(self, at: float, entry: Trailer) -> bool:
        known = self.trailers.get(entry.trailer)
        capacity = entry.capacity_kg if known is None or entry.capacity_kg is not None else known.capacity_kg
        self.trailers[entry.trailer] = Trailer(entry.trailer, capacity, entry.net_kg)
        if entry.net_kg is not None:
            return False
        self.to_trailer.add(at, entry.trailer)
        return True

    def known_loads(self, names: Iterable[str]) -> list[LoadPage]:
        """Pages of those loads that the book has."""
        return [self.loads[n] for n in names if n in self.loads]

    def remember_contents(self, vats: Iterable[VatRecord]) -> None:
        """At the end of a shift: what the vats hold now is what the next shift's juice is added to."""
        for vat in vats:
            if vat.contents is not None:
                self.vats[vat.vat] = msgspec.structs.replace(self.vats[vat.vat], contents_l=1000.0 * vat.contents)

    def begin_shift(self, at: float) -> None:
        """Keep what goes on, forget what only the last shift needed."""
        for switches in (self.at_mill, self.to_vat, self.to_trailer):
            switches.forget_before(at)
        self.notes.clear()
        self.crew = ()
        self.written = {k: w for k, w in self.written.items() if w.at > at - 7 * 86400.0}


def _keep_known(entry: Vat, known: Vat | None) -> Vat:
    """A vat's capacity stays known when a later entry does not repeat it."""
    if known is None or entry.capacity_l is not None:
        return entry
    return Vat(entry.vat, known.capacity_l, entry.contents_l)
