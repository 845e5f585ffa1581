"""The alarms' page: what needs somebody, what followed from it, the line around that moment; then what was."""

from tumpline.adapters.web import trend
from tumpline.adapters.web.alarms import in_order, item
from tumpline.adapters.web.panels import Window
from tumpline.adapters.web.scales import METRIC, si
from tumpline.adapters.web.screen import line_path
from tumpline.adapters.web.words import Style, duration, sentence
from tumpline.pressing.records import AlarmRecord, AlarmState
from tumpline.runtime.board import LineBoard
from tumpline.runtime.trend import FINE_SECONDS
from tumpline.wire.markup import Html, el, join

SECTIONS = ("needs", "was")
BEFORE, AFTER = 600.0, 300.0
"""s of the trend shown before and after an alarm was raised."""
BACK = {
    AlarmState.SHELVED: "unshelve",
    AlarmState.OUT_OF_SERVICE: "in-service",
    AlarmState.LATCHED_UNACKNOWLEDGED: "reset",
    AlarmState.LATCHED_ACKNOWLEDGED: "reset",
}
"""How an alarm in this state is brought back, at one touch."""


def parts(board: LineBoard, style: Style, *, now: float) -> dict[str, Html]:
    """The sections of the page."""
    return {"needs": _open(board, style, now=now), "was": _was(board, style, now=now)}


def _open(board: LineBoard, style: Style, *, now: float) -> Html:
    words = style.words
    title = el("h2", words("needs.open"), id="needs-title", tabindex=-1, data_key="needs")
    unknown = el("p", words("needs.not-known"), class_="note when-old")
    if not board.alarms:
        return join(title, el("p", words("needs.none"), class_="note when-live"), unknown)
    path = line_path(board.line)
    items = [
        item(
            alarm,
            path,
            style,
            now=now,
            under=under,
            detail=_figure(alarm, style),
            more=join(_aside(alarm, board.line, style), None if under else _around(alarm, board, style)),
            from_page="alarms",
        )
        for alarm, under in in_order(board.alarms)
    ]
    return join(title, unknown, el("ul", *items))


def _figure(alarm: AlarmRecord, style: Style) -> Html | None:
    """What the alarm rests on."""
    if alarm.value is None or alarm.limit is None:
        return None
    value, limit, unit = alarm.value, alarm.limit, alarm.unit or ""
    if unit in METRIC:
        scale = style.scale(unit)
        value, limit, unit = scale.of(si(value, unit)), scale.of(si(limit, unit)), scale.unit
    value_words, limit_words = (style.words.number(number, 2) for number in (value, limit))
    return el("p", style.words("needs.limit", value=value_words, limit=limit_words, unit=unit), class_="note")


def _aside(alarm: AlarmRecord, line: str, style: Style) -> Html | None:
    """The way aside or out of service, or back; none for what is only a consequence."""
    if alarm.state is AlarmState.SUPPRESSED:
        return None
    words = style.words
    kind = BACK.get(alarm.state)
    name = words.alarm(alarm)
    if kind is not None:
        return el(
            "form",
            el("input", type="hidden", name="alarm", value=alarm.name),
            el(
                "button",
                words(f"needs.{kind}"),
                aria_label=f"{words(f'needs.{kind}')}: {name}",
                data_key=f"{kind} {name}",
            ),
            method="post",
            action=f"{line_path(line)}/{kind}?from=alarms",
        )
    links = (
        el(
            "a",
            words(f"form.{form}"),
            href=f"{line_path(line, 'book', form)}?alarm={alarm.name}",
            class_="button",
            aria_label=f"{words(f'form.{form}')}: {name}",
        )
        for form in ("shelve", "out-of-service")
    )
    return el("p", *links, class_="buttons")


def _around(alarm: AlarmRecord, board: LineBoard, style: Style) -> Html | None:
    """The line's own trend around the moment the alarm was raised; nothing where that is too long ago."""
    newest = board.trend.last(0.0)
    if alarm.raised is None or not newest or newest[-1].at - alarm.raised > FINE_SECONDS - BEFORE / 2:
        return None
    end = min(newest[-1].at, alarm.raised + AFTER)
    time = style.clock.minute(alarm.raised)
    window = Window(alarm.raised - BEFORE, end, style.words("span.around", time=time))
    title = el("h4", style.words("trend.around", time=time))
    return el(
        "div", title, trend.drawn(board, style, window, key=f"{alarm.name}-", moment=alarm.raised), class_="around"
    )


def _was(board: LineBoard, style: Style, *, now: float) -> Html:
    """Alarms that are over, newest first."""
    words = style.words
    title = el("h2", words("needs.was"))
    if not board.past_alarms:
        return join(title, el("p", words("needs.none-was"), class_="note"))
    rows = (_past(alarm, style, now=now) for alarm in board.past_alarms)
    return join(title, el("ul", *rows, class_="rows"))


def _past(alarm: AlarmRecord, style: Style, *, now: float) -> Html:
    words, clock = style.words, style.clock
    cause = words.line(alarm.cause)
    story = ""
    if alarm.raised is not None:
        story = words("needs.since", time=clock.minute(alarm.raised, now=now))
        if alarm.cleared is not None:
            story = words(
                "needs.lasted",
                start=clock.minute(alarm.raised, now=now),
                end=clock.minute(alarm.cleared, now=now),
                duration=duration(alarm.cleared - alarm.raised),
            )
    seen = words("needs.by", what=words("needs.seen-by"), name=alarm.by) if alarm.by else words("needs.unseen")
    return el(
        "li",
        el("p", words.alarm(alarm), class_="what"),
        el("p", sentence(cause.text), lang=cause.lang),
        el("p", f"{story}; {seen}" if story else seen, class_="note"),
    )
