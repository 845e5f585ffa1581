"""The shift book as people read it: every entry with its corrections, and which loads, vats and trailers there are.

`book` keeps what the figures need; here is what people want to see again, pick from, and put right.
"""

from __future__ import annotations

from collections.abc import Sequence
from typing import NamedTuple

import msgspec
from msgspec import Struct

from tumpline.pressing.entries import KINDS, Correct, Entry, Load, LoadOff, LoadOn, Trailer, Vat, VatKnown
from tumpline.pressing.events import EntryMade

KEPT = 14 * 86400.0
"""s that entries can be read again: last week's can still be corrected."""

KIND_OF = {entry: kind for kind, entry in KINDS.items()}


class Correction(NamedTuple):
    """Somebody put an entry right."""

    by: str
    at: float
    before: Entry
    """What it said until then."""


class Noted(Struct, frozen=True):
    """One entry as it stands now."""

    id: str
    at: float
    by: str
    entry: Entry
    corrections: tuple[Correction, ...] = ()
    refused: str | None = None
    """Why the line could not take it; None where it did."""

    @property
    def kind(self) -> str:
        """As the topic names it."""
        return KIND_OF[type(self.entry)]


class Lot(NamedTuple):
    """A load in the yard, on the line, or pressed."""

    entry: Load
    at: float
    on: float | None
    off: float | None
    """When its last fruit went in, or the next load's first."""

    @property
    def waiting(self) -> bool:
        """True until its fruit goes in."""
        return self.on is None


class Logbook:
    """One line's book, entries taken in the order in which they arrived."""

    def __init__(self) -> None:
        self._noted: dict[str, Noted] = {}

    def take(self, made: EntryMade) -> None:
        """Write an entry, or put an earlier one right; what was taken before changes nothing."""
        if made.id in self._noted:
            return
        if isinstance(made.entry, Correct):
            self._correct(made, made.entry)
        self._noted[made.id] = Noted(made.id, made.at, made.by, made.entry)
        self._noted = {key: noted for key, noted in self._noted.items() if noted.at > made.at - KEPT}

    def refuse(self, kind: str, at: float, reason: str) -> None:
        """The line could not take the newest entry of that kind and time; `alarm` is any kind that is about one."""
        for key, noted in reversed(self._noted.items()):
            about_alarm = kind == "alarm" and hasattr(noted.entry, "alarm")
            if noted.at == at and (noted.kind == kind or about_alarm):
                self._noted[key] = msgspec.structs.replace(noted, refused=reason)
                return

    def find(self, entry: str) -> Noted | None:
        """The entry of that id."""
        return self._noted.get(entry)

    @property
    def entries(self) -> Sequence[Noted]:
        """All but corrections, newest first; an entry put right stands once, with its corrections."""
        kept = (noted for noted in self._noted.values() if not isinstance(noted.entry, Correct))
        return sorted(kept, key=lambda noted: noted.at, reverse=True)

    @property
    def lots(self) -> Sequence[Lot]:
        """The loads, in the order in which they came."""
        lots: dict[str, Lot] = {}
        on: str | None = None
        weighed_first = sorted(self._taken(), key=lambda noted: not isinstance(noted.entry, Load))  # often typed last
        for noted in weighed_first:
            match noted.entry:
                case Load(load=name):
                    known = lots.get(name)
                    lots[name] = known._replace(entry=noted.entry) if known else Lot(noted.entry, noted.at, None, None)
                case LoadOn(load=name):
                    if on is not None and on != name and on in lots and lots[on].off is None:
                        lots[on] = lots[on]._replace(off=noted.at)
                    on = name
                    if name in lots:
                        lots[name] = lots[name]._replace(on=noted.at, off=None)
                case LoadOff(load=name) if name in lots:
                    lots[name] = lots[name]._replace(off=noted.at)
                case _:
                    pass
        return tuple(lots.values())

    @property
    def vats(self) -> dict[str, Vat]:
        """Every vat that was named, with the last that was said about it."""
        vats: dict[str, Vat] = {}
        for noted in self._taken():
            if isinstance(noted.entry, Vat | VatKnown):
                known = vats.pop(noted.entry.vat, None)
                capacity = noted.entry.capacity_l or (known.capacity_l if known else None)
                vats[noted.entry.vat] = Vat(noted.entry.vat, capacity, noted.entry.contents_l)
        return vats

    @property
    def trailers(self) -> dict[str, Trailer]:
        """Every trailer that was named, with the last that was said about it."""
        trailers: dict[str, Trailer] = {}
        for noted in self._taken():
            if isinstance(noted.entry, Trailer):
                known = trailers.pop(noted.entry.trailer, None)
                capacity = noted.entry.capacity_kg or (known.capacity_kg if known else None)
                trailers[noted.entry.trailer] = Trailer(noted.entry.trailer, capacity, noted.entry.net_kg)
        return trailers

    def _taken(self) -> Sequence[Noted]:
        """What the line took, oldest first."""
        taken = (noted for noted in self._noted.values() if noted.refused is None)
        return sorted(taken, key=lambda noted: noted.at)

    def _correct(self, made: EntryMade, correction: Correct) -> None:
        noted = self._noted.get(correction.entry)
        if noted is None:
            return  # of a time that is no longer read again here
        changes = dict(correction.fields)
        at = changes.pop("at", noted.at)
        fields = msgspec.to_builtins(noted.entry) | changes
        self._noted[noted.id] = msgspec.structs.replace(
            noted,
            at=msgspec.convert(at, float),
            entry=msgspec.convert(fields, type(noted.entry)),
            corrections=(*noted.corrections, Correction(made.by, made.at, noted.entry)),
        )
