"""The shift book in a real browser: by touch, by keyboard, without script, on a phone, and with a log-in."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from fake_line import NOW, alarm, blocked, half_hour, live, stopped
from live_page import LivePage
from page_book import morning
from page_browser import PASSWORD, people_place
from page_in_browser import SECONDS, chromium
from tumpline.pressing.effects import TellAlarm
from tumpline.pressing.records import AlarmState

pytestmark = pytest.mark.system

BOOK = "line/line-1/book"
PHONE = {"width": 320, "height": 640}


@pytest.fixture(scope="module", name="browser")
def _browser() -> Iterator[Browser]:
    with chromium() as browser:
        yield browser


@pytest.fixture(name="service")
def _service() -> Iterator[LivePage]:
    with LivePage() as service:
        service.act(half_hour)
        service.act(morning)
        yield service


def context(browser: Browser, *, script: bool = True, phone: bool = False) -> BrowserContext:
    """A browser of its own."""
    made = browser.new_context(java_script_enabled=script, viewport=PHONE if phone else {"width": 1280, "height": 900})
    made.set_default_timeout(SECONDS)
    return made


def typed(page: Page, **fields: str) -> None:
    """Fill in fields by their labels."""
    for label, text in fields.items():
        page.get_by_label(label.replace("_", " "), exact=False).first.fill(text)


@pytest.mark.parametrize("script", [True, False], ids=["with script", "script off"])
def test_a_load_is_taken_in_switched_and_put_right_on_a_phone(
    browser: Browser, service: LivePage, script: bool
) -> None:
    """From the weighbridge to the flume, with a mistake on the way that costs no typing, and corrected afterwards."""
    made = context(browser, script=script, phone=True)
    page = made.new_page()
    page.goto(service.url + BOOK)
    page.get_by_role("link", name="Weigh in a load", exact=True).click()
    typed(page, Load="16", Grower="Long Acre", Gross="7420", Tare="9300", Variety_1="top late", Your_name="Ada")
    page.get_by_role("button", name="Write it down").click()
    expect(page.get_by_role("alert")).to_contain_text("The tare is not below the gross mass.")
    expect(page.get_by_label("Grower")).to_have_value("Long Acre")
    typed(page, Tare="3300")
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator(".told")).to_have_text("Written down.")
    lots = page.locator("#lots li", has_text="16, Long Acre")
    expect(lots).to_contain_text("4.1 t, top late 100")
    lots.get_by_role("link", name="Load goes on").click()
    expect(page.get_by_role("radio", name="16, Long Acre")).to_be_checked()
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator("#lots li", has_text="16, Long Acre")).to_contain_text("on the line since 10:24")
    page.locator("#entries li", has_text="Load 16; Grower").get_by_role("link", name="Put right").click()
    typed(page, Net="4200")
    page.get_by_role("button", name="Write it down").click()
    expect(page.locator("#entries")).to_contain_text("Put right by Ada, 10:24; before: Load 16; Grower Long Acre")
    assert [kind for _, kind, _ in service.desk.taken] == ["load", "load-on", "correct"]
    assert {body["by"] for _, _, body in service.desk.taken} == {"Ada"}
    made.close()


def test_a_form_is_filled_in_by_keyboard_alone(browser: Browser, service: LivePage) -> None:
    """Tab, arrow, type, Enter; the field with the mistake has the focus when the form comes back."""
    made = context(browser)
    page = made.new_page()
    page.goto(service.url + BOOK + "/vat")
    keys = page.keyboard
    keys.press("Tab")
    keys.press("ArrowDown")  # the second vat
    keys.press("Tab")  # another
    keys.press("Tab")
    keys.type("half")
    for _ in range(3):
        keys.press("Tab")
    while page.evaluate("document.activeElement.name") != "by":
        keys.press("Tab")
    keys.type("Ada")
    keys.press("Enter")
    expect(page.get_by_label("In it now")).to_be_focused()
    keys.press("Control+A")
    keys.type("7600")
    keys.press("Enter")
    expect(page.locator(".told")).to_have_text("Written down.")
    assert service.desk.taken == [("line-1", "vat", {"vat": "3", "contents_l": 7600.0, "by": "Ada"})]
    made.close()


def test_a_stop_is_answered_at_one_touch_and_taken_back(browser: Browser, service: LivePage) -> None:
    """The answer shows on every page at once, with a way back; nothing is written before it is settled."""
    service.act(lambda board: board.show("line-1", stopped()))
    made = context(browser)
    one, other = made.new_page(), made.new_page()
    one.goto(service.url)
    other.goto(service.url)
    one.get_by_role("button", name="break").click()
    typed(one, Your_name="Ada")
    one.get_by_role("button", name="Write it down").click()
    expect(other.locator("#ask")).to_contain_text("Stood since 10:18: break.")
    other.get_by_role("button", name="Undo").click()
    expect(one.locator("#ask")).to_contain_text("Why does it stand since 10:18?")
    assert service.desk.taken == []
    made.close()


def test_an_alarm_seen_on_one_page_is_seen_on_the_other(browser: Browser, service: LivePage) -> None:
    """The press hand's touch shows in the office, on the line's page and on the alarms' page."""
    service.act(lambda board: board.show("line-1", blocked()))
    hand, office = context(browser, phone=True), context(browser)
    here, there = hand.new_page(), office.new_page()
    here.goto(service.url + "line/line-1/alarms")
    there.goto(service.url)
    here.get_by_role("button", name="I have seen it: Mill blocked").click()
    typed(here, Your_name="Ada")
    here.get_by_role("button", name="Write it down").click()
    assert service.desk.taken == [("line-1", "acknowledge", {"alarm": "mill-blocked", "by": "Ada"})]
    seen = alarm(state=AlarmState.ACKNOWLEDGED, acknowledged=NOW, by="Ada")
    service.act(lambda board: board.tell(TellAlarm(seen), "line-1"))
    for page in (here, there):
        page.goto(service.url) if page is here else None
        expect(page.locator("#needs")).to_contain_text("seen 10:24 by Ada")
    hand.close()
    office.close()


def test_the_book_comes_back_by_itself_and_shows_nothing_stale_as_live(browser: Browser, service: LivePage) -> None:
    """While the service is away the page says so; afterwards what was written meanwhile is there, unreloaded."""
    made = context(browser)
    page = made.new_page()
    page.goto(service.url + BOOK)
    page.evaluate("window.same = true")
    expect(page.locator("#band")).to_be_visible()
    service.stop()
    expect(page.locator("#gone .word")).to_be_visible()
    service.start()
    service.act(lambda board: board.show("line-1", live()))
    expect(page.locator("#gone")).to_be_hidden()
    assert page.evaluate("window.same") is True
    made.close()


def test_ten_pages_are_live_at_once(browser: Browser, service: LivePage) -> None:
    """No browser's limit on connections keeps one of them waiting."""
    made = context(browser)
    pages = [made.new_page() for _ in range(10)]
    for page in pages:
        page.goto(service.url, wait_until="commit")
    service.act(lambda board: board.show("line-1", stopped()))
    for page in pages:
        expect(page.locator("#band .word")).to_have_text("Stopped")
    made.close()


def test_logging_in_leads_to_where_one_was_going(browser: Browser, tmp_path: Path) -> None:
    """Nothing shows before; afterwards the form is there and the name is known; logging out empties every open page."""
    with LivePage(place=people_place(tmp_path), sessions=tmp_path / "sessions") as service:
        service.act(half_hour)
        made = context(browser)
        page, wall = made.new_page(), made.new_page()
        page.goto(service.url + BOOK + "/note")
        expect(page.get_by_role("heading")).to_have_text("Log in")
        typed(page, Name="Wystan", Password="not this one")
        page.get_by_role("button", name="Log in").click()
        expect(page.get_by_role("alert")).to_have_text("That name and password do not belong together.")
        typed(page, Password=PASSWORD)
        page.get_by_role("button", name="Log in").click()
        wall.goto(service.url)
        expect(wall.locator("#band .word")).to_have_text("Pressing")
        expect(page.get_by_label("Your name")).to_have_count(0)
        typed(page, Text="all well")
        page.get_by_role("button", name="Write it down").click()
        expect(page.locator(".told")).to_have_text("Written down.")
        assert service.desk.taken == [("line-1", "note", {"text": "all well", "by": "Wystan"})]
        page.get_by_role("button", name="Log out Wystan").click()
        expect(wall.locator("h1")).to_have_text("Log in")
        made.close()
