"""What there is to choose from in the shift book's forms: loads, vats with their room, trailers, growers."""

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from tumpline.adapters.web.book import level, varieties
from tumpline.adapters.web.forms import MINUTES
from tumpline.adapters.web.words import Style, duration
from tumpline.pressing.logbook import Lot
from tumpline.pressing.params import Quantity
from tumpline.runtime.board import LineBoard
from tumpline.wire.catalogue import kind_of


class Choice(NamedTuple):
    """One thing to choose: what is written down, what is shown, and what helps to decide."""

    value: str
    words: str
    note: str = ""


def choices(known: str, board: LineBoard, style: Style) -> Sequence[Choice]:
    """The choices of that name; none where nothing of the kind is known yet."""
    if known in _PLAIN:
        return [Choice(value, style.words(f"choice.{value}")) for value in _PLAIN[known]]
    if known == "minutes":
        return [Choice(minutes, duration(60.0 * float(minutes))) for minutes in MINUTES]
    if known == "reasons":
        return [Choice(reason, word) for reason, word in style.reasons.items()]
    find = _FOUND.get(known)
    return find(board, style) if find else ()


def _lots(which: Callable[[Lot], bool]) -> Callable[[LineBoard, Style], Sequence[Choice]]:
    def find(board: LineBoard, style: Style) -> Sequence[Choice]:
        return [_lot(lot, style) for lot in board.book.lots if which(lot)]

    return find


def _lot(lot: Lot, style: Style) -> Choice:
    load = lot.entry
    note = f"{style.figure(load.net_kg, 't')}, {varieties(load, style.words)}"
    return Choice(load.load, f"{load.load}, {load.grower}", note)


class Level(NamedTuple):
    """What is in a vat and what it holds, m³; None where that is not known."""

    contents: float | None
    capacity: float | None


def vat_levels(board: LineBoard) -> dict[str, Level]:
    """Every vat that is known, as it was last seen, else as it was last written down."""
    said = board.book.vats
    levels = {}
    for name in sorted({*said, *board.vats}):
        seen, written = board.vats.get(name), said.get(name)
        contents, capacity = (seen.contents, seen.capacity) if seen else (None, None)
        if contents is None and written:
            contents = _cubic(written.contents_l)
        if not capacity and written:
            capacity = _cubic(written.capacity_l)
        levels[name] = Level(contents, capacity)
    return levels


def _vats(board: LineBoard, style: Style) -> Sequence[Choice]:
    """Every vat, with its level and the room left in it."""
    return [Choice(name, name, _room(found, style)) for name, found in vat_levels(board).items()]


def _room(found: Level, style: Style) -> str:
    words = style.words
    if found.capacity and found.contents is not None:
        room = style.figure(max(0.0, found.capacity - found.contents), "L")
        return words("choice.room", level=level("L", found.contents, found.capacity, style), room=room)
    if found.capacity:
        return words("choice.capacity", capacity=style.figure(found.capacity, "L"))
    return words("choice.room-unknown")


def _cubic(litres: float | None) -> float | None:
    return None if litres is None else litres / 1000.0


def _trailers(board: LineBoard, style: Style) -> Sequence[Choice]:
    words = style.words
    found = []
    for name, trailer in board.book.trailers.items():
        capacity = style.figure(trailer.capacity_kg, "t") if trailer.capacity_kg else ""
        found.append(Choice(name, name, words("choice.capacity", capacity=capacity) if capacity else ""))
    return found


def _meters(board: LineBoard, style: Style) -> Sequence[Choice]:
    """The signals whose amounts can be held against a known one."""
    signals = board.live.signals if board.live else ()
    kinds = ((signal.name, kind_of(signal.name)) for signal in signals)
    return [
        Choice(name, name, style.words.line(kind.meaning).text)
        for name, kind in kinds
        if kind and kind.quantity in _AMOUNTS
    ]


def _names(values: Iterable[str]) -> Sequence[Choice]:
    return [Choice(value, value) for value in sorted(set(values))]


_AMOUNTS = (Quantity.MASS_FLOW, Quantity.VOLUME_FLOW, Quantity.MASS, Quantity.VOLUME)
_PLAIN = {"what": ("fruit", "juice", "pomace")}
_FOUND: dict[str, Callable[[LineBoard, Style], Sequence[Choice]]] = {
    "waiting": _lots(lambda lot: lot.waiting),
    "on": _lots(lambda lot: lot.on is not None and lot.off is None),
    "lots": _lots(lambda lot: True),
    "vats": _vats,
    "trailers": _trailers,
    "meters": _meters,
    "growers": lambda board, _: _names(lot.entry.grower for lot in board.book.lots),
    "varieties": lambda board, _: _names(v.name for lot in board.book.lots for v in lot.entry.varieties),
}
