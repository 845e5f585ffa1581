"""How the program ends, and what it says then."""

from enum import IntEnum


class Status(IntEnum):
    """Exit status of every command."""

    DONE = 0
    OWN_FAULT = 1
    BAD_SETTINGS = 2
    BAD_DATA = 3
    UNREACHABLE = 4


class CommandError(Exception):
    """A command cannot go on; the message is one or several sentences for people."""

    def __init__(self, status: Status, sentence: str) -> None:
        super().__init__(sentence)
        self.status = status
