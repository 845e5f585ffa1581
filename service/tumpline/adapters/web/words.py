"""How the page says things: sentences from a language's file, times, durations, numbers, names of alarms."""

import tomllib
from collections.abc import Iterator, Mapping
from datetime import datetime
from functools import cache
from importlib.resources import files
from typing import NamedTuple
from zoneinfo import ZoneInfo

import msgspec
from msgspec import Struct

from tumpline.adapters.web.line_words import LineWords, tables_of
from tumpline.adapters.web.scales import IMPERIAL, METRIC, Scale
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import AlarmRecord

LANGUAGES = ("en", "de")
THIN_SPACE = "\N{NARROW NO-BREAK SPACE}"


class Said(NamedTuple):
    """What the line itself says, as the page shows it."""

    text: str
    lang: str | None = None
    """The language it is in, where that is not the page's."""


class Words:
    """
    Everything the page says, in one language of `LANGUAGES`.

    `words("band.no-data")` is the sentence under `[band]`, with its `{names}` filled in. `words.line(...)` is what the
    line itself reports: why it stands, what an alarm rests on.
    """

    def __init__(self, language: str) -> None:
        self.language = language
        self._texts = texts(language)
        alarms = {key.removeprefix("alarm."): name for key, name in self._texts.items() if key.startswith("alarm.")}
        self._line = LineWords({**tables_of(language), "alarm": alarms}, decimal=self("number.decimal"))

    def __call__(self, key: str, /, **values: object) -> str:
        """The text of that key; KeyError where there is none."""
        return self._texts[key].format(**values)

    def line(self, said: str) -> Said:
        """What the line says in English, in this language; as it came where it is not known here."""
        known = self._line.say(said)
        if known is None:
            return Said(said, None if self.language == "en" else "en")
        return Said(known)

    def named(self, group: str, name: str) -> str:
        """The word for something that has a name of its own, such as an alarm; that name where there is none."""
        return self._texts.get(f"{group}.{name}", name.replace("-", " ").capitalize())

    def number(self, value: float, decimals: int) -> str:
        """A number with that many decimals, thousands set apart by a thin space, never `-0`."""
        text = f"{value:,.{decimals}f}".translate({44: THIN_SPACE, 46: self("number.decimal")})
        return text.lstrip("-") if float(f"{value:.{decimals}f}") == 0.0 else text.replace("-", "\N{MINUS SIGN}")

    def between(self, low: float, high: float, decimals: int) -> str:
        """`between 698 and 726`, with one more decimal where both ends would read the same."""
        if self.number(low, decimals) == self.number(high, decimals):
            decimals += 1
        return self("number.between", low=self.number(low, decimals), high=self.number(high, decimals))

    def alarm(self, alarm: AlarmRecord) -> str:
        """`Mill blocked`, `Signal lost: juice/flow`."""
        name = self.named("alarm", alarm.name)
        return f"{name}: {alarm.subject}" if alarm.subject else name


class Clock:
    """Writes times as the site's wall clock shows them."""

    def __init__(self, timezone: str, words: Words) -> None:
        self.zone = ZoneInfo(timezone)
        self._months = words("time.months").split()

    def minute(self, at: float, *, now: float | None = None) -> str:
        """`10:24`; `24 Nov 22:10` where that is not the day of `now`; `01:30 GMT` in the hour that comes twice."""
        when = self._local(at)
        shown = f"{when:%H:%M}{self._which(when)}"
        if now is None or when.date() == self._local(now).date():
            return shown
        return f"{when.day} {self._months[when.month - 1]} {shown}"

    def second(self, at: float) -> str:
        """`10:24:07`."""
        when = self._local(at)
        return f"{when:%H:%M:%S}{self._which(when)}"

    def _local(self, at: float) -> datetime:
        return datetime.fromtimestamp(at, self.zone)

    def _which(self, when: datetime) -> str:
        """The zone's name in the hour that the clocks show twice; else nothing."""
        twice = when.replace(fold=0).utcoffset() != when.replace(fold=1).utcoffset()
        return f" {when:%Z}" if twice else ""


class Plan(Struct, frozen=True):
    """What a line is meant to do; SI."""

    throughput: float
    """kg/s."""
    extraction: float
    """m³ of juice per kg of fruit."""
    pressure: float | None = None
    """Pa; None where nobody has set one."""


class Style(Struct, frozen=True):
    """How this site wants its screens."""

    words: Words
    clock: Clock
    imperial: bool
    """Figures in gallons and tons, with litres per tonne beside."""
    silent_after: float
    """Seconds without a live view after which there is no data."""
    reasons: Mapping[str, str]
    """One-touch reasons for a stop, each with its word in this language."""
    plans: Mapping[str, Plan]
    """By line."""

    @property
    def metric(self) -> "Style":
        """The same with metric figures."""
        return msgspec.structs.replace(self, imperial=False)

    def scale(self, unit: str) -> Scale:
        """What stands for a metric unit of the trade on this site's screens."""
        return (IMPERIAL if self.imperial else METRIC)[unit]

    def number(self, value: float, unit: str) -> str:
        """An SI value in what stands for that unit, without its name."""
        scale = self.scale(unit)
        return self.words.number(scale.of(value), scale.decimals)

    def figure(self, value: float, unit: str) -> str:
        """`4.1 t/h`."""
        return f"{self.number(value, unit)} {self.scale(unit).unit}"

    def between(self, known: Estimate, unit: str, *, floor: float = 0.0, ceiling: float = float("inf")) -> str:
        """The 95 % interval in words, cut at what is possible at all; without the unit."""
        scale, figure = self.scale(unit), known.figure(floor=floor, ceiling=ceiling)
        return self.words.between(scale.of(figure.low), scale.of(figure.high), scale.decimals)

    def reason(self, reason: str) -> str:
        """The word for a reason; itself where it is nobody's word."""
        return self.reasons.get(reason, reason)


@cache
def texts(language: str) -> Mapping[str, str]:
    """Every text of a language by its key, such as `band.no-data`."""
    source = files("tumpline.adapters.web") / "languages" / f"{language}.toml"
    return dict(_flat(tomllib.loads(source.read_text(encoding="utf-8")), ""))


def _flat(table: Mapping[str, object], before: str) -> Iterator[tuple[str, str]]:
    for key, value in table.items():
        if isinstance(value, dict):
            yield from _flat(value, f"{before}{key}.")
        else:
            yield f"{before}{key}", str(value)


def duration(seconds: float) -> str:
    """`40 s`, `6 min`, `1 h 42`, `2 d 3 h`: whole units that have passed, the same in every language."""
    whole = max(0, int(seconds))
    if whole < 60:
        return f"{whole} s"
    if whole < 3600:
        return f"{whole // 60} min"
    if whole < 86400:
        return f"{whole // 3600} h {whole % 3600 // 60:02d}"
    return f"{whole // 86400} d {whole % 86400 // 3600} h"


def sentence(clause: str) -> str:
    """A clause with a capital and a full stop; a signal's name keeps its spelling."""
    text = clause.strip()
    first = text[:1] if "/" in text.split(" ", 1)[0] else text[:1].upper()
    return first + text[1:] + ("" if text.endswith((".", "!", "?", "…")) else ".")
