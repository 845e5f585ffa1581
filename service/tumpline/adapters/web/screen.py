"""What one line's screen shows at one moment, as parts that are replaced when they change."""

from urllib.parse import quote, urlencode

from msgspec import Struct

from tumpline.adapters.web import alarms, figures, trend
from tumpline.adapters.web.book import draw as draw_book
from tumpline.adapters.web.words import CONDITION, Clock, duration, sentence
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


class Style(Struct, frozen=True):
    """How this site wants its screens."""

    clock: Clock
    imperial: bool
    silent_after: float
    """Seconds without a live view after which there is no data."""
    reasons: tuple[str, ...]
    """One-touch reasons for a stop."""


class Screen(Struct, frozen=True):
    """One line's screen at one moment."""

    old: bool
    """True where there is no data and everything shown is old."""
    heard: str
    """Time of the newest reading, in words; empty before the first."""
    parts: dict[str, str]
    """Element id -> its markup."""


def line_path(line: str) -> str:
    """Address of a line's page."""
    return f"/line/{quote(line, safe='')}"


def draw(board: LineBoard, style: Style, *, now: float) -> Screen:
    """The whole screen of a line."""
    old = board.is_silent(now, style.silent_after)
    parts = {
        "band": _band(board.live),
        "gone": _gone(board, style.clock, now=now),
        "ask": _ask(board.live, style),
        "needs": alarms.draw(board.alarms, line_path(board.line), style.clock, now=now),
        "trend": trend.draw(board, style.clock),
        "book": draw_book(board.live),
        "link": _link(board, style.clock, old=old),
    }
    for card in figures.cards(board, style.clock, imperial=style.imperial):
        parts[f"figure-{card.key}"] = figures.draw(card)
    heard = "" if board.heard is None else style.clock.second(board.heard)
    return Screen(old, heard, {key: part.text for key, part in parts.items()})


def _band(live: Live | None) -> Html:
    if live is None:
        return join()
    kind, shape = BAND[live.condition]
    if live.condition is Condition.STOPPED and live.stop is not None and live.stop.reason:
        kind = "stand calm"
    how_long = duration(live.at - live.since)
    return _banner(kind, shape, CONDITION[live.condition], how_long, sentence(_why(live)))


def _why(live: Live) -> str:
    stop = live.stop
    if stop is None or not stop.reason or stop.end is not None:
        return live.why
    return f"{stop.reason}; {live.why}"


def _gone(board: LineBoard, clock: Clock, *, now: float) -> Html:
    """The band that stands in for the other while there is no data; the script fills it in when the link is lost."""
    if board.heard is None:
        return _banner("none", NO_DATA_SHAPE, "No data", "", "Nothing heard from this line yet.")
    words = f"Last heard {clock.second(board.heard)}. The figures below are old."
    return _banner("none", NO_DATA_SHAPE, "No data", duration(now - board.heard), words)


def _banner(kind: str, shape: Html, word: str, how_long: str, why: str) -> Html:
    return el(
        "div",
        el("svg", shape, viewBox="0 0 24 24", class_="shape", aria_hidden="true"),
        el("p", word, class_="word"),
        el("p", how_long, class_="how-long"),
        el("p", why, class_="why"),
        class_=f"banner {kind}",
    )


def _ask(live: Live | None, style: Style) -> Html:
    """Asks for the reason of a stop while it has none."""
    stop = live.stop if live else None
    if live is None or stop is None or stop.reason:
        return join()
    path = line_path(live.line)
    buttons = (
        el("button", reason, name="reason", value=reason, data_key=f"reason {reason}") for reason in style.reasons
    )
    return el(
        "form",
        el("h2", _question(stop, style.clock, now=live.at), id="ask-title"),
        el("input", type="hidden", name="stop", value=stop.id),
        el("div", *buttons, _other(path, stop), class_="buttons"),
        method="post",
        action=f"{path}/reason",
    )


def _question(stop: StopRecord, clock: Clock, *, now: float) -> str:
    start = clock.minute(stop.start, now=now)
    if stop.end is None:
        return f"Why does it stand since {start}?"
    return f"Why did it stand from {start} to {clock.minute(stop.end, now=now)}?"


def _other(path: str, stop: StopRecord) -> Html:
    return el(
        "a",
        "Something else…",
        href=f"{path}/reason?{urlencode({'stop': stop.id})}",
        class_="button",
        data_key="reason other",
    )


def _link(board: LineBoard, clock: Clock, *, old: bool) -> Html:
    live = board.live
    if live is None:
        return join("Nothing heard from this line yet.")
    if old:
        return join(f"No data from the line; page of {clock.second(live.at)}.")
    silent = [signal.name for signal in live.signals if not signal.fresh]
    heard = f"{len(live.signals)} signals heard." if not silent else f"Not heard: {', '.join(silent)}."
    return join(f"Live, {clock.second(live.at)}. {heard}")
