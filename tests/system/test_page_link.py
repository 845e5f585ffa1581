"""The page while what is behind it dies and comes back: the real program, a real broker, a real browser."""

import re
import shutil
from collections.abc import Iterator
from datetime import datetime
from pathlib import Path

import pytest
from playwright.sync_api import Browser, Locator, Page, expect

import tumpline
from page_in_browser import SECONDS
from page_works import PageWorks
from polling import wait_until

pytestmark = pytest.mark.system

SILENT = 10_000
"""ms within which the page says that nothing is known; `SILENT_MS` of its script."""
LIVE_AGAIN = 5_000
"""ms from the service's answering to live figures."""
HEARD_LAST = 30_000
"""ms for a broker to be found again, and for silence of the line to be told: both have pauses of their own."""
TWO_BINS = 8
"""L: sums go on in steps of five seconds, and either figure may be just before its step."""
WORST_LUCK = "Math.random = () => 0.999"
"""Every pause between two tries as long as it can be."""
STRUCK = """() => [...document.querySelectorAll(".figures .value, #trend .end p:last-child")]
  .every((value) => getComputedStyle(value).textDecorationLine === "line-through")"""


@pytest.fixture(scope="module", name="works")
def _works(tmp_path_factory: pytest.TempPathFactory) -> Iterator[PageWorks]:
    """A line that has been pressing load 13 for forty minutes."""
    with PageWorks(tmp_path_factory.mktemp("works")) as works:
        meters = works.meters["line-1"]
        meters.write("shift-start", ago=2400, shift="early")
        fruit = [{"name": "top late", "share": 1}]
        meters.write("load", ago=2400, load="13", grower="Long Acre", net_kg=9000, varieties=fruit)
        meters.write("load-on", ago=2400, load="13")
        meters.past((2400, {}))
        yield works


@pytest.fixture(name="page")
def _page(browser: Browser, works: PageWorks) -> Iterator[Page]:
    """The floor page, live, with a mark that a reload would wipe away."""
    context = browser.new_context(viewport={"width": 1280, "height": 900})
    context.set_default_timeout(SECONDS)
    context.add_init_script(WORST_LUCK)
    page = context.new_page()
    page.goto(works.url)
    expect(page.locator("#link")).to_contain_text("5 signals heard")
    page.evaluate("window.same = true")
    yield page
    context.close()


def test_a_killed_service_is_no_data_at_once_and_comes_back_by_itself(page: Page, works: PageWorks) -> None:
    """Nothing old is shown as live; 5 s after the service is there again all is as before, and what came meanwhile."""
    tries: list[str] = []
    page.on("websocket", lambda socket: tries.append(socket.url))
    book = page.context.new_page()
    book.goto(f"{works.url}/line/line-1/book")
    book.evaluate("window.same = true")
    before = figures(page)
    works.service.kill()
    expect_nothing_known(page)
    expect(band(book)).to_have_text("No data")
    works.meters["line-1"].write("note", text="written into the void")
    works.meters["line-1"].write("vat", vat="2", capacity_l=12_000, contents_l=1_000)
    wait_until(lambda: page.title() and len(tries) >= 4)  # by then the page waits as long as it ever does
    expect_nothing_known(page)
    works.start()
    expect(band(page)).to_have_text("Pressing", timeout=LIVE_AGAIN)
    expect(page.locator("#book")).to_contain_text("of 12 000 L")
    expect(page.locator("#link")).to_contain_text("5 signals heard")
    after = figures(page)
    assert {key: after[key] for key in STEADY} == {key: before[key] for key in STEADY}
    passed = (heard(after["link"]) - heard(before["link"])) % 86400
    assert litres(after["shift"]) - litres(before["shift"]) == pytest.approx(47 * passed / 60, abs=TWO_BINS)
    assert not page.evaluate(STRUCK)
    expect(book.locator("#entries")).to_contain_text("written into the void")
    assert [open_page.evaluate("window.same") for open_page in (page, book)] == [True, True]
    page.goto(f"{works.url}/line/line-1/signals")
    expect(page.locator("#meters li", has_text="nothing missing in this shift")).to_have_count(5)


def test_another_build_reloads_the_page_exactly_once(page: Page, works: PageWorks, tmp_path: Path) -> None:
    """After an upgrade the page fetches its new files; a restart of the same build leaves it alone."""
    loads: list[str] = []
    page.on("load", lambda loaded: loads.append(loaded.url))
    newer = tmp_path / "newer"
    shutil.copytree(Path(tumpline.__file__).parent, newer / "tumpline", ignore=shutil.ignore_patterns("__pycache__"))
    sheet = newer / "tumpline" / "adapters" / "web" / "static" / "style.css"
    sheet.write_text(sheet.read_text() + "h1 { letter-spacing: 0; }\n")
    works.service.kill()
    expect(band(page)).to_have_text("No data")
    works.start(newer)
    expect(band(page)).to_have_text("Pressing")
    wait_until(lambda: page.evaluate("window.same") is None)
    expect(band(page)).to_have_text("Pressing")
    page.evaluate("window.same = true")
    works.service.kill()
    expect(band(page)).to_have_text("No data")
    works.start(newer)
    expect(band(page)).to_have_text("Pressing")
    assert page.evaluate("window.same") is True
    assert len(loads) == 1


def test_a_killed_broker_is_no_data_until_it_is_back(page: Page, works: PageWorks) -> None:
    """The page's own link holds, and that nothing comes from the line is said; then it goes on, unreloaded."""
    works.broker.kill()
    expect(band(page)).to_have_text("No data", timeout=HEARD_LAST)
    expect(page.locator("#link")).to_contain_text("No data from the line")
    assert page.evaluate(STRUCK)
    works.broker.start()
    expect(band(page)).to_have_text("Pressing", timeout=HEARD_LAST)
    expect(page.locator("#link")).to_contain_text("5 signals heard")
    assert page.evaluate("window.same") is True


STEADY = ("yield", "fruit", "juice", "pressure")


def band(page: Page) -> Locator:
    """The word that the band shows."""
    return page.locator(".state .word").filter(visible=True)


def figures(page: Page) -> dict[str, str]:
    """The words of every card, and of the link, at one moment."""
    found: dict[str, str] = page.evaluate(
        """() => Object.fromEntries([
          ...[...document.querySelectorAll(".figures .card")].map((card) => [card.id.slice(7), card.innerText]),
          ["link", document.getElementById("link").innerText]])"""
    )
    return found


def litres(card: str) -> int:
    """Of juice, in the shift so far."""
    found = re.search(r"([\d\s]+)\sL of juice", card)
    assert found, card
    return int(re.sub(r"\s", "", found[1]))


def heard(link: str) -> float:
    """When the line was last heard, in seconds of the day."""
    found = re.search(r"\d\d:\d\d:\d\d", link)
    assert found, link
    time = datetime.strptime(found[0], "%H:%M:%S")  # noqa: DTZ007 a time of day, only ever compared
    return time.hour * 3600.0 + time.minute * 60.0 + time.second


def expect_nothing_known(page: Page) -> None:
    """The whole band says so, its clock is gone, every figure is struck through, and nothing claims to be live."""
    expect(band(page)).to_have_text("No data", timeout=SILENT)
    expect(page.locator("#gone .why")).to_contain_text("Link lost. Last heard")
    expect(page.locator("#link")).to_have_text("Link lost, trying again.")
    for live in page.locator(".when-live").all():
        expect(live).to_be_hidden()
    assert page.evaluate(STRUCK)
    assert page.title().startswith("No data")
