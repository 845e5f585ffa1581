"""What litres of several vats would be together, from the store."""

from collections.abc import Sequence
from pathlib import Path

from tumpline.app.errors import CommandError, Status
from tumpline.app.season import newest_season, season
from tumpline.wire.blends import REACHED, blend_document
from tumpline.wire.figures import Document
from tumpline.wire.words import Refused, did_you_mean, listed, quoted


def blended(store: Path, parts: Sequence[str], reach: str | None) -> Document:
    """`tumpline.blend/1` of vats written as `V1=1200` (litres), from the newest season. Raises CommandError."""
    litres = [_pair(part, "a vat and its litres, such as V1=1200,") for part in parts]
    target = None if reach is None else _pair(reach, "a figure and its value, such as acidity_g_per_l=5,")
    if target is not None and target[0] not in REACHED:
        known = f"{listed(REACHED)} is accepted"
        words = f"There is no reaching {quoted(target[0])}{did_you_mean(target[0], REACHED)}; {known}."
        raise CommandError(Status.BAD_SETTINGS, words)
    found = blend_document(season(store, newest_season(store))["summaries"], litres, target)
    if isinstance(found, Refused):
        raise CommandError(Status.BAD_DATA, f"{store}: {found.reason}")
    return found


def _pair(text: str, accepted: str) -> tuple[str, float]:
    name, _, number = text.rpartition("=")
    try:
        value = float(number)
    except ValueError:
        value = -1.0
    if not name or not 0.0 < value < 1e7:
        raise CommandError(Status.BAD_SETTINGS, f"{quoted(text)} cannot be used; {accepted} is accepted.")
    return name, value
