"""Whole documents: a line's page, and the small pages that ask for one thing."""

from collections.abc import Mapping, Sequence

from tumpline.adapters.web.screen import Screen, line_path
from tumpline.wire.documents import CAUTION
from tumpline.wire.markup import Child, Html, el, join

FIGURES = ("yield", "fruit", "juice", "pressure", "dryness", "shift")
LONGEST_NAME = 60
REFRESH_WITHOUT_SCRIPT = 10


def live_page(screen: Screen, *, line: str, lines: Sequence[str], site: str, build: str, who: str | None) -> str:
    """The page of one line, complete as it stands; the script only keeps it up to date."""
    path = line_path(line)

    def part(key: str, element: str = "div", **attributes: str | None) -> Html:
        return el(element, Html(screen.parts[key]), id=key, **attributes)

    others = [
        el("a", other, href=line_path(other), aria_current="page" if other == line else None, class_="button")
        for other in lines
    ]
    nav = el("nav", *others, aria_label="Lines") if len(lines) > 1 else None
    figures = el("div", *(part(f"figure-{key}", "section", class_="card") for key in FIGURES), class_="figures")
    numbers = el("div", figures, part("trend", "section", class_="card"), class_="numbers")
    body = el(
        "main",
        el("h1", f"{line}, {site}", class_="aloud"),
        el("div", nav, part("band", class_="when-live"), part("gone", class_="when-old"), part("ask"), class_="state"),
        part("needs", "section", aria_labelledby="needs-title"),
        el("div", numbers, part("book", "section", class_="card"), class_="left"),
        _foot(part("link", "p"), path, who),
        class_="old" if screen.old else None,
        data_build=build,
        data_heard=screen.heard,
        data_socket=f"{path}/socket",
    )
    refresh = el("noscript", el("meta", http_equiv="refresh", content=REFRESH_WITHOUT_SCRIPT))
    return _document(f"{line}, {site}", body, refresh, el("script", src="/static/page.js", defer=True))


def _foot(link: Html, path: str, who: str | None) -> Html:
    tools = (
        el("button", "Read out", type="button", id="read-out", hidden=True),
        el("button", "Hold", type="button", id="hold", hidden=True, aria_pressed="false"),
        el("a", f"Name: {who}" if who else "Your name", href=f"{path}/who", class_="button"),
    )
    without = el("noscript", el("p", f"Without script this page is fetched anew every {REFRESH_WITHOUT_SCRIPT} s."))
    say = el("p", id="say", role="status", class_="aloud")
    return el("footer", el("p", CAUTION, class_="caution"), el("div", *tools, link, class_="tools"), without, say)


def name_page(*, action: str, back: str, kept: Mapping[str, str], refused: str | None = None) -> str:
    """Asks who is there; whatever else was being sent goes along with the name."""
    return _asking(
        "Who are you?",
        "Your name is written beside what you did. It is kept in this browser.",
        "by",
        "Your name",
        action=action,
        back=back,
        kept=kept,
        refused=refused,
    )


def reason_page(*, action: str, back: str, stop: str) -> str:
    """Asks for a reason in the person's own words."""
    return _asking(
        "Why did it stand?", "In your own words.", "reason", "Reason", action=action, back=back, kept={"stop": stop}
    )


def message_page(title: str, text: str, *, back: str) -> str:
    """Says one thing, and leads back."""
    return _document(title, el("main", el("h1", title), el("p", text), _back(back), class_="small"))


def _asking(
    title: str,
    text: str,
    name: str,
    label: str,
    *,
    action: str,
    back: str,
    kept: Mapping[str, str],
    refused: str | None = None,
) -> str:
    form = el(
        "form",
        el("label", label, for_="answer"),
        el("input", id="answer", name=name, required=True, maxlength=LONGEST_NAME, autocomplete="off", autofocus=True),
        *(el("input", type="hidden", name=key, value=value) for key, value in kept.items()),
        el("button", "Write it down"),
        method="post",
        action=action,
    )
    trouble: Child = el("p", refused, role="alert", class_="trouble") if refused else None
    return _document(title, el("main", el("h1", title), el("p", text), trouble, form, _back(back), class_="small"))


def _back(path: str) -> Html:
    return el("p", el("a", "Back to the line", href=path, class_="button"))


def _document(title: str, body: Html, *head: Html) -> str:
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
        lang="en",
    )
    return join(Html("<!doctype html>"), markup).text
