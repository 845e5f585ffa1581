"""Documents in a real browser: on paper and on a phone."""

import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Browser, sync_playwright

from crowded import crowded
from programs import program
from records import SUMMARY
from seasons import season
from tumpline.pressing.records import Summary
from tumpline.reports.season_report import season_report
from tumpline.reports.sheet import Site
from tumpline.reports.shift_report import shift_report
from tumpline.wire.documents import summary_document

pytestmark = pytest.mark.system

SITE = Site(name="Hollow Lane Cider Works", timezone="Europe/London")


@pytest.fixture(scope="module", name="browser")
def _browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(
            executable_path=program("chromium"), args=["--no-sandbox", "--disable-gpu"]
        )
        yield browser
        browser.close()


@pytest.mark.parametrize("summary", [SUMMARY, crowded()], ids=["quiet", "crowded"])
def test_the_browser_prints_a_shift_on_two_pages(browser: Browser, summary: Summary) -> None:
    """Whoever has no PDF library prints the same two sheets from the browser."""
    page = browser.new_page()
    page.set_content(shift_report(summary_document(summary), [], SITE))
    assert len(re.findall(rb"/Type /Page\b", page.pdf(prefer_css_page_size=True))) == 2
    page.close()


@pytest.mark.parametrize("html", [shift_report(summary_document(crowded()), [], SITE), season_report(season(), SITE)])
def test_a_document_is_read_on_a_phone_without_moving_it_sideways(browser: Browser, html: str) -> None:
    """Only a wide table scrolls, by itself."""
    page = browser.new_page(viewport={"width": 360, "height": 800})
    page.set_content(html)
    assert page.evaluate("document.documentElement.scrollWidth") <= 360
    page.close()
