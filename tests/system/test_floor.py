"""What lies above the fold of the page on the press floor."""

from collections.abc import Callable, Iterator, Sequence

import msgspec
import pytest
from playwright.sync_api import Browser, BrowserContext, expect

from fake_line import alarm, blocked, half_hour, live, stopped
from live_page import LivePage
from page_in_browser import SECONDS, window
from tumpline.pressing.records import Live
from tumpline.settings import Page as Place

pytestmark = pytest.mark.system

WALL, LAPTOP = (1920, 1080), (1280, 800)
GLANCES = (".state", "#needs h2", ".figures .card", "#trend", ".tools", ".tools a, .tools button")
"""The one second's and the ten seconds' glance, and the tools."""
LOWEST = """which => Math.max(...which.flatMap(
    selector => [...document.querySelectorAll(selector)].map(
        part => part.getBoundingClientRect().top + part.scrollHeight
    )
))"""


def stopped_with_alarms() -> Live:
    """A line that stands for no known reason while three alarms wait."""
    more = (alarm(name="flume-low"), alarm(name="juice-low", because_of="flume-low"), alarm(name="signal-lost"))
    return msgspec.structs.replace(stopped(), alarms=more)


@pytest.fixture(scope="module", name="context")
def _context(browser: Browser) -> Iterator[BrowserContext]:
    with window(browser) as context:
        yield context


def lowest(context: BrowserContext, view: Live, size: tuple[int, int], language: str, parts: Sequence[str]) -> float:
    """How far down those parts of the page reach, px."""
    with LivePage(place=Place(language=language)) as service:  # type: ignore[arg-type]  # the languages there are
        service.act(half_hour)
        service.act(lambda board: board.show("line-1", view))
        screen = context.new_page()
        screen.set_viewport_size({"width": size[0], "height": size[1]})
        screen.goto(service.url)
        expect(screen.locator("#hold")).to_be_visible(timeout=SECONDS)
        found = float(screen.evaluate(LOWEST, parts))
        screen.close()
    return found


@pytest.mark.parametrize("view", [live, stopped, blocked, stopped_with_alarms])
@pytest.mark.parametrize("size", [WALL, LAPTOP], ids=["wall", "laptop"])
@pytest.mark.parametrize("language", ["en", "de"])
def test_what_is_seen_at_a_glance_needs_no_scrolling(
    context: BrowserContext, view: Callable[[], Live], size: tuple[int, int], language: str
) -> None:
    """Band, question, figures, trend and tools stand on the first screen, whatever the line does."""
    assert lowest(context, view(), size, language, GLANCES) <= size[1]


@pytest.mark.parametrize("view", [live, stopped])
@pytest.mark.parametrize("language", ["en", "de"])
def test_the_standing_notice_needs_no_scrolling_on_the_wall(
    context: BrowserContext, view: Callable[[], Live], language: str
) -> None:
    """While no alarm brings a caution of its own, the whole notice is on the first screen."""
    assert lowest(context, view(), WALL, language, (*GLANCES, "#book", "footer .caution")) <= WALL[1]
