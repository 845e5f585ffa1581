"""
Summaries that were told, as they stand: what was written wrong in a shift that is over can still be put right.

The ledger of such a shift is gone, so no figure of a meter is computed again. What people wrote stands in the summary
as they wrote it, and is replaced there: whose load it was, what it weighed, its varieties and name, why the line stood,
who worked. What vats held is reckoned anew, from where the book still knows the juice to have gone. Where a correction
would move other litres or kilograms, such as the time of a switch, the summary says that they stay as first told.
"""

from __future__ import annotations

from collections.abc import Iterable

from msgspec import Struct, field, structs

from tumpline.pressing.book import Book
from tumpline.pressing.entries import (
    Dip,
    Draw,
    Entry,
    Load,
    LoadOff,
    LoadOn,
    Note,
    Reason,
    Sample,
    ShiftStart,
    Trailer,
    Transfer,
    Vat,
)
from tumpline.pressing.params import LineParams
from tumpline.pressing.records import CorrectionRecord, Holding, Share, StopRecord, Summary
from tumpline.pressing.vats_anew import vats_anew, vats_in

KEPT = 15 * 86400.0
"""Seconds: last week's loads can be corrected on any day of this one."""
_IN_LOAD = frozenset({"load", "grower", "net_kg", "varieties", "harvested", "condition"})
"""Fields of a load on which no figure of a meter rests."""


class Told(Struct):
    """The last summaries of a line, in the order of their ends."""

    summaries: list[Summary] = field(default_factory=list)

    def keep(self, summary: Summary) -> None:
        """Remember a summary that is told now, and forget the old ones."""
        self.summaries = [s for s in self.summaries if s.end > summary.end - KEPT]
        self.summaries.append(summary)

    def correct(
        self, correction: CorrectionRecord, at: float, old: Entry, new: Entry, *, book: Book, params: LineParams
    ) -> list[Summary]:
        """
        Put right what rests on an entry that was made for `at`; the summaries to be told anew.

        `old` and `new` are the entry before and after, `book` has the new one already.
        """
        anew = []
        for place, summary in enumerate(self.summaries):
            right = _put_right(summary, correction, at, old, new)
            if at <= summary.end and not _moves_juice(old, correction):
                vats = vats_anew(summary, book, params, vats_in(old) | vats_in(new))
                right = right if vats is None else structs.replace(summary, vats=vats)
            if right is not None:
                self.summaries[place] = structs.replace(right, corrections=(*summary.corrections, correction))
                anew.append(self.summaries[place])
        return anew

    def give_reason(self, given: Reason, by: str) -> Summary | None:
        """Why a stop of a shift that is over happened; its summary, to be told anew, None where none has the stop."""
        for place, summary in enumerate(self.summaries):
            if any(stop.id == given.stop for stop in summary.stops):
                stops = tuple(_of_stop(stop, given, given, by) for stop in summary.stops)
                self.summaries[place] = structs.replace(summary, stops=stops)
                return self.summaries[place]
        return None


def _put_right(summary: Summary, correction: CorrectionRecord, at: float, old: Entry, new: Entry) -> Summary | None:
    """The summary with the new entry in the old one's place; None where it does not rest on it."""
    during = summary.start <= at <= summary.end
    match old, new:
        case Load(), Load() if _names(summary, old.load):
            right = _of_load(summary, old, new)
            return right if _IN_LOAD.issuperset(correction.after) else _remark(right, correction)
        case Reason(), Reason() if any(stop.id in (old.stop, new.stop) for stop in summary.stops):
            return structs.replace(
                summary, stops=tuple(_of_stop(stop, old, new, correction.by) for stop in summary.stops)
            )
        case Trailer(), Trailer() if during and any(trailer.trailer == old.trailer for trailer in summary.trailers):
            moved = not correction.after.keys() <= {"net_kg", "capacity_kg", "to"}
            return _remark(summary, correction) if moved else _of_trailer(summary, new)
        case ShiftStart(), ShiftStart() if during and summary.shift == old.shift:
            right = structs.replace(summary, crew=new.crew, notes=_noted(summary, old.note, new.note))
            return _remark(right, correction) if {"shift", "at"} & correction.after.keys() else right
        case Note(), Note() if during:
            return structs.replace(summary, notes=_noted(summary, old.text, new.text))
        case ((LoadOn() | LoadOff() | Vat() | Dip() | Transfer() | Draw() | Sample()), _) if during:
            return _remark(summary, correction)
        case _:
            return None


def _moves_juice(old: Entry, correction: CorrectionRecord) -> bool:
    """Whether juice went to a vat from another time on than was written: which juice that is, no shift remembers."""
    return isinstance(old, Vat) and "at" in correction.after


def _names(summary: Summary, load: str) -> bool:
    """Whether it was pressed in this shift, or its juice stood in a vat."""
    held = (part.load for vat in summary.vats for part in vat.holds)
    return load in {*(record.load for record in summary.loads), *held}


def _of_load(summary: Summary, old: Load, new: Load) -> Summary:
    loads = tuple(
        structs.replace(load, load=new.load, grower=new.grower, varieties=new.varieties, net=new.net_kg)
        if load.load == old.load
        else load
        for load in summary.loads
    )

    def held(holds: Iterable[Holding]) -> tuple[Holding, ...]:
        return tuple(Holding(new.load, new.grower, h.amount) if h.load == old.load else h for h in holds)

    def renamed(shares: Iterable[Share]) -> tuple[Share, ...]:
        return tuple(Share(new.load, share.amount) if share.load == old.load else share for share in shares)

    return structs.replace(
        summary,
        loads=loads,
        vats=tuple(structs.replace(v, shares=renamed(v.shares), holds=held(v.holds)) for v in summary.vats),
        trailers=tuple(structs.replace(t, shares=renamed(t.shares)) for t in summary.trailers),
    )


def _of_stop(stop: StopRecord, old: Reason, new: Reason, by: str) -> StopRecord:
    if stop.id == new.stop:
        return structs.replace(stop, reason=new.reason, note=new.note, by=by)
    if stop.id == old.stop:
        return structs.replace(stop, reason=None, note=None, by=None)
    return stop


def _of_trailer(summary: Summary, new: Trailer) -> Summary:
    return structs.replace(
        summary,
        trailers=tuple(
            structs.replace(t, weighed=new.net_kg, capacity=new.capacity_kg or t.capacity, taken_by=new.to)
            if t.trailer == new.trailer
            else t
            for t in summary.trailers
        ),
    )


def _noted(summary: Summary, old: str | None, new: str | None) -> tuple[str, ...]:
    if old in summary.notes:
        return tuple(text for note in summary.notes if (text := new if note == old else note))
    return (*summary.notes, new) if new else summary.notes


def _remark(summary: Summary, correction: CorrectionRecord) -> Summary:
    what = ", ".join(correction.after)
    remark = (
        f"An entry of kind {correction.kind} was put right ({what}) after this shift was summed up: "
        "litres, kilograms and what follows from them stay as they were first told."
    )
    return summary if remark in summary.notes else structs.replace(summary, notes=(*summary.notes, remark))
