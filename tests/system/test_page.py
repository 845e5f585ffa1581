"""The page in a real browser."""

import re
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, BrowserContext, Page, ViewportSize, expect

from fake_line import NOW, alarm, blocked, half_hour, live, signals, stopped, unknown
from live_page import LivePage
from page_in_browser import SECONDS, forget, window
from tumpline.pressing.effects import TellAlarm
from tumpline.pressing.records import AlarmState

pytestmark = pytest.mark.system

SIZES = ((1920, 1080), (960, 700), (768, 1024), (360, 800), (320, 640))
WIDE, WINDOW, TABLET, PHONE, NARROW = ({"width": w, "height": h} for w, h in SIZES)


@pytest.fixture(name="service")
def _service() -> Iterator[LivePage]:
    with LivePage() as service:
        service.act(half_hour)
        yield service


@pytest.fixture(scope="module", name="window")
def _window(browser: Browser) -> Iterator[BrowserContext]:
    with window(browser, viewport=WIDE) as context:
        yield context


@pytest.fixture(name="context")
def _context(window: BrowserContext) -> Iterator[BrowserContext]:
    """Nobody is known, and no page is open yet."""
    yield window
    forget(window)


@pytest.fixture(name="screen")
def _screen(context: BrowserContext, service: LivePage) -> Page:
    """The page, open and live."""
    screen = context.new_page()
    screen.goto(service.url)
    expect(screen.locator("#hold")).to_be_visible()
    return screen


def see(screen: Page, where: str, words: str | re.Pattern[str]) -> None:
    """Wait until those words are visible there."""
    expect(screen.locator(where).filter(visible=True)).to_contain_text(words, timeout=SECONDS)


def test_a_figure_follows_the_line(screen: Page, service: LivePage) -> None:
    """A new reading shows without a reload."""
    see(screen, "#figure-fruit .value", "4.1")
    service.act(lambda board: board.show("line-1", live(at=NOW + 1.0, signals=signals(mill_throughput=3.2 / 3.6))))
    see(screen, "#figure-fruit .value", "3.2")


def test_an_alarm_is_acknowledged(screen: Page, service: LivePage) -> None:
    """The button asks once for a name; the entry reaches the desk, and the list says who has seen it."""
    service.act(lambda board: board.show("line-1", blocked()))
    screen.get_by_role("button", name="I have seen it: Mill blocked").click()
    screen.get_by_label("Your name").fill("Ada")
    screen.get_by_role("button", name="Write it down").click()
    see(screen, "footer", "Name: Ada")
    assert service.desk.taken == [("line-1", "acknowledge", {"alarm": "mill-blocked", "by": "Ada"})]
    seen = alarm(state=AlarmState.ACKNOWLEDGED, acknowledged=NOW, by="Ada")
    service.act(lambda board: board.tell(TellAlarm(seen), "line-1"))
    see(screen, "#needs", "seen 10:24 by Ada")


def test_a_lost_link_is_no_data_and_heals_by_itself(screen: Page, service: LivePage) -> None:
    """While the service is away the whole band says so and the figures are struck out; then all is back, unreloaded."""
    screen.evaluate("window.same = true")
    service.stop()
    see(screen, ".state .word", "No data")
    see(screen, ".state .why", "Last heard 10:24:07")
    struck = "getComputedStyle(document.querySelector('#figure-yield .value')).textDecorationLine"
    assert screen.evaluate(struck) == "line-through"
    expect(screen.locator("#band")).to_be_hidden()
    service.start()
    service.act(lambda board: board.show("line-1", stopped()))
    see(screen, ".state .word", "Stopped")
    assert screen.evaluate(struck) == "none"
    assert screen.evaluate("window.same") is True


def test_a_form_is_not_sent_into_the_void(screen: Page, service: LivePage) -> None:
    """While the link is lost a button says so instead of leaving the page."""
    service.act(lambda board: board.show("line-1", blocked()))
    button = screen.get_by_role("button", name="I have seen it: Mill blocked")
    expect(button).to_be_visible()
    service.stop()
    see(screen, ".state .word", "No data")
    button.click()
    see(screen, "#link", "this was not sent")


def test_a_silent_line_is_no_data(screen: Page, service: LivePage) -> None:
    """The link is there, but no reading comes: that is not shown as running."""
    service.now = NOW + 184.0
    see(screen, ".state .word", "No data")
    see(screen, ".state .how-long", "3 min")
    see(screen, "#needs", "What needs somebody now is not known.")
    service.now = NOW + 190.0
    service.act(lambda board: board.show("line-1", live(at=NOW + 190.0, signals=signals(at=NOW + 190.0))))
    see(screen, ".state .word", "Pressing")


def test_a_service_that_hangs_is_no_data(context: BrowserContext, service: LivePage) -> None:
    """A connection that stays open without a word is a lost link, until there are words again."""
    screen = context.new_page()
    screen.clock.install()
    screen.goto(service.url)
    service.act(lambda board: board.show("line-1", live(signals=signals(mill_throughput=1.0))))
    see(screen, "#figure-fruit .value", "3.6")
    with service.frozen():
        screen.clock.run_for(11_000)
        see(screen, ".state .word", "No data")
        see(screen, ".state .why", "Link lost. Last heard 10:24:07")
    see(screen, ".state .word", "Pressing")


def test_new_files_reload_an_open_page_once(screen: Page, service: LivePage) -> None:
    """After an upgrade an open page fetches the new files, and does not go round in circles where it cannot."""
    loads = []
    screen.on("load", lambda _: loads.append(1))
    screen.evaluate("document.querySelector('main').dataset.build = 'old'")
    service.stop()
    see(screen, ".state .word", "No data")
    service.start()
    see(screen, ".state .word", "Pressing")
    screen.wait_for_function("document.querySelector('main').dataset.build !== 'old'")
    assert len(loads) == 1


def test_the_page_is_complete_without_script(browser: Browser, service: LivePage) -> None:
    """With script off the figures, the drawing and the button are there, and the button works."""
    service.act(lambda board: board.show("line-1", blocked()))
    context = browser.new_context(viewport=WIDE, java_script_enabled=False)
    context.set_default_timeout(SECONDS)
    screen = context.new_page()
    screen.goto(service.url)
    see(screen, ".state .word", "Blocked")
    see(screen, "#figure-shift .value", "14.2")
    expect(screen.locator("#trend path.line").first).to_be_visible()
    screen.get_by_role("button", name="I have seen it: Mill blocked").click()
    screen.get_by_label("Your name").fill("Ada")
    screen.get_by_role("button", name="Write it down").click()
    see(screen, "footer", "Name: Ada")
    assert len(service.desk.taken) == 1
    context.close()


@pytest.mark.parametrize("view", [live, stopped, blocked, unknown])
@pytest.mark.parametrize("size", [NARROW, PHONE, TABLET, WINDOW, WIDE], ids=lambda size: str(size["width"]))
def test_nothing_is_cut_off_or_overlaps(
    context: BrowserContext, service: LivePage, view: Callable[[], object], size: ViewportSize
) -> None:
    """No sideways scroll, no words outside their card, no small print, no button too small for gloves."""
    service.act(lambda board: board.show("line-1", view()))
    screen = context.new_page()
    screen.set_viewport_size(size)
    screen.goto(service.url)
    expect(screen.locator("#hold")).to_be_visible()
    assert screen.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") == 0
    assert (
        screen.evaluate(
            """[...document.querySelectorAll(".card, #needs, .banner, .card .reading, button, .button")]
           .filter(e => e.getClientRects().length && e.scrollWidth > e.clientWidth + 1).map(e => e.outerHTML)"""
        )
        == []
    )
    assert (
        screen.evaluate(
            """[...document.querySelectorAll("body *")].filter(e => e.innerText && e.getClientRects().length
           && !e.classList.contains("aloud") && parseFloat(getComputedStyle(e).fontSize) < 16).map(e => e.outerHTML)"""
        )
        == []
    )
    assert (
        screen.evaluate(
            """[...document.querySelectorAll("button, .button")].filter(e => e.getClientRects().length
           && e.getBoundingClientRect().height < 51).map(e => e.outerHTML)"""
        )
        == []
    )


def test_the_strict_policy_breaks_nothing_and_the_page_is_light(context: BrowserContext, service: LivePage) -> None:
    """No error in the console, nothing from elsewhere, and under 40 kB over the wire."""
    service.act(lambda board: board.show("line-1", blocked()))
    screen = context.new_page()
    trouble: list[str] = []
    requested: list[str] = []
    screen.on("console", lambda message: trouble.append(message.text))
    screen.on("pageerror", lambda error: trouble.append(str(error)))
    screen.on("request", lambda request: requested.append(request.url))
    network = context.new_cdp_session(screen)
    network.send("Network.enable")
    sizes: list[float] = []
    network.on("Network.loadingFinished", lambda event: sizes.append(event["encodedDataLength"]))
    network.on("Network.webSocketFrameReceived", lambda event: sizes.append(len(event["response"]["payloadData"])))
    screen.goto(service.url, wait_until="networkidle")
    service.act(lambda board: board.show("line-1", stopped()))
    see(screen, ".state .word", "Stopped")
    assert trouble == []
    assert all(url.startswith(service.url) for url in requested)
    assert 5_000 < sum(sizes) < 40_000


def test_focus_stays_when_the_list_is_rebuilt(screen: Page, service: LivePage) -> None:
    """Whoever is on a button stays on it when another alarm comes, and moves to the next when it goes."""
    service.act(lambda board: board.show("line-1", live(alarms=(alarm(), alarm(name="juice-low")))))
    button = screen.get_by_role("button", name="I have seen it: Juice low")
    button.focus()
    service.act(lambda board: board.tell(TellAlarm(alarm(name="flume-low")), "line-1"))
    see(screen, "#needs", "Flume low")
    expect(button).to_be_focused()
    service.act(lambda board: board.tell(TellAlarm(alarm(name="juice-low", state=AlarmState.NORMAL)), "line-1"))
    expect(screen.get_by_role("button", name="I have seen it: Flume low")).to_be_focused()


def test_only_news_is_spoken(screen: Page, service: LivePage) -> None:
    """State and new alarms are said aloud once; figures are not, and a new link does not repeat old alarms."""
    said = screen.locator("#say")
    expect(said).to_have_text("")
    service.act(lambda board: board.show("line-1", live(signals=signals(mill_throughput=1.0))))
    see(screen, "#figure-fruit .value", "3.6")
    expect(said).to_have_text("")
    service.act(lambda board: board.show("line-1", blocked()))
    expect(said).to_have_text("Blocked. Now: Mill blocked. Soon: Juice low")
    service.stop()
    expect(said).to_have_text("No data")
    service.start()
    expect(said).to_have_text("Blocked")
    assert screen.locator("[aria-live], [role=status], [role=alert]").count() == 1


def test_figures_can_be_held_and_read_out(screen: Page, service: LivePage) -> None:
    """Held figures stand still while the band goes on; let go, they catch up; and they can be heard."""
    screen.get_by_role("button", name="Hold").click()
    service.act(lambda board: board.show("line-1", stopped()))
    see(screen, ".state .word", "Stopped")
    see(screen, "#figure-fruit .value", "4.1")
    screen.get_by_role("button", name="Held at 10:24:07: go on").click()
    see(screen, "#figure-fruit .value", "0.0")
    screen.get_by_role("button", name="Read out").click()
    expect(screen.locator("#say")).to_contain_text("Fruit in 0.0 t/h")


def test_keyboard_alone_reaches_every_button(screen: Page, service: LivePage) -> None:
    """Tab walks in reading order, and one sees where one is."""
    service.act(lambda board: board.show("line-1", blocked()))
    see(screen, "#needs", "Mill blocked")
    walked = []
    for _ in range(13):
        screen.keyboard.press("Tab")
        walked.append(screen.evaluate("document.activeElement.innerText.trim()"))
        assert screen.evaluate("parseFloat(getComputedStyle(document.activeElement).outlineWidth)") >= 2
    assert [words.split("\n")[0].split(":")[0] for words in walked] == [
        "I have seen it",
        "I have seen it",
        "Juice per tonne",
        "last 30 minutes",
        "last 2 hours",
        "this shift",
        "Alarms",
        "Shift book",
        "Signals",
        "Reports",
        "Read out",
        "Hold",
        "Your name",
    ]


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("view", [live, stopped, blocked, unknown])
def test_words_stand_out_from_what_is_behind_them(
    context: BrowserContext, service: LivePage, view: Callable[[], object], scheme: str
) -> None:
    """At least 4.5 to 1, by the formula of WCAG 2.2 (relative luminance), in both themes."""
    service.act(lambda board: board.show("line-1", view()))
    screen = context.new_page()
    screen.emulate_media(color_scheme=scheme)  # type: ignore[arg-type]  # the two schemes there are
    screen.goto(service.url)
    expect(screen.locator("#hold")).to_be_visible()
    assert screen.evaluate(LOW_CONTRAST) == []


LOW_CONTRAST = """() => {
  const rgb = (text) => text.match(/[\\d.]+/g).map(Number);
  const light = (c) => rgb(c).slice(0, 3).map((v) => v / 255)
    .map((v) => (v <= 0.04045 ? v / 12.92 : ((v + 0.055) / 1.055) ** 2.4))
    .reduce((sum, v, i) => sum + v * [0.2126, 0.7152, 0.0722][i], 0);
  const behind = (e) => {
    for (let at = e; at; at = at.parentElement) {
      const c = getComputedStyle(at).backgroundColor;
      if (rgb(c)[3] !== 0) return c;
    }
  };
  const ratio = (a, b) => (Math.max(a, b) + 0.05) / (Math.min(a, b) + 0.05);
  return [...document.querySelectorAll("body *")]
    .filter((e) => e.getClientRects().length && [...e.childNodes].some((n) => n.nodeType === 3 && n.data.trim()))
    .map((e) => [e.textContent.trim(), ratio(light(getComputedStyle(e).color), light(behind(e)))])
    .filter(([, found]) => found < 4.5);
}"""
