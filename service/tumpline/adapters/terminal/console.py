"""A terminal drawn on row by row, and given back as it was. No colour: bold, reverse and struck, where it has them."""

from __future__ import annotations

import os
import termios
from collections.abc import Sequence
from types import TracebackType
from typing import Any, Self, TextIO

from tumpline.adapters.terminal.screen import Look, Row

_ENTER, _LEAVE = "\x1b[?1049h\x1b[?25l", "\x1b[?25h\x1b[?1049l"  # a screen of our own, without a cursor
_CLEAR, _REST_OF_ROW, _AS_USUAL = "\x1b[2J", "\x1b[K", "\x1b[0m"
_LOOKS = {Look.PLAIN: "", Look.BAND: "\x1b[7m", Look.STRONG: "\x1b[1m", Look.STRUCK: "\x1b[9m"}


def can_draw(out: TextIO) -> bool:
    """Whether this is a terminal that understands more than text."""
    return out.isatty() and os.environ.get("TERM", "dumb") not in ("", "dumb")


class Console:
    """Use as `with`. Only rows that have changed are written, all in one piece, so that nothing flickers."""

    def __init__(self, out: TextIO, keys: TextIO) -> None:
        """`keys` is where people type; if it is a terminal, it does not echo while we draw."""
        self._out = out
        self._keys = keys
        self._shown: list[Row] = []
        self._size = os.terminal_size((0, 0))
        self._before: list[Any] | None = None

    @property
    def size(self) -> os.terminal_size:
        """Columns and rows there are now."""
        size = os.get_terminal_size(self._out.fileno())
        return size if size.columns and size.lines else os.terminal_size((80, 24))

    def show(self, rows: Sequence[Row]) -> None:
        """Draw these rows, drawn for `size`."""
        size = self.size
        text = ""
        if size != self._size:
            self._size, self._shown, text = size, [], _CLEAR
        for place, row in enumerate(rows):
            if place >= len(self._shown) or self._shown[place] != row:
                text += f"\x1b[{place + 1};1H{_LOOKS[row.look]}{row.text}{_AS_USUAL}{_REST_OF_ROW}"
        self._shown = list(rows)
        self._write(text)

    def _write(self, text: str) -> None:
        if text:
            encoding = self._out.encoding or "ascii"
            self._out.write(text.encode(encoding, "replace").decode(encoding))
            self._out.flush()

    def __enter__(self) -> Self:
        if self._keys.isatty():
            place = self._keys.fileno()
            self._before = termios.tcgetattr(place)
            quiet = termios.tcgetattr(place)
            quiet[3] &= ~(termios.ECHO | termios.ICANON)
            termios.tcsetattr(place, termios.TCSADRAIN, quiet)
        self._write(_ENTER)
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self._write(_LEAVE)
        if self._before is not None:
            termios.tcsetattr(self._keys.fileno(), termios.TCSADRAIN, self._before)
