import os
import termios
from collections.abc import Iterator
from contextlib import ExitStack
from io import StringIO

import pytest

from terminal import Terminal
from tumpline.adapters.terminal.console import Console, can_draw
from tumpline.adapters.terminal.screen import Look, Row


@pytest.fixture(name="terminal")
def _terminal() -> Iterator[Terminal]:
    with Terminal(columns=20, rows=3) as terminal:
        yield terminal


@pytest.fixture(name="console")
def _console(terminal: Terminal) -> Iterator[Console]:
    with ExitStack() as stack:
        out = stack.enter_context(os.fdopen(os.dup(terminal.inside), "w", encoding="ascii"))
        keys = stack.enter_context(os.fdopen(os.dup(terminal.inside)))
        yield Console(out, keys)


def test_rows_stand_where_they_belong(terminal: Terminal, console: Console) -> None:
    """What is shown is on the screen, row by row."""
    with console:
        console.show([Row("first"), Row("second", Look.BAND), Row("third", Look.STRUCK)])
        assert terminal.screen() == ["first", "second", "third"]


def test_only_what_changed_is_written(terminal: Terminal, console: Console) -> None:
    """A screen that stays the same costs nothing, and a changed row leaves the others alone."""
    with console:
        console.show([Row("fruit 4.1"), Row("juice 48"), Row("notice")])
        terminal.read()
        before = len(terminal.raw)
        console.show([Row("fruit 4.1"), Row("juice 48"), Row("notice")])
        terminal.read()
        assert len(terminal.raw) == before
        console.show([Row("fruit 4.1"), Row("juice 9"), Row("notice")])
        assert terminal.screen() == ["fruit 4.1", "juice 9", "notice"]
        assert b"fruit" not in terminal.raw[before:]


def test_another_size_is_drawn_anew(terminal: Terminal, console: Console) -> None:
    """After the window was pulled, nothing of the old screen is left."""
    with console:
        console.show([Row("a" * 20)] * 3)
        terminal.resize(10, 2)
        assert console.size == (10, 2)
        console.show([Row("b")] * 2)
        assert terminal.screen() == ["b", "b"]


def test_what_the_terminal_cannot_write_is_replaced(terminal: Terminal, console: Console) -> None:
    """A character outside the terminal's set does not end the program."""
    with console:
        console.show([Row("Åker"), Row(""), Row("")])
        assert terminal.screen()[0] == "?ker"


def test_the_terminal_is_given_back_as_it_was(terminal: Terminal, console: Console) -> None:
    """While we draw, keys do not echo and there is no cursor; afterwards all is as before, after an error too."""
    before = termios.tcgetattr(terminal.inside)
    with pytest.raises(KeyError), console:
        assert not termios.tcgetattr(terminal.inside)[3] & termios.ECHO
        raise KeyError
    assert termios.tcgetattr(terminal.inside) == before
    assert terminal.read().endswith("\x1b[?25h\x1b[?1049l")


@pytest.mark.parametrize(("kind", "draws"), [("xterm", True), ("vt220", True), ("dumb", False), ("", False)])
def test_a_terminal_without_a_screen_is_not_drawn_on(
    console: Console, terminal: Terminal, monkeypatch: pytest.MonkeyPatch, kind: str, draws: bool
) -> None:
    """A printer, a pipe or a terminal that says nothing of itself gets sentences."""
    monkeypatch.setenv("TERM", kind)
    with os.fdopen(os.dup(terminal.inside), "w") as out:
        assert can_draw(out) is draws
    assert not can_draw(StringIO())
