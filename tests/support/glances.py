"""An invented line as a watcher in a terminal sees it."""

from typing import Any
from zoneinfo import ZoneInfo

from msgspec.structs import replace

from records import LIVE
from tumpline.adapters.terminal.screen import Place
from tumpline.adapters.terminal.sight import Sight
from tumpline.wire.documents import encode, live_document
from tumpline.wire.glance import Glance, read_glance

NOW = LIVE.at
PLACE = Place("Hollow Lane Cider Works", ZoneInfo("Europe/London"))
"""09:00:00 is NOW on its wall (British summer time)."""


def glance(**changes: Any) -> Glance:
    """The line as its live document tells it, with `changes` to what it knows."""
    found = read_glance(encode(live_document(replace(LIVE, **changes))))
    assert isinstance(found, Glance)
    return found


def sight(*, heard: float | None = NOW, trouble: str = "", service_gone: bool = False, **changes: Any) -> Sight:
    """What a watcher has heard of that line."""
    return Sight(line="line-1", glance=glance(**changes), heard=heard, trouble=trouble, service_gone=service_gone)
