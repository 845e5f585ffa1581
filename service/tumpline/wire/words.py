"""Refusals and the small words that make them readable."""

from __future__ import annotations

import json
from collections.abc import Iterable
from difflib import get_close_matches

from msgspec import Struct

_LONGEST_QUOTE = 40


class Refused(Struct, frozen=True):
    """Something from outside that cannot be used."""

    reason: str
    """A whole sentence: what, where, and what would be accepted."""


def kind_of_value(value: object) -> str:
    """What sort of JSON value this is, in words."""
    match value:
        case None:
            return "null"
        case bool():
            return "true or false"
        case str():
            return "text"
        case list():
            return "a list"
        case dict():
            return "an object"
        case _:
            return "a number"


def quoted(value: object) -> str:
    """A value from outside as it may stand in a sentence: short, on one line, in double quotes if it is text."""
    if isinstance(value, list | dict):
        return kind_of_value(value)
    text = json.dumps(value, ensure_ascii=False, default=str)
    text = "".join(c if c.isprintable() else "?" for c in text)
    return text if len(text) <= _LONGEST_QUOTE else text[: _LONGEST_QUOTE - 1] + "…"


def nearest(word: str, known: Iterable[str]) -> str | None:
    """The known word that begins like this one, else looks most like it, or None where none does."""
    by_lower = {k.lower(): k for k in known}
    word = word[:_LONGEST_QUOTE].lower()
    begun = [k for k in by_lower if k.startswith(word)] if len(word) > 2 else []
    found = begun or get_close_matches(word, by_lower, n=1, cutoff=0.5)
    return by_lower[found[0]] if found else None


def did_you_mean(word: str, known: Iterable[str]) -> str:
    """` (did you mean "x"?)`, or nothing."""
    found = nearest(word, known)
    return f' (did you mean "{found}"?)' if found else ""


def listed(words: Iterable[str], *, last: str = "or") -> str:
    """`a, b or c`."""
    items = list(words)
    return items[0] if len(items) == 1 else f"{', '.join(items[:-1])} {last} {items[-1]}"
