"""What needs somebody: the open alarms, each with its caution first, its cause, and a button."""

from collections.abc import Iterator, Sequence

from tumpline.adapters.web.words import PRIORITY, Clock, alarm_name, sentence
from tumpline.pressing.records import AlarmRecord, AlarmState, Priority
from tumpline.wire.markup import Html, el, join

WAITING = frozenset([AlarmState.UNACKNOWLEDGED, AlarmState.RETURNED_UNACKNOWLEDGED, AlarmState.LATCHED_UNACKNOWLEDGED])
SET_ASIDE = frozenset([AlarmState.SHELVED, AlarmState.SUPPRESSED, AlarmState.OUT_OF_SERVICE])
SHAPE = {
    Priority.HIGH: el("path", d="M12 2 23 22H1Z"),
    Priority.MEDIUM: el("path", d="M12 1 23 12 12 23 1 12Z"),
    Priority.LOW: el("circle", cx=12, cy=12, r=8, class_="hollow"),
}
_RANK = {Priority.HIGH: 0, Priority.MEDIUM: 1, Priority.LOW: 2}


def draw(alarms: Sequence[AlarmRecord], path: str, clock: Clock, *, now: float) -> Html:
    """Heading and list; `path` is the line's own, where the forms go."""
    waiting = sum(alarm.state in WAITING for alarm in alarms)
    heading = el("h2", f"Needs you: {waiting}" if waiting else "Needs you", id="needs-title", tabindex=-1)
    old_note = el("p", "What needs somebody now is not known.", class_="note when-old")
    if not alarms:
        return join(heading, el("p", "No alarm is open.", class_="note when-live"), old_note)
    items = (_item(alarm, path, clock, now=now, under=under) for alarm, under in _in_order(alarms))
    return join(heading, old_note, el("ul", *items))


def _in_order(alarms: Sequence[AlarmRecord]) -> Iterator[tuple[AlarmRecord, bool]]:
    """Waiting before seen, sooner before later; a consequence right under its cause, marked True."""
    by_need = sorted(
        alarms,
        key=lambda alarm: (
            alarm.state in SET_ASIDE,
            alarm.state not in WAITING,
            _RANK[alarm.priority],
            alarm.raised or 0.0,
        ),
    )
    names = {alarm.name for alarm in alarms}
    placed: set[str] = set()

    def with_consequences(alarm: AlarmRecord, under: bool) -> Iterator[tuple[AlarmRecord, bool]]:
        if alarm.name in placed:
            return
        placed.add(alarm.name)
        yield alarm, under
        for other in by_need:
            if other.because_of == alarm.name:
                yield from with_consequences(other, True)

    for alarm in by_need:
        if alarm.because_of not in names:
            yield from with_consequences(alarm, False)
    for alarm in by_need:  # those that blame each other
        yield from with_consequences(alarm, False)


def _item(alarm: AlarmRecord, path: str, clock: Clock, *, now: float, under: bool) -> Html:
    key = f"{alarm.name} {alarm.subject or ''} {alarm.raised}"
    waiting = alarm.state in WAITING
    kind = "waiting" if waiting else "seen"
    sign = el("svg", SHAPE[alarm.priority], viewBox="0 0 24 24", class_="sign", aria_hidden="true")
    how_soon = "Set aside" if alarm.state in SET_ASIDE else PRIORITY[alarm.priority]
    because = f"Follows from: {alarm.because_of.replace('-', ' ')}." if alarm.because_of else None
    return el(
        "li",
        sign,
        el(
            "div",
            el("h3", el("span", f"{how_soon}: ", class_="soon"), alarm_name(alarm)),
            el("p", alarm.caution, class_="caution") if alarm.caution else None,
            el("p", sentence(alarm.cause), class_="cause"),
            el("p", because, class_="note") if because else None,
            el("p", _story(alarm, clock, now=now), class_="note"),
            _button(alarm, path, key) if waiting else None,
        ),
        class_=f"{kind} under" if under else kind,
        data_alarm=key if waiting else None,
    )


def _story(alarm: AlarmRecord, clock: Clock, *, now: float) -> str:
    """Since when, until when, seen or set aside by whom."""
    parts = []
    if alarm.raised is not None:
        parts.append(f"since {clock.minute(alarm.raised, now=now)}")
    if not alarm.active and alarm.cleared is not None:
        parts.append(f"over since {clock.minute(alarm.cleared, now=now)}")
    if alarm.state is AlarmState.SHELVED and alarm.shelved_until is not None:
        parts.append(f"set aside until {clock.minute(alarm.shelved_until, now=now)}" + _by(alarm))
    elif alarm.acknowledged is not None and alarm.state not in WAITING:
        parts.append(f"seen {clock.minute(alarm.acknowledged, now=now)}" + _by(alarm))
    return ", ".join(parts)


def _by(alarm: AlarmRecord) -> str:
    return f" by {alarm.by}" if alarm.by else ""


def _button(alarm: AlarmRecord, path: str, key: str) -> Html:
    return el(
        "form",
        el("input", type="hidden", name="alarm", value=alarm.name),
        el("button", "I have seen it", aria_label=f"I have seen it: {alarm_name(alarm)}", data_key=key),
        method="post",
        action=f"{path}/acknowledge",
    )
