"""What needs somebody: the open alarms, each with its caution first, its cause, and a button."""

from collections.abc import Iterator, Sequence

from tumpline.adapters.web.words import Style, Words, sentence
from tumpline.pressing.records import AlarmRecord, AlarmState, Priority
from tumpline.wire.markup import Child, Html, el, join

WAITING = frozenset([AlarmState.UNACKNOWLEDGED, AlarmState.RETURNED_UNACKNOWLEDGED, AlarmState.LATCHED_UNACKNOWLEDGED])
SET_ASIDE = frozenset([AlarmState.SHELVED, AlarmState.SUPPRESSED, AlarmState.OUT_OF_SERVICE])
_QUIET = {
    AlarmState.SHELVED: "aside",
    AlarmState.SUPPRESSED: "follows",
    AlarmState.OUT_OF_SERVICE: "out",
}
"""What stands in the place of how soon, for an alarm that asks for nobody."""
SHAPE = {
    Priority.HIGH: el("path", d="M12 2 23 22H1Z"),
    Priority.MEDIUM: el("path", d="M12 1 23 12 12 23 1 12Z"),
    Priority.LOW: el("circle", cx=12, cy=12, r=8, class_="hollow"),
}
_RANK = {Priority.HIGH: 0, Priority.MEDIUM: 1, Priority.LOW: 2}


def draw(alarms: Sequence[AlarmRecord], path: str, style: Style, *, now: float) -> Html:
    """Heading and list; `path` is the line's own, where the forms go."""
    words = style.words
    waiting = sum(alarm.state in WAITING for alarm in alarms)
    title = words("needs.title-count", count=waiting) if waiting else words("needs.title")
    heading = el("h2", title, id="needs-title", tabindex=-1, data_key="needs")
    old_note = el("p", words("needs.not-known"), class_="note when-old")
    if not alarms:
        return join(heading, el("p", words("needs.none"), class_="note when-live"), old_note)
    items = (item(alarm, path, style, now=now, under=under) for alarm, under in in_order(alarms))
    return join(heading, old_note, el("ul", *items))


def in_order(alarms: Sequence[AlarmRecord]) -> Iterator[tuple[AlarmRecord, bool]]:
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


def item(
    alarm: AlarmRecord,
    path: str,
    style: Style,
    *,
    now: float,
    under: bool,
    detail: Child = None,
    more: Child = None,
    from_page: str = "",
) -> Html:
    """One alarm: how soon, its caution first, its cause, its story, a page's detail, the button, what a page adds."""
    words = style.words
    key = f"{alarm.name} {alarm.subject or ''} {alarm.raised}"
    waiting = alarm.state in WAITING
    kind = "waiting" if waiting else "seen"
    sign = el("svg", SHAPE[alarm.priority], viewBox="0 0 24 24", class_="sign", aria_hidden="true")
    how_soon = words(f"priority.{_QUIET.get(alarm.state, alarm.priority.value)}")
    caution, cause = words.line(alarm.caution or ""), words.line(alarm.cause)
    because = words("needs.follows", name=words.named("alarm", alarm.because_of)) if alarm.because_of else None
    return el(
        "li",
        sign,
        el(
            "div",
            el("h3", el("span", f"{how_soon}: ", class_="soon"), words.alarm(alarm)),
            el("p", caution.text, class_="caution", lang=caution.lang) if alarm.caution else None,
            el("p", sentence(cause.text), class_="cause", lang=cause.lang),
            el("p", because, class_="note") if because else None,
            el("p", _story(alarm, style, now=now), class_="note"),
            detail,
            _button(alarm, f"{path}/acknowledge{from_page and f'?from={from_page}'}", key, words) if waiting else None,
            more,
        ),
        class_=f"{kind} under" if under else kind,
        data_alarm=key if waiting else None,
    )


def _story(alarm: AlarmRecord, style: Style, *, now: float) -> str:
    """Since when, until when, seen or set aside by whom."""
    words, clock = style.words, style.clock
    parts = []
    if alarm.raised is not None:
        parts.append(words("needs.since", time=clock.minute(alarm.raised, now=now)))
    if alarm.times > 1:
        parts.append(words("needs.times", times=alarm.times))
    if not alarm.active and alarm.cleared is not None:
        parts.append(words("needs.over", time=clock.minute(alarm.cleared, now=now)))
    if alarm.state is AlarmState.SHELVED and alarm.shelved_until is not None:
        aside = words("needs.aside", time=clock.minute(alarm.shelved_until, now=now))
        parts.append(_by(aside, alarm, words))
    elif alarm.acknowledged is not None and alarm.state not in WAITING:
        seen = words("needs.seen", time=clock.minute(alarm.acknowledged, now=now))
        parts.append(_by(seen, alarm, words))
    return ", ".join(parts)


def _by(what: str, alarm: AlarmRecord, words: Words) -> str:
    return words("needs.by", what=what, name=alarm.by) if alarm.by else what


def _button(alarm: AlarmRecord, action: str, key: str, words: Words) -> Html:
    name = words("needs.see-name", name=words.alarm(alarm))
    return el(
        "form",
        el("input", type="hidden", name="alarm", value=alarm.name),
        el("button", words("needs.see"), aria_label=name, data_key=key),
        method="post",
        action=action,
    )
