"""Mistakes that take more than one key to see, carried to where sentences are made."""

from __future__ import annotations

from collections.abc import Sequence
from typing import LiteralString, NamedTuple

from pydantic_core import PydanticCustomError

PROBLEMS: LiteralString = "problems"
"""The type of such an error, and the key of its list."""


class Problem(NamedTuple):
    """What is wrong with the value of one key."""

    key: str
    words: str
    """A clause: what is wrong, and what is accepted."""


def raise_any(problems: Sequence[Problem]) -> None:
    """Raise all of them as one validation error; nothing where there is none."""
    if problems:
        raise PydanticCustomError(PROBLEMS, "do not fit together", {PROBLEMS: list(problems)})
