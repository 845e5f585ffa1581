"""Every form of every page, answered: by keyboard alone, and by touch on a phone without script."""

import html
import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page

from page_forms import ANSWERED, Answered, busy, forms_in, kinds_of_forms
from page_hands import Keyboard, by_touch
from page_in_browser import forget, window
from page_works import PageWorks
from polling import wait_until

pytestmark = pytest.mark.system

KEYS, TOUCH = "line-1", "line-2"
"""The line whose forms are answered by keyboard, and the one of touch: their books do not meet."""


@pytest.fixture(scope="module", name="works")
def _works(tmp_path_factory: pytest.TempPathFactory) -> Iterator[PageWorks]:
    with PageWorks(tmp_path_factory.mktemp("works"), lines=(KEYS, TOUCH)) as works:
        for meters in works.meters.values():
            busy(meters)
        yield works


@pytest.fixture(scope="module", name="keys")
def _keys(browser: Browser) -> Iterator[BrowserContext]:
    """A browser with a keyboard."""
    with window(browser, viewport={"width": 1280, "height": 900}) as keys:
        yield keys


@pytest.fixture(scope="module", name="touch")
def _touch(browser: Browser) -> Iterator[BrowserContext]:
    """A small phone without script."""
    with window(browser, viewport={"width": 320, "height": 640}, java_script_enabled=False) as touch:
        yield touch


@pytest.fixture(autouse=True)
def _tidy(keys: BrowserContext, touch: BrowserContext) -> Iterator[None]:
    """Eighty open pages would keep the service busy."""
    yield
    for context in (keys, touch):
        forget(context)


def opened(context: BrowserContext, works: PageWorks, line: str) -> Page:
    """The line's page, known as Ada."""
    context.add_cookies([{"name": "tumpline_who", "value": "Ada", "url": works.url}])
    page = context.new_page()
    page.goto(f"{works.url}/line/{line}")
    return page


def test_every_form_has_an_answer_here(keys: BrowserContext, works: PageWorks) -> None:
    """Links lead to no form that the tests below leave out; whoever adds one says how a keyboard answers it."""
    page = opened(keys, works, KEYS)
    found = set(kinds_of_forms(lambda path: keys.request.get(works.url + path).text(), f"/line/{KEYS}"))
    stop = page.locator('#ask input[name="stop"]').get_attribute("value") or ""
    answered = keys.request.post(
        f"{works.url}/line/{KEYS}/reason", form={"stop": stop, "reason": "break"}, headers={"Origin": works.url}
    )
    found |= set(forms_in(answered.text(), f"/line/{KEYS}"))
    keys.request.post(f"{works.url}/line/{KEYS}/reason-undo", headers={"Origin": works.url})
    assert found == ANSWERED.keys()


@pytest.mark.parametrize("name", ANSWERED)
def test_a_keyboard_alone_answers_the_form(keys: BrowserContext, works: PageWorks, name: str) -> None:
    """One always sees where one is, nothing swallows Tab, and afterwards one is not thrown back to the top."""
    page = opened(keys, works, KEYS)
    hands = Keyboard(page)
    answer(hands.answer, name)
    wait_until(lambda: not hands.lost)
    where = f"{works.url}/line/{KEYS}{ANSWERED[name].page}"
    if re.split("[?#]", page.url)[0] != where:
        page.goto(where)
    wait_until(lambda: re.search(ANSWERED[name].seen, " ".join(page.locator("main").inner_text().split())))
    undo = page.locator(ANSWERED["floor: reason-undo"].button)
    if undo.count():
        undo.click()


@pytest.mark.parametrize("name", ANSWERED)
def test_touch_alone_answers_the_form_without_script(touch: BrowserContext, works: PageWorks, name: str) -> None:
    """On a phone 320 px wide, of which no page on the way is wider."""
    page = opened(touch, works, TOUCH)
    answer(lambda form: by_touch(page, form), name)
    where = f"{works.url}/line/{TOUCH}"
    wait_until(lambda: re.search(ANSWERED[name].seen, plain(touch.request.get(where + ANSWERED[name].page).text())))
    touch.request.post(f"{where}/reason-undo", headers={"Origin": works.url})


def answer(by: Callable[[Answered], None], name: str) -> None:
    """Answer it; what is only there after another form was answered comes after that one."""
    if name == "floor: reason-undo":
        by(ANSWERED["floor: reason"])
    by(ANSWERED[name])


def plain(markup: str) -> str:
    """Its words, on one line."""
    return " ".join(html.unescape(re.sub(r"<[^>]*>", " ", markup)).split())
