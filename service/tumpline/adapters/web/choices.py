"""What there is to choose from in the shift book's forms: loads, vats with their room, trailers, growers."""

from collections.abc import Callable, Iterable, Sequence
from typing import NamedTuple

from tumpline.adapters.web.book import level, varieties
from tumpline.adapters.web.figures import LITRES, TONNES
from tumpline.adapters.web.forms import MINUTES
from tumpline.adapters.web.words import Style, duration
from tumpline.pressing.logbook import Lot
from tumpline.runtime.board import LineBoard


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
        return [Choice(reason, reason) for reason in style.reasons]
    find = _FOUND.get(known)
    return find(board, style) if find else ()


def _lots(which: Callable[[Lot], bool]) -> Callable[[LineBoard, Style], Sequence[Choice]]:
    def find(board: LineBoard, style: Style) -> Sequence[Choice]:
        return [_lot(lot, style) for lot in board.book.lots if which(lot)]

    return find


def _lot(lot: Lot, style: Style) -> Choice:
    load, words = lot.entry, style.words
    note = f"{TONNES.number(load.net_kg, words)} t, {varieties(load, words)}"
    return Choice(load.load, f"{load.load}, {load.grower}", note)


def _vats(board: LineBoard, style: Style) -> Sequence[Choice]:
    """Every vat that is known, with its level and the room left in it."""
    words, said = style.words, board.book.vats
    found = []
    for name in sorted({*said, *board.vats}):
        seen = board.vats.get(name)
        capacity = seen.capacity if seen and seen.capacity else _cubic(said[name].capacity_l if name in said else None)
        contents = seen.contents if seen and seen.contents is not None else None
        if contents is None and name in said:
            contents = _cubic(said[name].contents_l)
        note = words("choice.room-unknown")
        if capacity and contents is not None:
            room = LITRES.number(max(0.0, capacity - contents), words)
            note = words("choice.room", level=level(LITRES, contents, capacity, words), room=room)
        elif capacity:
            note = words("choice.capacity", capacity=f"{LITRES.number(capacity, words)} L")
        found.append(Choice(name, name, note))
    return found


def _cubic(litres: float | None) -> float | None:
    return None if litres is None else litres / 1000.0


def _trailers(board: LineBoard, style: Style) -> Sequence[Choice]:
    words = style.words
    found = []
    for name, trailer in board.book.trailers.items():
        capacity = f"{TONNES.number(trailer.capacity_kg, words)} t" if trailer.capacity_kg else ""
        found.append(Choice(name, name, words("choice.capacity", capacity=capacity) if capacity else ""))
    return found


def _names(values: Iterable[str]) -> Sequence[Choice]:
    return [Choice(value, value) for value in sorted(set(values))]


_PLAIN = {"what": ("fruit", "juice", "pomace")}
_FOUND: dict[str, Callable[[LineBoard, Style], Sequence[Choice]]] = {
    "waiting": _lots(lambda lot: lot.waiting),
    "on": _lots(lambda lot: lot.on is not None and lot.off is None),
    "lots": _lots(lambda lot: True),
    "vats": _vats,
    "trailers": _trailers,
    "growers": lambda board, _: _names(lot.entry.grower for lot in board.book.lots),
    "varieties": lambda board, _: _names(v.name for lot in board.book.lots for v in lot.entry.varieties),
}
