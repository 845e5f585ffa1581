"""A day at the page: several people at several pages of the real program, who see the same."""

import re
import time
from collections.abc import Callable, Iterator
from typing import Any

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from page_forms import ANSWERED, FIELD, Ago, busy, kinds_of_pages
from page_hands import WIDER, Keyboard, by_touch
from page_in_browser import SECONDS
from page_works import PageWorks
from polling import wait_until

pytestmark = pytest.mark.system

LINE = "/line/line-1"
PHONE, DESK = {"width": 320, "height": 640}, {"width": 1280, "height": 900}
HELD = 20_000
"""ms in which an answer is surely written down: 10 s it can be taken back."""


@pytest.fixture(scope="module", name="works")
def _works(tmp_path_factory: pytest.TempPathFactory) -> Iterator[PageWorks]:
    with PageWorks(tmp_path_factory.mktemp("works")) as works:
        busy(works.meters["line-1"])
        yield works


@pytest.fixture(name="somebody")
def _somebody(browser: Browser, works: PageWorks) -> Iterator[Callable[..., BrowserContext]]:
    """Makes browsers of people, named or not."""
    made: list[BrowserContext] = []

    def somebody(name: str = "", **options: Any) -> BrowserContext:
        context = browser.new_context(**{"viewport": DESK, **options})
        context.set_default_timeout(SECONDS)
        if name:
            context.add_cookies([{"name": "tumpline_who", "value": name, "url": works.url}])
        made.append(context)
        return context

    yield somebody
    for context in made:
        context.close()


def opened(context: BrowserContext, works: PageWorks, page: str = "") -> Page:
    """A page of the line."""
    made = context.new_page()
    made.goto(f"{works.url}{LINE}{page}")
    return made


def test_ten_tabs_are_live_and_equal(somebody: Callable[..., BrowserContext], works: PageWorks) -> None:
    """All follow the line, and say the same in every word."""
    context = somebody()
    tabs = [opened(context, works) for _ in range(10)]
    works.meters["line-1"].reads["mill/throughput"] = 3.4
    for tab in tabs:
        expect(tab.locator("#figure-fruit .value")).to_have_text("3.4")
    wait_until(lambda: len({tab.locator("main").inner_text() for tab in tabs}) == 1)
    works.meters["line-1"].reads["mill/throughput"] = 4.0
    for tab in tabs:
        expect(tab.locator("#figure-fruit .value")).to_have_text("4.0")


def test_an_alarm_seen_on_one_page_is_seen_on_the_others(
    somebody: Callable[..., BrowserContext], works: PageWorks
) -> None:
    """The touch on a phone shows on the wall and in the office at once; whoever has no name yet is asked for it."""
    phone, wall, office = somebody(viewport=PHONE), somebody(), somebody()
    hand, floor, alarms = opened(phone, works, "/alarms"), opened(wall, works), opened(office, works, "/alarms")
    hand.get_by_role("button", name="I have seen it: Vat nearly full").click()
    hand.get_by_label("Your name").fill("Ada")
    hand.get_by_role("button", name="Write it down").click()
    seen = re.compile(r"seen \d\d:\d\d by Ada")
    for page in (hand, floor, alarms):
        expect(page.locator("#needs li", has_text="Vat nearly full")).to_contain_text(seen)
        expect(page.get_by_role("button", name="I have seen it: Vat nearly full")).to_have_count(0)


def test_a_load_is_taken_in_switched_and_corrected(somebody: Callable[..., BrowserContext], works: PageWorks) -> None:
    """Whoever looks at the line sees it in the yard, on the line, and then with its right mass, without a reload."""
    hand = opened(somebody("Ada", viewport=PHONE), works)
    floor, book = opened(somebody(), works), opened(somebody(), works, "/book")
    by_touch(hand, ANSWERED["book/load"])
    expect(book.locator("#lots li", has_text="77, Long Acre")).to_contain_text("waiting since")
    hand.locator("#lots li", has_text="77, Long Acre").get_by_role("link", name="Load goes on").click()
    hand.get_by_label("When").fill(time.strftime(FIELD, Ago(100).clock()))  # its fruit has reached the mill by now
    hand.get_by_role("button", name="Write it down").click()
    expect(book.locator("#lots li", has_text="77, Long Acre")).to_contain_text("on the line since")
    expect(floor.locator("#book")).to_contain_text("77, Long Acre")
    expect(floor.locator("#book")).to_contain_text("of 4.1 t milled")
    hand.locator("#entries li", has_text="Load 77; Grower").get_by_role("link", name="Put right").click()
    hand.get_by_label("Net").fill("5320")
    hand.get_by_role("button", name="Write it down").click()
    expect(book.locator("#lots li", has_text="77, Long Acre")).to_contain_text("5.3 t")
    expect(floor.locator("#book")).to_contain_text("of 5.3 t milled")


def test_a_stop_is_answered_and_undone(somebody: Callable[..., BrowserContext], works: PageWorks) -> None:
    """What is taken back within ten seconds is never written; what is not taken back is, once."""
    hand, floor, book = opened(somebody("Ada"), works), opened(somebody(), works), opened(somebody(), works, "/book")
    before = len(works.logged("page.entered"))
    hand.get_by_role("button", name="no fruit", exact=True).click()
    expect(floor.locator("#ask")).to_contain_text("no fruit.")
    floor.get_by_role("button", name="Undo").click()
    expect(hand.locator("#ask")).to_contain_text("Why did it stand")
    hand.get_by_role("button", name="break", exact=True).click()
    expect(floor.locator("#ask")).to_contain_text("break.")
    stop = book.locator("#stops li").first
    expect(stop).to_contain_text("no reason given yet")
    expect(stop).to_contain_text("reason given by Ada", timeout=HELD)
    expect(hand.locator("#ask")).to_be_empty()
    expect(hand.get_by_role("heading", name="Needs you")).to_be_focused()  # the question it was at is gone
    expect(book.locator("#entries li", has_text="by Ada").filter(has_text="Reason no fruit")).to_have_count(0)
    assert len(works.logged("page.entered")) == before  # the answer was settled by the page, not by a form


@pytest.mark.parametrize("size", [PHONE, DESK], ids=["phone", "desk"])
def test_every_page_keeps_to_itself(
    somebody: Callable[..., BrowserContext], works: PageWorks, size: dict[str, int]
) -> None:
    """In both themes no word in the console under the strict policy, nothing from elsewhere, nothing too wide."""
    context = somebody("Ada", viewport=size)
    page = context.new_page()
    trouble: list[str] = []
    context.on("console", lambda message: trouble.append(message.text))
    page.on("pageerror", lambda error: trouble.append(str(error)))
    page.on("request", lambda asked: None if asked.url.startswith(works.url) else trouble.append(asked.url))
    for path in kinds_of_pages(lambda path: context.request.get(works.url + path).text(), LINE):
        page.emulate_media(color_scheme="light")
        answer = page.goto(works.url + path)
        assert answer is not None and answer.headers["content-security-policy"].startswith("default-src 'self';")
        assert (path, page.evaluate(WIDER)) == (path, [])
        page.emulate_media(color_scheme="dark")
        assert (path, page.evaluate(WIDER)) == (path, [])
    assert trouble == []


def test_a_keyboard_is_not_lost_at_a_mistake(somebody: Callable[..., BrowserContext], works: PageWorks) -> None:
    """It is on what is wrong: a field, a choice not made, or the sentence about the whole; and on a new row."""
    page = opened(somebody("Ada"), works, "/book/load")
    keys = Keyboard(page)
    keys.to("button.main")
    keys.enter()
    expect(page.get_by_label("Load", exact=True)).to_be_focused()
    keys.to('button[name="more"]')
    keys.enter()
    expect(page.get_by_label("Variety 5", exact=True)).to_be_focused()
    page.goto(f"{works.url}{LINE}/book/weigh-ticket")
    keys.to("button.main")
    keys.enter()
    expect(page.locator("#f-trailer")).to_be_focused()
    page.goto(f"{works.url}{LINE}/book")
    keys.to('a[href*="/correct/note-"]')
    keys.enter()
    keys.to("button.main")
    keys.enter()
    expect(page.get_by_role("alert")).to_be_focused()


def test_a_keyboard_stays_where_it_is_while_the_list_changes(
    somebody: Callable[..., BrowserContext], works: PageWorks
) -> None:
    """Whoever has reached a link is still on it when somebody else writes, and when its section is drawn anew."""
    page = opened(somebody(), works, "/book")
    keys = Keyboard(page)
    for place in ('#lots a[href$="load-on?load=23"]', '#entries a[href*="/correct/dip-"]'):
        keys.to(place)
        number = str(100 + len(works.neighbour.heard))
        fruit = [{"name": "top late", "share": 1}]
        works.meters["line-1"].write("load", load=number, grower="Long Acre", net_kg=900, varieties=fruit)
        expect(page.locator("#lots")).to_contain_text(f"{number}, Long Acre")
        expect(page.locator("#entries")).to_contain_text(f"Load {number}; Grower")
        expect(page.locator(place).first).to_be_focused()


def test_a_keyboard_is_not_lost_where_a_name_is_asked_for(
    somebody: Callable[..., BrowserContext], works: PageWorks
) -> None:
    """Whoever has not said who they are is asked in between, and comes back to the list."""
    page = opened(somebody(), works)
    keys = Keyboard(page)
    keys.to('form:has(input[value="fruit-starved"]) button')
    keys.enter()
    expect(page.get_by_label("Your name")).to_be_focused()
    keys.put("Ada")
    keys.to("button.main")
    keys.enter()
    expect(page.get_by_role("heading", name="Needs you")).to_be_focused()


def test_a_keyboard_opens_a_report(somebody: Callable[..., BrowserContext], works: PageWorks) -> None:
    """The shift's document is as many keys away as any other link."""
    works.meters["line-1"].write("shift-end")
    wait_until(lambda: works.neighbour.documents("summary"))
    page = opened(somebody(), works)
    keys = Keyboard(page)
    keys.to('a[href$="/reports"]')
    keys.enter()
    keys.to('a[href*="/document/shift/"][href$="/html"]')
    keys.enter()
    expect(page.locator("body")).to_contain_text("Doubt about the yield")
