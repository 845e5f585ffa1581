"""The page for everybody: what axe-core sees, and the four things that it cannot."""

import re
from collections.abc import Callable, Iterator
from importlib.resources import files
from typing import Literal

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, BrowserContext, Page, expect

from fake_line import blocked, half_hour, live, stopped, unknown
from live_page import LivePage
from page_book import morning
from page_in_browser import PAGES, forget, window
from tumpline.pressing.records import Live

pytestmark = pytest.mark.system

WIDTHS = (320, 360, 768, 1920)
Scheme = Literal["light", "dark"]
SCHEMES: tuple[Scheme, ...] = ("light", "dark")
LOOK = {"resultTypes": ["violations", "incomplete"]}


@pytest.fixture(scope="module", name="service")
def _service() -> Iterator[LivePage]:
    with LivePage() as service:
        service.act(half_hour)
        service.act(morning)
        yield service


@pytest.fixture(scope="module", name="context")
def _context(browser: Browser) -> Iterator[BrowserContext]:
    with window(browser) as context:
        yield context


@pytest.fixture(autouse=True)
def _tidy(context: BrowserContext) -> Iterator[None]:
    yield
    forget(context)


def opened(context: BrowserContext, url: str, *, width: int = 1920, scheme: Scheme = "light") -> Page:
    """A page of its own, complete."""
    page = context.new_page()
    page.set_viewport_size({"width": width, "height": 900})
    page.emulate_media(color_scheme=scheme)
    page.goto(url)
    return page


def still(context: BrowserContext, url: str, *, width: int = 1920, scheme: Scheme = "light") -> Page:
    """The same, of which nothing is drawn anew: what changes while axe-core reads it, it cannot decide."""
    page = opened(context, "about:blank", width=width, scheme=scheme)
    page.route_web_socket(re.compile(""), lambda _: None)
    page.goto(url)
    return page


def found(page: Page) -> list[str]:
    """What axe-core finds wrong, and what it cannot decide."""
    results = Axe().run(page, options=LOOK).response
    return [
        f"{kind} {rule['id']}: {node['html'][:160]}"
        for kind in ("violations", "incomplete")
        for rule in results[kind]
        for node in rule["nodes"]
    ]


@pytest.mark.parametrize("width", WIDTHS)
def test_axe_finds_nothing_and_is_sure_of_it(context: BrowserContext, service: LivePage, width: int) -> None:
    """0 violations and 0 incomplete on every page, in both themes, at every width."""
    service.act(lambda board: board.show("line-1", blocked()))
    page = still(context, service.url, width=width)
    wrong = {}
    for name, path in PAGES.items():
        page.goto(service.url.rstrip("/") + path)
        for scheme in SCHEMES:
            page.emulate_media(color_scheme=scheme)
            page.evaluate("Promise.all(document.getAnimations().map((fading) => fading.finished))")
            wrong[name, scheme] = found(page)
    assert {where: what for where, what in wrong.items() if what} == {}


@pytest.mark.parametrize("view", [live, stopped, unknown])
@pytest.mark.parametrize("scheme", SCHEMES)
def test_axe_finds_nothing_whatever_the_line_does(
    context: BrowserContext, service: LivePage, view: Callable[[], Live], scheme: Scheme
) -> None:
    """Pressing, stopped with its question, filling with unknown figures."""
    service.act(lambda board: board.show("line-1", view()))
    page = still(context, service.url, scheme=scheme)
    assert found(page) == []


def test_axe_finds_nothing_on_a_form_with_mistakes(context: BrowserContext, service: LivePage) -> None:
    """A form that came back is as readable as an empty one."""
    page = still(context, service.url + "line/line-1/book/load", width=360)
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_role("alert")).to_contain_text("This was not written down yet")
    assert found(page) == []


@pytest.mark.parametrize("width", [320, 768])
def test_no_page_scrolls_sideways(context: BrowserContext, service: LivePage, width: int) -> None:
    """Nor do words stand outside their card."""
    service.act(lambda board: board.show("line-1", blocked()))
    page = opened(context, service.url, width=width)
    for name, path in PAGES.items():
        page.goto(service.url.rstrip("/") + path)
        over = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
        assert (name, over) == (name, 0)


@pytest.mark.parametrize("name", PAGES)
def test_one_sees_where_one_is(context: BrowserContext, service: LivePage, name: str) -> None:
    """Tab reaches every control in the order of the page, and each shows a ring of at least 2 px."""
    service.act(lambda board: board.show("line-1", blocked()))
    page = opened(context, service.url.rstrip("/") + PAGES[name])
    controls = page.evaluate(FOCUSABLE)
    page.evaluate(FROM_THE_TOP)
    walked = []
    for _ in range(controls):
        page.keyboard.press("Tab")
        walked.append(page.evaluate(WHERE))
    assert all(place["ring"] >= 2 for place in walked), walked
    tops = [place["order"] for place in walked]
    assert tops == sorted(tops)


def test_state_is_told_without_colour(context: BrowserContext, service: LivePage) -> None:
    """Every alarm says in words how soon; every condition has its word; the shapes of the signs differ."""
    service.act(lambda board: board.show("line-1", blocked()))
    page = opened(context, service.url)
    assert page.locator("#needs h3").all_inner_texts() == [
        "Now: Mill blocked",
        "Soon: Juice low",
        "When you can: Vat nearly full: 3",
    ]
    shapes = page.evaluate("[...document.querySelectorAll('#needs .sign')].map((sign) => sign.innerHTML)")
    assert len(set(shapes)) == 3
    expect(page.locator("#band .word")).to_have_text("Blocked")


def test_one_live_region_a_page_and_none_that_chatters(context: BrowserContext, service: LivePage) -> None:
    """Figures do not speak; the state does, once."""
    for name in ("line", "alarms", "book", "signals"):
        page = opened(context, service.url.rstrip("/") + PAGES[name].split("?")[0])
        assert page.locator("[aria-live], [role=status], [role=alert]").count() == 1


def test_words_are_as_large_as_the_reader_wishes(context: BrowserContext, service: LivePage) -> None:
    """With letters twice as large nothing is cut off sideways on a tablet (WCAG 2.2, 1.4.4)."""
    service.act(lambda board: board.show("line-1", stopped()))
    page = opened(context, service.url, width=768)
    page.evaluate("document.documentElement.style.fontSize = '32px'")
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") == 0


def test_the_style_sheet_has_enough_contrast() -> None:
    """Colours that carry words have 4.5 to 1, lines 3 to 1, in both themes (WCAG 2.2, relative luminance)."""
    sheet = (files("tumpline.adapters.web") / "static" / "style.css").read_text()
    light, dark = (
        dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6})", part)) for part in sheet.split("@media (prefers-color")[:2]
    )
    for theme in (light, light | dark):
        for words in ("ink", "small", "flow", "need"):
            for behind in ("page", "card"):
                assert ratio(theme[words], theme[behind]) >= 4.5, (words, behind)
        assert ratio(theme["on-need"], theme["need"]) >= 4.5
        for line in ("edge", "focus"):
            assert min(ratio(theme[line], theme[behind]) for behind in ("page", "card")) >= 3.0, line
    assert ratio("#ffffff", "#0b5cad") >= 4.5 and ratio("#ffffff", "#1b1b1f") >= 4.5


def ratio(one: str, other: str) -> float:
    """Contrast of two colours."""
    dark, bright = sorted((luminance(one), luminance(other)))
    return (bright + 0.05) / (dark + 0.05)


def luminance(colour: str) -> float:
    """Relative luminance of `#rrggbb`."""
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    linear = [part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts]
    return sum(weight * part for weight, part in zip((0.2126, 0.7152, 0.0722), linear, strict=True))


def test_the_formula_is_the_published_one() -> None:
    """Black on white is 21 to 1, and #767676 on white 4.54 (WCAG 2.2, Understanding 1.4.3)."""
    assert ratio("#000000", "#ffffff") == pytest.approx(21.0)
    assert ratio("#767676", "#ffffff") == pytest.approx(4.54, abs=0.005)


FOCUSABLE = """() => {
  const seen = new Set();
  return [...document.querySelectorAll("a[href], button, input, textarea, pre[tabindex='0']")]
    .filter((e) => e.type !== "hidden" && e.getClientRects().length)
    .filter((e) => e.type !== "radio" || (!seen.has(e.name) && seen.add(e.name))).length;
}"""
FROM_THE_TOP = """() => {
  const title = document.querySelector("h1");
  title.tabIndex = -1;
  title.focus();
}"""
WHERE = """() => {
  const at = document.activeElement;
  const ringed = at.matches(".choice input") ? at.closest(".choice") : at;
  const style = getComputedStyle(ringed);
  return {
    what: at.outerHTML.slice(0, 80),
    ring: style.outlineStyle === "none" ? 0 : parseFloat(style.outlineWidth),
    order: [...document.querySelectorAll("*")].indexOf(at),
  };
}"""
