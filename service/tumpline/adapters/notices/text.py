"""What a notice says: the cause, what follows from it, the caution. It never sends anybody to a machine."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from datetime import datetime
from zoneinfo import ZoneInfo

from tumpline.pressing.records import AlarmRecord
from tumpline.runtime.notices import Item

STANDING = (
    "What is done about it is for competent people, by the site's own procedure. This message is monitoring only; that "
    "none comes proves nothing."
)
"""The last words of every notice."""
TEST_TITLE, TEST_BODY = (
    "a test notice",
    f"Nothing has happened: this message tries out whether notices arrive. {STANDING}",
)


class Words:
    """Writes notices of one site."""

    def __init__(self, *, site: str, timezone: str) -> None:
        self._site = site
        self._zone = ZoneInfo(timezone)

    def title(self, items: Sequence[Item]) -> str:
        """`Hollow Lane Cider Works: mill-blocked on line-1`, or how many alarms there are."""
        first = items[0]
        if len(items) == 1:
            return self.headed(f"{'still ' if first.again else ''}{first.alarm.name} on {first.line}")
        lines = sorted({item.line for item in items})
        return self.headed(f"{len(items)} alarms on {', '.join(lines)}, {first.alarm.name} first")

    def headed(self, words: str) -> str:
        """Any title, with the site before it."""
        return f"{self._site}: {words}"

    def body(self, items: Sequence[Item]) -> str:
        """A paragraph for each alarm, then each caution once, then the standing words."""
        cautions = dict.fromkeys(a.caution for item in items for a in (item.alarm, *item.follows) if a.caution)
        return "\n\n".join([*(" ".join(self._paragraph(item)) for item in items), *cautions, STANDING])

    def _paragraph(self, item: Item) -> Iterator[str]:
        alarm = item.alarm
        subject = f" ({alarm.subject})" if alarm.subject else ""
        yield f"{item.line}, {alarm.name}{subject}, priority {alarm.priority.value}, since {self._clock(alarm.raised)}."
        yield alarm.cause
        if item.follows:
            yield f"From it follows: {', '.join(follower.name for follower in item.follows)}."
        yield from self._how_it_stands(alarm)

    def _how_it_stands(self, alarm: AlarmRecord) -> Iterator[str]:
        if alarm.times > 1:
            yield f"It was raised {alarm.times} times."
        if not alarm.active:
            yield f"What raised it has been gone since {self._clock(alarm.cleared)}."
        yield "Nobody has acknowledged it."

    def _clock(self, at: float | None) -> str:
        return "an unknown time" if at is None else f"{datetime.fromtimestamp(at, self._zone):%H:%M}"
