"""The shift book in a real browser: a mistake on a phone, with script and without, and a log-in."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, expect

from fake_line import half_hour
from live_page import LivePage
from page_book import morning
from page_browser import PASSWORD, people_place
from page_in_browser import SECONDS

pytestmark = pytest.mark.system

BOOK = "line/line-1/book"
PHONE = {"width": 320, "height": 640}


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
