"""A progress bar on standard error, where somebody watches."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Iterator
from typing import TextIO, TypeVar

_Item = TypeVar("_Item")
_WIDTH = 40


def watched(items: Iterable[_Item], total: int, out: TextIO | None = None) -> Iterator[_Item]:
    """The items as they come, `total` of them; a bar grows with each on `out` (standard error) if it is a terminal."""
    screen = sys.stderr if out is None else out
    shown = screen.isatty()
    for done, item in enumerate(items, start=1):
        if shown:
            full = _WIDTH * done // total
            print(f"\r[{'#' * full}{' ' * (_WIDTH - full)}] {done}/{total}", end="", file=screen, flush=True)
        yield item
    if shown:
        print(file=screen)
