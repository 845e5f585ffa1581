"""What is left of a season, worked out from the store and what people know about the fruit to come."""

from dataclasses import dataclass
from pathlib import Path

from tumpline.app.errors import CommandError, Status
from tumpline.app.offline import store_of
from tumpline.app.report import Paper, in_form, site_of
from tumpline.app.season import newest_season, season
from tumpline.pressing.params import Quantity
from tumpline.pressing.plan import Ahead, plan
from tumpline.pressing.quantities import Estimate
from tumpline.pressing.records import Unknown
from tumpline.reports.plan_sheet import plan_sheet
from tumpline.reports.table import rows_csv
from tumpline.wire.plan_documents import plan_document, pressed_of, room_of, shift_time_of
from tumpline.wire.units import parse_quantity
from tumpline.wire.words import Refused


@dataclass(frozen=True, kw_only=True)
class Outlook:
    """What people say about the rest of the season; quantities as they are written, such as `40 t`."""

    to_come: str
    days: int
    waiting: str | None
    room: str | None
    """None: as the vats of the season so far tell."""
    shifts_a_day: float
    spoilt: float
    """Per cent of the waiting fruit a day."""
    season: int | None


def plan_paper(config: Path | None, store: Path | None, form: str, outlook: Outlook) -> bytes:
    """The plan as a file of this form. Raises CommandError."""
    path = store_of(config, store)
    so_far = season(path, newest_season(path) if outlook.season is None else outlook.season)
    room = _volume(outlook.room) if outlook.room is not None else room_of(so_far["summaries"])
    ahead = Ahead(
        to_come=_quantity("--to-come", outlook.to_come, Quantity.MASS),
        days=outlook.days,
        waiting=_quantity("--waiting", outlook.waiting or "0 t", Quantity.MASS),
        room=room,
        shift_time=shift_time_of(so_far["summaries"]),
        shifts_a_day=outlook.shifts_a_day,
        spoilt_a_day=outlook.spoilt / 100.0,
    )
    found = plan(ahead, pressed_of(so_far["loads"]))
    if isinstance(found, Unknown):
        raise CommandError(Status.BAD_DATA, f"{path}: nothing can be planned from this season: {found.why}.")
    document = plan_document(ahead, found)
    site = site_of(config)
    return in_form(Paper(document, lambda: plan_sheet(document, site), lambda: rows_csv(document["outcomes"])), form)


def _volume(text: str) -> Estimate:
    return Estimate(_quantity("--room", text, Quantity.VOLUME))


def _quantity(option: str, text: str, kind: Quantity) -> float:
    found = parse_quantity(text, kind.value)
    if isinstance(found, Refused):
        raise CommandError(Status.BAD_SETTINGS, f"{option}: {found.reason}.")
    if found < 0.0:
        raise CommandError(Status.BAD_SETTINGS, f"{option}: {text} is below nought; 0 or more is accepted.")
    return found
