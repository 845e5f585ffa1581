"""Fruit on its way through the line: parcels that remember their load and when they were milled, and what holds them.

Nothing in here makes or loses mass: what is taken out of one place is put into the next.
"""

from __future__ import annotations

from collections import deque

Parcels = dict[int, "Parcel"]
"""What is in one place, by the number of its load."""

_EMPTY_KG = 1e-3


class Parcel:
    """Part of one load in one place.

    `tag` is fruit (kg) whose juice has not passed yet: in juice, the fruit that juice came from. Its milling times are
    kept as moments, so any mixture knows the mean and the spread of its age. `fruit` (kg) is all the fruit that lies
    here, pressed or not; `juice` (kg) is the juice in it, or in a cake the juice that has left it.
    """

    __slots__ = ("fruit", "juice", "tag", "tag_t", "tag_tt")

    def __init__(
        self, tag: float = 0.0, tag_t: float = 0.0, tag_tt: float = 0.0, fruit: float = 0.0, juice: float = 0.0
    ) -> None:
        self.tag = tag
        self.tag_t = tag_t
        self.tag_tt = tag_tt
        self.fruit = fruit
        self.juice = juice

    @classmethod
    def milled(cls, kg: float, at: float) -> Parcel:
        """Fruit milled at `at` (s since the shift began)."""
        return cls(kg, kg * at, kg * at * at, kg, 0.0)

    def add(self, other: Parcel) -> None:
        """Mix `other` in."""
        self.tag += other.tag
        self.tag_t += other.tag_t
        self.tag_tt += other.tag_tt
        self.fruit += other.fruit
        self.juice += other.juice

    def split(self, share: float) -> Parcel:
        """Take `share` (0 to 1) of everything out and return it."""
        part = Parcel(self.tag * share, self.tag_t * share, self.tag_tt * share, self.fruit * share, self.juice * share)
        self.tag -= part.tag
        self.tag_t -= part.tag_t
        self.tag_tt -= part.tag_tt
        self.fruit -= part.fruit
        self.juice -= part.juice
        return part

    def tagged(self, share: float, juice: float) -> Parcel:
        """Take `share` of the tag out as `juice` kg of juice; the fruit stays."""
        part = Parcel(self.tag * share, self.tag_t * share, self.tag_tt * share, 0.0, juice)
        self.tag -= part.tag
        self.tag_t -= part.tag_t
        self.tag_tt -= part.tag_tt
        self.juice += juice
        return part


def pour(parcels: Parcels, into: Parcels) -> None:
    """Mix `parcels` into another place."""
    for load, parcel in parcels.items():
        if load in into:
            into[load].add(parcel)
        else:
            into[load] = parcel


class Tank:
    """A well-mixed place: what leaves is a fair share of all that is in it."""

    def __init__(self) -> None:
        self.contents: Parcels = {}

    @property
    def kg(self) -> float:
        """Fruit plus juice in it, kg."""
        kg = 0.0
        for parcel in self.contents.values():
            kg += parcel.fruit + parcel.juice
        return kg

    def take(self, share: float) -> Parcels:
        """Let `share` of it out. A load with less than a gram left runs out whole, so places do run empty."""
        out: Parcels = {}
        for load, parcel in list(self.contents.items()):
            if share >= 1.0 or parcel.fruit + parcel.juice < _EMPTY_KG:
                out[load] = self.contents.pop(load)
            else:
                out[load] = parcel.split(share)
        return out


class Plug:
    """A pipe or belt: what goes in comes out the same, `seconds` steps of one second later."""

    def __init__(self, seconds: int) -> None:
        self._line: deque[Parcels] = deque({} for _ in range(seconds))

    def push(self, parcels: Parcels) -> Parcels:
        """Put one second's parcels in, get the oldest out."""
        self._line.append(parcels)
        return self._line.popleft()

    @property
    def empty(self) -> bool:
        """Whether nothing is under way."""
        return not any(self._line)
