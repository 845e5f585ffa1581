"""Whole documents: a line's live pages, and the small pages that ask for one thing."""

from collections.abc import Mapping, Sequence

from msgspec import Struct

from tumpline.adapters.web.door import LOG_IN, LONGEST_NAME, Visitor
from tumpline.adapters.web.figures import KEYS
from tumpline.adapters.web.screen import Screen, View, line_path
from tumpline.adapters.web.words import Words
from tumpline.wire.markup import Child, Html, el, join

PAGES = ("floor", "alarms", "book", "signals", "sure", "reports")
_OWN_WAY = ("floor", "sure")
"""Pages that the floor page does not list: itself, and the one to which its first figure leads."""
REFRESH_WITHOUT_SCRIPT = 10


class Frame(Struct, frozen=True):
    """What stands around a screen."""

    words: Words
    site: str
    lines: Sequence[str]
    build: str
    visitor: Visitor


def floor_page(screen: Screen, view: View, frame: Frame) -> str:
    """The page of one line, complete as it stands; the script only keeps it up to date."""
    figures = el("div", *(_part(screen, f"figure-{key}", "section", class_="card") for key in KEYS), class_="figures")
    numbers = el("div", figures, _part(screen, "trend", "section", class_="card"), class_="numbers")
    body = (
        el("div", _lines(frame, view), _state(screen), class_="state"),
        _part(screen, "needs", "section", aria_labelledby="needs-title"),
        numbers,
        _part(screen, "book", "section", class_="card"),
        _foot(screen, view, frame, held=True),
    )
    return _live(screen, view, frame, view.line, body)


def list_page(
    screen: Screen,
    view: View,
    frame: Frame,
    sections: Sequence[str],
    *,
    told: str | None = None,
    still: Html | None = None,
) -> str:
    """
    A page of one column, whose sections are the screen's parts of those names.

    `told` stands above them; `still` below, and does not change while the page is open.
    """
    title = frame.words(f"page.{view.page}")
    body = (
        el("div", _nav(view, frame), _state(screen), class_="state"),
        el("p", told, role="status", class_="told", tabindex=-1, autofocus=True) if told else None,
        *(_part(screen, key, "section", class_="card") for key in sections),
        still,
        _foot(screen, view, frame, held=False),
    )
    return _live(screen, view, frame, f"{title}, {view.line}", body, kind="list")


def _live(screen: Screen, view: View, frame: Frame, title: str, body: Sequence[Child], *, kind: str = "floor") -> str:
    words, path = frame.words, line_path(view.line)
    main = el(
        "main",
        el("h1", f"{title}, {frame.site}", class_="aloud"),
        *body,
        class_=" ".join([kind, *(["old"] if screen.old else []), *([] if frame.visitor.may("operate") else ["look"])]),
        data_build=frame.build,
        data_heard=screen.heard,
        data_socket=f"{path}/socket?page={view.page}&span={view.span.value}",
        data_lost=words("link.lost", time="{time}"),
        data_lost_unheard=words("link.lost-unheard"),
        data_trying=words("link.trying"),
        data_not_sent=words("link.not-sent"),
        data_hold=words("foot.hold"),
        data_held=words("foot.held", time="{time}"),
        data_old_figures=words("foot.old-figures", figures="{figures}"),
    )
    refresh = el("noscript", el("meta", http_equiv="refresh", content=REFRESH_WITHOUT_SCRIPT))
    return whole(f"{title}, {frame.site}", main, words, refresh, el("script", src="/static/page.js", defer=True))


def _part(screen: Screen, key: str, element: str = "div", **attributes: str | None) -> Html:
    return el(element, Html(screen.parts[key]), id=key, **attributes)


def _state(screen: Screen) -> Html:
    asked = _part(screen, "ask") if "ask" in screen.parts else None
    return join(_part(screen, "band", class_="when-live"), _part(screen, "gone", class_="when-old"), asked)


def _lines(frame: Frame, view: View) -> Html | None:
    """The other lines' same pages, where there are any."""
    if len(frame.lines) < 2:
        return None
    more = () if view.page == "floor" else (view.page,)
    links = (_link(line, line_path(line, *more), here=line == view.line) for line in frame.lines)
    return el("nav", *links, aria_label=frame.words("foot.lines"))


def _nav(view: View, frame: Frame) -> Html:
    """The other pages of this line."""
    links = (
        _link(
            frame.words(f"page.{page}"),
            line_path(view.line, *(() if page == "floor" else (page,))),
            here=page == view.page,
        )
        for page in PAGES
        if page not in (_OWN_WAY if view.page == "floor" else ())
    )
    return join(_lines(frame, view), el("nav", *links, aria_label=frame.words("page.pages")))


def _link(words: str, href: str, *, here: bool) -> Html:
    return el("a", words, href=href, aria_current="page" if here else None, class_="button")


def _foot(screen: Screen, view: View, frame: Frame, *, held: bool) -> Html:
    words, visitor = frame.words, frame.visitor
    tools: tuple[Child, ...] = ()
    if held:
        tools = (
            el("button", words("foot.read-out"), type="button", id="read-out", hidden=True),
            el("button", words("foot.hold"), type="button", id="hold", hidden=True, aria_pressed="false"),
        )
    pages = _nav(View(view.line, "floor"), frame) if held else None
    without = el("noscript", el("p", words("foot.without-script", seconds=REFRESH_WITHOUT_SCRIPT)))
    return el(
        "footer",
        el("p", words("caution"), class_="caution"),
        el("div", pages, *tools, _who(visitor, view, words), _part(screen, "link", "p"), class_="tools"),
        without,
        el("p", id="say", role="status", class_="aloud"),
    )


def _who(visitor: Visitor, view: View, words: Words) -> Html:
    if visitor.proven:
        button = el("button", words("log.out", name=visitor.name))
        return el("form", button, method="post", action="/log-out", class_="plain")
    name = words("foot.name", name=visitor.name) if visitor.name else words("foot.your-name")
    return el("a", name, href=f"{line_path(view.line)}/who", class_="button", id="who")


def name_page(words: Words, *, action: str, back: str, kept: Mapping[str, str], refused: str | None = None) -> str:
    """Asks who is there; whatever else was being sent goes along with the name."""
    asked = _question(words("who.label"), "by", refused, autocomplete="name")
    return asking(words, "who", asked, action=action, back=back, kept=kept)


def reason_page(words: Words, *, action: str, back: str, stop: str) -> str:
    """Asks for a reason in the person's own words."""
    asked = _question(words("reason.label"), "reason", None)
    return asking(words, "reason", asked, action=action, back=back, kept={"stop": stop})


def log_in_page(words: Words, *, back: str, name: str = "", refused: str | None = None) -> str:
    """Asks for a name and a password."""
    asked = join(
        _question(words("log.name"), "name", refused, autocomplete="username", value=name),
        el("label", words("log.password"), for_="password"),
        el("input", id="password", name="password", type="password", required=True, autocomplete="current-password"),
    )
    return asking(words, "log", asked, action=LOG_IN, back=None, kept={"back": back})


def message_page(words: Words, title: str, text: str, *, back: str) -> str:
    """Says one thing, and leads back."""
    main = el("main", el("h1", title, tabindex=-1, autofocus=True), el("p", text), _back(back, words), class_="small")
    return whole(title, main, words)


def form_page(words: Words, title: str, text: str, form: Html, *, back: str) -> str:
    """A page around a form, which leads back to the page it came from, the shift book or the alarms."""
    leave = el("p", el("a", words(f"page.back-to-{back.rpartition('/')[2]}"), href=back, class_="button"))
    main = el("main", el("h1", title), el("p", text) if text else None, form, leave, class_="small")
    return whole(title, main, words)


def _question(
    label: str, name: str, refused: str | None, *, autocomplete: str = "off", value: str | None = None
) -> Html:
    """A field that must be filled in, with what was wrong beside it."""
    return join(
        el("label", label, for_="answer"),
        el("p", refused, id="answer-wrong", role="alert", class_="trouble") if refused else None,
        el(
            "input",
            id="answer",
            name=name,
            value=value,
            required=True,
            maxlength=LONGEST_NAME,
            autocomplete=autocomplete,
            autofocus=True,
            aria_describedby="answer-wrong" if refused else None,
            aria_invalid="true" if refused else None,
        ),
    )


def asking(words: Words, group: str, asked: Html, *, action: str, back: str | None, kept: Mapping[str, str]) -> str:
    """A page with one short form; title, text and button are the group's."""
    form = el(
        "form",
        asked,
        *(el("input", type="hidden", name=key, value=value) for key, value in kept.items()),
        el("button", words(f"{group}.write"), class_="main"),
        method="post",
        action=action,
    )
    title = words(f"{group}.title")
    leave = _back(back, words) if back else None
    return whole(
        title, el("main", el("h1", title), el("p", words(f"{group}.text")), form, leave, class_="small"), words
    )


def _back(path: str, words: Words) -> Html:
    return el("p", el("a", words("foot.back"), href=path, class_="button"))


def whole(title: str, body: Html, words: Words, *head: Html) -> str:
    """A document of the page's own look."""
    markup = el(
        "html",
        el(
            "head",
            el("meta", charset="utf-8"),
            el("meta", name="viewport", content="width=device-width, initial-scale=1"),
            el("meta", name="color-scheme", content="light dark"),
            el("title", title),
            el("link", rel="icon", href="/static/icon.svg", type="image/svg+xml"),
            el("link", rel="stylesheet", href="/static/style.css"),
            *head,
        ),
        el("body", body),
        lang=words.language,
    )
    return join(Html("<!doctype html>"), markup).text
