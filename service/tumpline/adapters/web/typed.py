"""What was typed into a form, turned into the fields of book entries; or what is wrong, field by field."""

import re
from collections.abc import Mapping, Sequence
from datetime import datetime, timedelta
from zoneinfo import ZoneInfo

import msgspec
from msgspec import Struct

from tumpline.adapters.web.door import clean
from tumpline.adapters.web.forms import SAMPLED, Field, Form, Sort
from tumpline.adapters.web.words import Words
from tumpline.wire.times import to_rfc3339

LONGEST = {Sort.LONG: 400, Sort.NAMES: 300}
LONGEST_TEXT = 60
NET_WITHIN = 1.0
"""kg by which a net mass may differ from gross less tare."""

_NUMBER = re.compile(r"[+-]?\d+(?:[.,]\d+)?", re.ASCII)

Kept = Mapping[str, Sequence[str]]
"""What stands in a form's fields, by name; a name may come several times."""


class Typed(Struct):
    """A form that was read."""

    values: dict[str, object] = msgspec.field(default_factory=dict)
    """As the entry has them; what was left empty is None."""
    wrong: dict[str, str] = msgspec.field(default_factory=dict)
    """Field -> what is wrong, and what is accepted."""

    @property
    def given(self) -> dict[str, object]:
        """The values that are there."""
        return {key: value for key, value in self.values.items() if value is not None}


def read(form: Form, kept: Kept, *, words: Words, zone: ZoneInfo) -> Typed:
    """All fields of a form, each looked at by itself, then those that depend on each other."""
    typed = Typed()
    for field in form.fields:
        _read_field(field, kept, typed, words, zone)
    if form.field("gross_kg"):
        _weigh(typed, kept, words)
    half_weighed = {"gross_kg", "tare_kg"} & typed.wrong.keys()
    for field in form.fields:
        missing = field.required and typed.values.get(field.key) is None and field.key not in typed.wrong
        if missing and not (half_weighed and field.key == "net_kg"):
            typed.wrong[field.key] = words("wrong.needed")
    if form.name == "sample" and not any(key in typed.given for key in SAMPLED) and not typed.wrong:
        typed.wrong[SAMPLED[0]] = words("wrong.no-figure")
    return typed


def bodies(form: Form, typed: Typed) -> Sequence[dict[str, object]]:
    """The entries that a form makes: one, but for a sample with several figures one each."""
    if form.name != "sample":
        return [typed.given]
    common = {key: value for key, value in typed.given.items() if key not in SAMPLED}
    return [common | {key: typed.given[key]} for key in SAMPLED if key in typed.given]


def one(kept: Kept, name: str, longest: int = LONGEST_TEXT) -> str:
    """The text of a field that stands once."""
    return clean(next(iter(kept.get(name, ())), ""), longest)


def _read_field(field: Field, kept: Kept, typed: Typed, words: Words, zone: ZoneInfo) -> None:
    text = one(kept, field.key, LONGEST.get(field.sort, LONGEST_TEXT))
    value: object = text or None
    match field.sort:
        case Sort.NUMBER if text:
            value = _number(text, field.key, typed, words)
        case Sort.CHOICE if text and field.known == "minutes":
            value = _number(text, field.key, typed, words)
        case Sort.TIME if text:
            value = _time(text, one(kept, f"{field.key}_fold"), field.key, typed, words, zone)
        case Sort.PICK:
            value = one(kept, f"{field.key}-other") or value
        case Sort.NAMES:
            value = tuple(name.strip() for name in text.split(",") if name.strip()) or None
        case Sort.VARIETIES:
            value = _varieties(kept, field.key, typed, words)
        case _:
            pass
    typed.values[field.key] = value


def _number(text: str, key: str, typed: Typed, words: Words) -> float | None:
    """A number written the way of either language; refused where one language would read another number."""
    text = re.sub(r"(?<=\d)\s(?=\d{3})", "", text).replace("\N{MINUS SIGN}", "-")
    if not _NUMBER.fullmatch(text):
        typed.wrong[key] = words("wrong.number", text=text)
        return None
    other = "," if words("number.decimal") == "." else "."
    if re.fullmatch(rf"[+-]?\d{{1,3}}{re.escape(other)}\d{{3}}", text):
        typed.wrong[key] = words("wrong.thousands", text=text, one=text.replace(other, ""))
        return None
    return float(text.replace(",", "."))


def _time(text: str, fold: str, key: str, typed: Typed, words: Words, zone: ZoneInfo) -> str | None:
    """A time of the site's wall clock; which of the two, in the hour that the clock shows twice."""
    try:
        wall = datetime.fromisoformat(text).replace(tzinfo=zone)
    except ValueError:
        typed.wrong[key] = words("wrong.time", text=text)
        return None
    before, after = (wall.replace(fold=which).utcoffset() or timedelta() for which in (0, 1))
    if before < after:
        typed.wrong[key] = words("wrong.no-such-time", text=f"{wall:%H:%M}")
        return None
    if before > after:
        if fold not in ("0", "1"):
            typed.wrong[key] = words("wrong.time-twice", text=f"{wall:%H:%M}")
            return None
        wall = wall.replace(fold=int(fold))
    return to_rfc3339(wall.timestamp())


def twice(text: str, zone: ZoneInfo) -> Sequence[str]:
    """Both readings of a time that the wall clock shows twice, with their zones; else nothing."""
    try:
        wall = datetime.fromisoformat(text).replace(tzinfo=zone)
    except ValueError:
        return ()
    both = [wall.replace(fold=which) for which in (0, 1)]
    before, after = (which.utcoffset() or timedelta() for which in both)
    return [f"{which:%H:%M %Z}" for which in both] if before > after else ()


def _varieties(kept: Kept, key: str, typed: Typed, words: Words) -> tuple[dict[str, object], ...] | None:
    """Names with their shares in per cent; one share may be left out, and is the rest."""
    names = [clean(name, LONGEST_TEXT) for name in kept.get("variety", ())]
    shares = [clean(share, LONGEST_TEXT) for share in kept.get("share", ())]
    rows = [(name, share) for name, share in zip(names, shares, strict=False) if name or share]
    if any(not name for name, _ in rows):
        typed.wrong[key] = words("wrong.unnamed-share")
        return None
    percents: list[float | None] = [
        _number(share.rstrip("% "), key, typed, words) if share else None for _, share in rows
    ]
    if key in typed.wrong or not rows:
        return None
    rest = 100.0 - sum(percent or 0.0 for percent in percents)
    if percents.count(None) > 1 or (None in percents and rest < 0.0):
        typed.wrong[key] = words("wrong.shares-missing")
        return None
    whole = [rest if percent is None else percent for percent in percents]
    if abs(sum(whole) - 100.0) > 0.1:
        typed.wrong[key] = words("wrong.shares", total=words.number(sum(whole), 1))
        return None
    return tuple({"name": name, "share": round(share / 100.0, 6)} for (name, _), share in zip(rows, whole, strict=True))


def _weigh(typed: Typed, kept: Kept, words: Words) -> None:
    """The net mass from gross and tare, where those were written; they are no part of the entry."""
    gross, tare = typed.values.pop("gross_kg"), typed.values.pop("tare_kg")
    if any(key in typed.wrong for key in ("gross_kg", "tare_kg", "net_kg")) or (gross is None and tare is None):
        return
    if not isinstance(gross, float) or not isinstance(tare, float):
        typed.wrong["gross_kg" if gross is None else "tare_kg"] = words("wrong.half-weighed")
        return
    net = typed.values.get("net_kg")
    if gross <= tare:
        typed.wrong["tare_kg"] = words("wrong.tare")
    elif isinstance(net, float) and abs(gross - tare - net) > NET_WITHIN:
        typed.wrong["net_kg"] = words("wrong.net", net=words.number(gross - tare, 0))
    else:
        typed.values["net_kg"] = gross - tare
