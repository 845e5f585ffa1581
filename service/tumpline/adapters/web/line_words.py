"""
What the line itself says, in the page's language.

The line speaks English, on the page as in every document and in what was stored long ago. A language's file has the
same sentences with the same gaps. A sentence is known by its form, whole or not at all: what stands in a gap is said in
that language too, a number or a name is taken over, and what is not recognised stays as it came.
"""

import re
import tomllib
from collections.abc import Callable, Mapping
from functools import cache, lru_cache
from importlib.resources import files

from msgspec import Struct

Table = Mapping[str, str]
"""English form -> the same in another language."""
LONGEST = 1000
"""Letters of what is looked up at all: more is no sentence of the line, but a name that somebody chose."""
_GAP = re.compile(r"\{(\w+)\}")
_NUMBER = re.compile(r"-?\d+\.\d+")


class Form(Struct, frozen=True):
    """A sentence, or what stands in a gap of one."""

    pattern: re.Pattern[str]
    gaps: tuple[str, ...]
    """Names of the pattern's groups, in their order."""
    text: str
    """In the other language, with the same gaps."""


class LineWords:
    """
    The line's own sentences in one language: `tables` as its file has them.

    A gap named like a table holds entries of it, one after the other or joined as `joined` says. Any other gap holds a
    number, written with the `decimal` of the language, or a name.
    """

    def __init__(self, tables: Mapping[str, Table], *, decimal: str) -> None:
        self._joined, self._decimal = tables["joined"], decimal
        ordered = {name: _longest_first(table) for name, table in tables.items()}
        self._entries = {name: "|".join(map(_any_gap, table)) for name, table in ordered.items()}
        self._forms = {
            name: [Form(self._pattern(english), tuple(_GAP.findall(english)), text) for english, text in table.items()]
            for name, table in ordered.items()
        }
        self.say = lru_cache(maxsize=512)(self._say)
        """One or several of the line's sentences in this language; None where one of them is not known."""

    def _say(self, said: str) -> str | None:
        if len(said) > LONGEST:
            return None
        for end in re.finditer(r"(?<=\.) ", said):
            first = self._one("sentences", said[: end.start()])
            rest = self.say(said[end.end() :]) if first is not None else None
            if rest is not None:
                return f"{first} {rest}"
        return self._one("sentences", said)

    def _one(self, table: str, said: str) -> str | None:
        for form in self._forms[table]:
            found = form.pattern.fullmatch(said)
            if found:
                filled = dict(zip(form.gaps, map(self._fill, form.gaps, found.groups()), strict=True))
                return _capital_as(said, form.text.format(**filled))
        return None

    def _fill(self, gap: str, said: str) -> str:
        if gap not in self._forms:
            return said.replace(".", self._decimal) if _NUMBER.fullmatch(said) else said
        parts = re.split(f"({self._entries[gap]})", said, flags=re.IGNORECASE)
        return "".join(self._one(gap, part) or self._joined.get(part, part) for part in parts)

    def _pattern(self, english: str) -> re.Pattern[str]:
        return re.compile(_with_gaps(english, self._gap), re.IGNORECASE)

    def _gap(self, name: str) -> str:
        if name not in self._entries:
            return "(.+?)"
        entry, joint = f"(?:{self._entries[name]})", "|".join(map(re.escape, self._joined))
        return f"((?>{entry}(?:(?:{joint})?{entry})*)?)"  # atomic: names that look like entries cost no time


def _with_gaps(english: str, gap: Callable[[str], str]) -> str:
    """A form as a regular expression, each of its gaps as `gap` says."""
    pieces = _GAP.split(english)  # words and names of gaps by turns
    return "".join(gap(piece) if index % 2 else re.escape(piece) for index, piece in enumerate(pieces))


def _any_gap(english: str) -> str:
    """A form with anything in its gaps; in one at its end, whatever comes before the full stop."""
    pattern = _with_gaps(english, lambda _: ".+?")
    return f"{pattern[:-3]}[^.]+" if english.endswith("}") else pattern


def _longest_first(table: Table) -> Table:
    """Of two forms that fit, the one that says more."""
    return dict(sorted(table.items(), key=lambda entry: -len(_GAP.sub("", entry[0]))))


def _capital_as(said: str, text: str) -> str:
    return text[:1].upper() + text[1:] if said[:1].isupper() else text


@cache
def tables_of(language: str) -> Mapping[str, Table]:
    """A language's file: `sentences`, `joined`, and one table for each gap that holds words."""
    source = files("tumpline.adapters.web") / "languages" / "line" / f"{language}.toml"
    return tomllib.loads(source.read_text(encoding="utf-8"))
