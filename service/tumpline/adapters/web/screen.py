"""What one line's screens show at one moment, as parts that are replaced when they change."""

from typing import NamedTuple
from urllib.parse import quote, urlencode

from msgspec import Struct

from tumpline.adapters.web import alarms, figures, trend
from tumpline.adapters.web.answers import Answer
from tumpline.adapters.web.book import draw as draw_book
from tumpline.adapters.web.panels import Span
from tumpline.adapters.web.words import Style, Words, duration, sentence
from tumpline.pressing.records import Condition, Live, StopRecord
from tumpline.runtime.board import LineBoard
from tumpline.wire.markup import Html, el, join

BAND: dict[Condition, tuple[str, Html]] = {
    Condition.PRESSING: ("flow", el("path", d="M4 2 22 12 4 22Z")),
    Condition.SLOW: (
        "part",
        join(el("path", d="M5 4 20 12 5 20Z", class_="hollow"), el("path", d="M5 4 11 7V17L5 20Z")),
    ),
    Condition.FILLING: ("part", el("path", d="M12 2 22 15H2ZM2 18H22V22H2Z")),
    Condition.DRAINING: ("part", el("path", d="M12 22 2 9H22ZM2 2H22V6H2Z")),
    Condition.STARVED: ("stand", el("circle", cx=12, cy=12, r=8, class_="hollow")),
    Condition.STOPPED: ("stand", el("path", d="M3 3H21V21H3Z")),
    Condition.BLOCKED: ("block", el("path", d="M7 1H17L23 7V17L17 23H7L1 17V7ZM5 10V14H19V10Z", fill_rule="evenodd")),
    Condition.WASHING: (
        "hollow-band",
        join(
            el("path", d="M7 1C11 8 12 10 12 12A5 5 0 0 1 2 12C2 10 3 8 7 1Z"),
            el("path", d="M17 8C21 15 22 16 22 18A5 5 0 0 1 12 18C12 16 13 15 17 8Z"),
        ),
    ),
    Condition.UNKNOWN: ("none", el("circle", cx=12, cy=12, r=8, class_="hollow", stroke_dasharray="5 3.4")),
}
"""How a condition looks: its kind of fill, then its shape."""
NO_DATA_SHAPE = el("path", d="M12 1A11 11 0 1 1 11.9 1ZM10.5 5V14H13.5V5ZM10.5 16V19H13.5V16Z", fill_rule="evenodd")


class View(NamedTuple):
    """Which screen: whoever looks at the same one is told the same."""

    line: str
    page: str
    span: Span = Span.HALF_HOUR


class Screen(Struct, frozen=True):
    """One screen at one moment."""

    old: bool
    """True where there is no data and everything shown is old."""
    heard: str
    """Time of the newest reading, in words; empty before the first."""
    parts: dict[str, str]
    """Element id -> its markup."""


def line_path(line: str, *more: str) -> str:
    """Address of a line's page, or of one below it."""
    return "/".join(["/line", *(quote(part, safe="") for part in (line, *more))])


def common(board: LineBoard, style: Style, *, now: float) -> Screen:
    """What every screen of a line has: its band, the band that stands in while there is no data, and the link."""
    old = board.is_silent(now, style.silent_after)
    parts = {
        "band": _band(board.live, style),
        "gone": _gone(board, style, now=now),
        "link": _link(board, style, old=old),
    }
    heard = "" if board.heard is None else style.clock.second(board.heard)
    return Screen(old, heard, {key: part.text for key, part in parts.items()})


def floor(board: LineBoard, style: Style, span: Span, answer: Answer | None, *, now: float) -> dict[str, Html]:
    """The parts of the page on the press floor."""
    parts = {
        "ask": ask(board.live, style, answer),
        "needs": alarms.draw(board.alarms, line_path(board.line), style, now=now),
        "trend": join(_trend_head(board.line, span, style.words), trend.draw(board, style, span)),
        "book": draw_book(board.live, style),
    }
    more = {"yield": line_path(board.line, "sure")}
    return parts | {
        f"figure-{card.key}": figures.draw(card, more.get(card.key)) for card in figures.cards(board, style)
    }


def _trend_head(line: str, chosen: Span, words: Words) -> Html:
    """The heading, and how far back to choose from."""
    links = (
        el(
            "a",
            words(f"span.{span.value}"),
            href=f"{line_path(line)}?span={span.value}",
            aria_current="true" if span is chosen else None,
            data_key=f"span {span.value}",
        )
        for span in Span
    )
    return el("div", el("h2", words("trend.title")), el("p", *links, class_="spans"), class_="head")


def _band(live: Live | None, style: Style) -> Html:
    if live is None:
        return join()
    words = style.words
    kind, shape = BAND[live.condition]
    if live.condition is Condition.STOPPED and live.stop is not None and live.stop.reason:
        kind = "stand calm"
    how_long = duration(live.at - live.since)
    said = words.line(live.why)
    why = sentence(_with_reason(said.text, live.stop, style))
    return _banner(kind, shape, words(f"condition.{live.condition.value}"), how_long, why, said.lang)


def _with_reason(why: str, stop: StopRecord | None, style: Style) -> str:
    """What the condition was read from, after the reason that people gave for it."""
    if stop is None or not stop.reason or stop.end is not None:
        return why
    return style.words("band.with-reason", reason=style.reason(stop.reason), why=why)


def _gone(board: LineBoard, style: Style, *, now: float) -> Html:
    """The band that stands in for the other while there is no data; the script fills it in when the link is lost."""
    words = style.words
    if board.heard is None:
        return _banner("none", NO_DATA_SHAPE, words("band.no-data"), "", words("band.never-heard"))
    why = words("band.last-heard", time=style.clock.second(board.heard))
    return _banner("none", NO_DATA_SHAPE, words("band.no-data"), duration(now - board.heard), why)


def _banner(kind: str, shape: Html, word: str, how_long: str, why: str, lang: str | None = None) -> Html:
    return el(
        "div",
        el("svg", shape, viewBox="0 0 24 24", class_="shape", aria_hidden="true"),
        el("p", word, class_="word"),
        el("p", how_long, class_="how-long"),
        el("p", why, class_="why", lang=lang),
        class_=f"banner {kind}",
    )


def ask(live: Live | None, style: Style, answer: Answer | None) -> Html:
    """Asks for the reason of a stop while it has none; says what was answered while that can be taken back."""
    stop = live.stop if live else None
    if live is None or stop is None or stop.reason:
        return join()
    path, words = line_path(live.line), style.words
    if answer is not None and answer.stop == stop.id:
        return _answered(answer, stop, path, style, now=live.at)
    buttons = (
        el("button", word, name="reason", value=reason, data_key=f"reason {reason}")
        for reason, word in style.reasons.items()
    )
    other = f"{path}/reason?{urlencode({'stop': stop.id})}"
    return el(
        "form",
        el("h2", _question(stop, style, now=live.at), id="ask-title", tabindex=-1, data_key="ask"),
        el("input", type="hidden", name="stop", value=stop.id),
        el(
            "div",
            *buttons,
            el("a", words("ask.other"), href=other, class_="button", data_key="reason other"),
            class_="buttons",
        ),
        method="post",
        action=f"{path}/reason",
    )


def _answered(answer: Answer, stop: StopRecord, path: str, style: Style, *, now: float) -> Html:
    start, reason = style.clock.minute(stop.start, now=now), style.reason(answer.reason)
    told = style.words("ask.answered", start=start, reason=reason)
    return el(
        "form",
        el("h2", told, id="ask-title", tabindex=-1, data_key="ask"),
        el("button", style.words("ask.undo"), data_key="reason undo"),
        method="post",
        action=f"{path}/reason-undo",
    )


def _question(stop: StopRecord, style: Style, *, now: float) -> str:
    start = style.clock.minute(stop.start, now=now)
    if stop.end is None:
        return style.words("ask.why-now", start=start)
    return style.words("ask.why-then", start=start, end=style.clock.minute(stop.end, now=now))


def _link(board: LineBoard, style: Style, *, old: bool) -> Html:
    live, words = board.live, style.words
    if live is None:
        return join(words("band.never-heard"))
    time = style.clock.second(live.at)
    if old:
        return join(words("link.no-data", time=time))
    silent = [signal.name for signal in live.signals if not signal.fresh]
    heard = words("link.heard", count=len(live.signals))
    if silent:
        heard = words("link.not-heard", names=", ".join(silent))
    units = f" {words('link.imperial')}" if style.imperial else ""
    return join(f"{words('link.live', time=time)} {heard}{units}")
