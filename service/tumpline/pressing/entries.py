"""Book entries: what only people know. One class a kind, fields as the contract names them.

Masses and volumes are kg and L here as people write them; `book` turns them into figures. Optional fields are None when
not given.
"""

from __future__ import annotations

from typing import Literal

import msgspec


class Variety(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """One variety of a load and its share of the mass, 0 to 1."""

    name: str
    share: float


class ShiftStart(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A shift begins; an open one before it ends here."""

    shift: str
    crew: tuple[str, ...] = ()
    note: str | None = None


class ShiftEnd(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A shift ends and is summed up; without a name, the open one."""

    shift: str | None = None
    crew: tuple[str, ...] = ()
    note: str | None = None


class Load(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A grower's load was weighed in."""

    load: str
    grower: str
    net_kg: float
    varieties: tuple[Variety, ...]
    brix: float | None = None
    acidity_g_per_l: float | None = None
    tannin_g_per_l: float | None = None
    harvested: str | None = None
    condition: str | None = None
    dry_matter_pct: float | None = None


class LoadOn(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """This load's fruit is now going into the flume."""

    load: str


class LoadOff(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """All of this load's fruit has gone into the flume."""

    load: str


class Vat(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Juice now goes to this vat."""

    vat: str
    capacity_l: float | None = None
    contents_l: float | None = None


class VatKnown(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """This vat is there, so large and with so much in it; juice goes where it went before."""

    vat: str
    capacity_l: float | None = None
    contents_l: float | None = None


class Trailer(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Pomace now goes to this trailer; `net_kg` when it leaves, weighed, `to` whoever took it."""

    trailer: str
    capacity_kg: float | None = None
    net_kg: float | None = None
    to: str | None = None


class Dip(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A vat was dipped: so much is in it."""

    vat: str
    volume_l: float


class Transfer(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Juice was moved from one vat to another."""

    from_vat: str
    to_vat: str
    volume_l: float


class Draw(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Juice left a vat for good; `to` whoever took it."""

    vat: str
    volume_l: float
    to: str | None = None


class Proof(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """
    A meter was proved: between two times (seconds since 1970) a known amount, a volume or a mass, went through it.
    `limits_pct` is how well that amount is known, either way.
    """

    signal: str
    start: float
    end: float
    volume_l: float | None = None
    mass_kg: float | None = None
    limits_pct: float | None = None


class Sample(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """A sample was measured: exactly one of the five figures."""

    what: Literal["fruit", "juice", "pomace"]
    dry_matter_pct: float | None = None
    brix: float | None = None
    acidity_g_per_l: float | None = None
    tannin_g_per_l: float | None = None
    ph: float | None = None
    load: str | None = None
    vat: str | None = None


class Reason(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Why a stop happened, from the site's own list."""

    stop: str
    reason: str
    note: str | None = None


class Acknowledge(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Somebody has seen this alarm."""

    alarm: str


class Reset(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """The record of a latched alarm is done with; nothing at the machine changes."""

    alarm: str


class Shelve(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Put this alarm aside for so many minutes; it always comes back by itself."""

    alarm: str
    minutes: float
    note: str | None = None


class Unshelve(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Take this alarm back from the shelf."""

    alarm: str


class OutOfService(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """This alarm asks for nobody until it is put back, and why: what it looks at is being worked on."""

    alarm: str
    note: str


class InService(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """This alarm asks for people again."""

    alarm: str


class Correct(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """These fields replace an earlier entry's own; both stay in the book."""

    entry: str
    fields: dict[str, object]


class Note(msgspec.Struct, frozen=True, forbid_unknown_fields=True):
    """Free text."""

    text: str


Entry = (
    ShiftStart
    | ShiftEnd
    | Load
    | LoadOn
    | LoadOff
    | Vat
    | VatKnown
    | Trailer
    | Dip
    | Transfer
    | Draw
    | Proof
    | Sample
    | Reason
    | Acknowledge
    | Reset
    | Shelve
    | Unshelve
    | OutOfService
    | InService
    | Correct
    | Note
)

KINDS: dict[str, type[Entry]] = {
    "shift-start": ShiftStart,
    "shift-end": ShiftEnd,
    "load": Load,
    "load-on": LoadOn,
    "load-off": LoadOff,
    "vat": Vat,
    "vat-known": VatKnown,
    "trailer": Trailer,
    "dip": Dip,
    "transfer": Transfer,
    "draw": Draw,
    "proof": Proof,
    "sample": Sample,
    "reason": Reason,
    "acknowledge": Acknowledge,
    "reset": Reset,
    "shelve": Shelve,
    "unshelve": Unshelve,
    "out-of-service": OutOfService,
    "in-service": InService,
    "correct": Correct,
    "note": Note,
}
"""Kind of entry, as the topic names it, to its class."""
