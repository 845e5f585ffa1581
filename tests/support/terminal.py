"""A terminal of its own for a program, and what a person would see on it."""

import fcntl
import os
import pty
import re
import struct
import subprocess
import termios
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

from polling import wait_until

_ORDER = re.compile(r"\x1b\[(\?)?([\d;]*)([A-Za-z])")


class Terminal:
    """
    `columns` by `rows`; a program may be run in it, or `inside` be written to.

    It understands the orders that the product may use, and no others: an unknown one fails the test.
    """

    def __init__(self, *, columns: int = 80, rows: int = 24) -> None:
        self._ours, self.inside = pty.openpty()
        self.resize(columns, rows)
        os.set_blocking(self._ours, False)
        self.raw = b""
        self._process: subprocess.Popen[bytes] | None = None

    def run(self, command: Sequence[str | Path], *, kind: str = "xterm") -> None:
        """Start a program in it; `kind` is what the program is told of the terminal."""
        inside = self.inside
        environment = {**os.environ, "TERM": kind}
        self._process = subprocess.Popen(
            command, stdin=inside, stdout=inside, stderr=inside, env=environment, start_new_session=True
        )

    def resize(self, columns: int, rows: int) -> None:
        """Make it another size, as pulling at a window's corner does."""
        self._columns, self._rows = columns, rows
        fcntl.ioctl(self._ours, termios.TIOCSWINSZ, struct.pack("HHHH", rows, columns, 0, 0))

    def press(self, keys: str) -> None:
        """Press keys."""
        os.write(self._ours, keys.encode())

    def read(self) -> str:
        """Everything written so far."""
        try:
            while more := os.read(self._ours, 65536):
                self.raw += more
        except BlockingIOError:
            pass  # nothing more for now
        return self.raw.decode(errors="replace")

    def screen(self) -> list[str]:
        """The rows as a person sees them now, without how they stand out."""
        rows: list[list[str]] = [[" "] * self._columns for _ in range(self._rows)]
        row = column = end = 0
        text = self.read()
        for order in _ORDER.finditer(text):
            column = self._write(rows, row, column, text[end : order.start()])
            end = order.end()
            match order[3]:
                case "H":
                    row, column = (int(part) - 1 for part in order[2].split(";"))
                case "K" if row < self._rows:
                    rows[row][column:] = [" "] * max(0, self._columns - column)
                case "J":
                    rows = [[" "] * self._columns for _ in range(self._rows)]
                case "m" | "h" | "l" | "K":
                    pass  # how it looks, which screen, whether a cursor
                case other:
                    raise AssertionError(f"a terminal order nobody expects: {other}")
        self._write(rows, row, column, text[end:])
        return ["".join(cells).rstrip() for cells in rows]

    def _write(self, rows: list[list[str]], row: int, column: int, text: str) -> int:
        for character in text:
            if column < self._columns and row < self._rows:
                rows[row][column] = character
            column += 1
        return column

    def shows(self, text: str) -> None:
        """Wait until the text is on the screen, on one row."""
        try:
            wait_until(lambda: any(text in row for row in self.screen()))
        except AssertionError as error:
            seen = "\n".join(self.screen())
            raise AssertionError(f"{text!r} did not come; the screen is\n{seen}") from error

    def ended(self) -> int:
        """Wait until the program has ended; its exit status."""
        process = self._process
        assert process is not None
        wait_until(lambda: self.read() is not None and process.poll() is not None)
        self.read()
        return int(process.returncode)

    def __enter__(self) -> Self:
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if self._process is not None and self._process.poll() is None:
            self._process.kill()
            self._process.wait(timeout=30)
        os.close(self.inside)
        os.close(self._ours)
