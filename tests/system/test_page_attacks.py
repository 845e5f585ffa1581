"""The table of attacks: each is tried on the real program, refused, and found in its log."""

import time
from collections.abc import Callable, Iterator, Mapping
from pathlib import Path
from typing import Any, NamedTuple

import pytest
from playwright.sync_api import Browser, expect

from page_browser import people_place
from page_forms import ANSWERED, LOGGED_IN, busy, kinds_of_forms, kinds_of_pages
from page_hands import Keyboard
from page_in_browser import SECONDS
from page_stranger import Reply, Stranger
from page_works import PageWorks
from polling import wait_until
from tumpline.adapters.web.people import People
from tumpline.adapters.web.sessions import LASTS, Sessions

pytestmark = pytest.mark.system

LINE = "/line/line-1"
SEE = {"alarm": "vat-nearly-full"}
ELSEWHERE = "http://elsewhere.example"


class Hall(NamedTuple):
    """The program under attack, and everybody who comes to its page."""

    works: PageWorks
    forms: Mapping[str, str]
    """Where every kind of form goes."""
    ada: Stranger
    """May manage."""
    wystan: Stranger
    """May operate."""
    wall: Stranger
    """May look."""
    late: Stranger
    """Ada's token of yesterday."""

    def nobody(self, token: str = "") -> Stranger:
        """Somebody who never logged in, with a token that they made up."""
        return Stranger(self.works.url, token)


class Attack(NamedTuple):
    """What is tried, how it is answered, and the reason that the log gives."""

    tried: Callable[[Hall], Reply]
    answered: int
    why: str


@pytest.fixture(scope="module", name="hall")
def _hall(tmp_path_factory: pytest.TempPathFactory) -> Iterator[Hall]:
    folder = tmp_path_factory.mktemp("works")
    people = People(people_place(folder).people_file or Path())
    ada = people.find("Ada")
    assert ada is not None
    token = Sessions(folder / "tumpline.db.sessions").begin(ada, time.time() - LASTS[ada.role] - 60.0)
    with PageWorks(folder, page=f'people_file = "{folder}/people.json"') as works:
        busy(works.meters["line-1"])
        manages, operates, looks = (Stranger(works.url) for _ in range(3))
        for stranger, name in ((manages, "Ada"), (operates, "Wystan"), (looks, "Wall")):
            assert stranger.log_in(name).status == 303
        manages.post(f"{LINE}/book/note", {"text": "by Ada"})
        forms = kinds_of_forms(lambda path: manages.get(path).text, LINE)
        yield Hall(works, forms, manages, operates, looks, Stranger(works.url, token))


def without_leave() -> dict[str, Attack]:
    """Every form there is, sent by who may only look; what only some may do, by the others."""

    def sent(name: str, who: str) -> Callable[[Hall], Reply]:
        path = f"{LINE}/{name.rpartition(' ')[2]}"
        return lambda hall: getattr(hall, who).post(hall.forms.get(name, path), SEE)

    looked = {f"{name} by who may only look": Attack(sent(name, "wall"), 403, "role") for name in ANSWERED}
    managed = ("book/out-of-service", "alarms: in-service")
    operated = {f"{name} by who may only operate": Attack(sent(name, "wystan"), 403, "role") for name in managed}
    others = {"what another wrote, put right": Attack(sent("book/correct/note", "wystan"), 403, "not theirs")}
    return looked | operated | others


def of_other_sites() -> dict[str, Attack]:
    """A browser tells where a form or a socket comes from."""
    told = {
        "another origin": {"Origin": ELSEWHERE},
        "a frame of no origin": {"Origin": "null"},
        "a sister site": {"Sec_Fetch_Site": "same-site"},
        "another site": {"Sec_Fetch_Site": "cross-site"},
    }
    forms = {
        "an entry": f"{LINE}/book/note",
        "a touch": f"{LINE}/acknowledge",
        "log-in": "/log-in",
        "log-out": "/log-out",
    }

    def sent(path: str, headers: Mapping[str, str]) -> Callable[[Hall], Reply]:
        return lambda hall: hall.ada.post(path, SEE, **headers)

    def opened(headers: Mapping[str, str]) -> Callable[[Hall], Reply]:
        return lambda hall: hall.ada.get(f"{LINE}/socket", Upgrade="websocket", **headers)

    return {
        f"{what} from {where}": Attack(sent(path, headers), 403, "another site")
        for where, headers in told.items()
        for what, path in forms.items()
    } | {f"a socket from {where}": Attack(opened(headers), 403, "another site") for where, headers in told.items()}


def of_paths() -> dict[str, Attack]:
    """Addresses that try to get somewhere else."""
    paths = {
        "encoded dots and slashes": "/static/..%2f..%2fpeople.json",
        "dots": "/static/../../people.json",
        "encoded dots": "/static/%2e%2e/page.py",
        "dots encoded twice": "/static/%252e%252e%252fpage.py",
        "backslashes": "/static/..%5c..%5cpeople.json",
        "bare backslashes": "/static/..\\..\\people.json",
        "a NUL": "/static/page.js%00.css",
        "an absolute path": "/static/%2fetc%2fpasswd",
        "two slashes": "//etc/passwd",
        "a line that is a path": "/line/..%2f..%2fetc",
        "a form that is a script": f"{LINE}/book/%3Cscript%3E",
        "an entry that is a path": f"{LINE}/book/correct/load-..%2f..",
        "a document that is a path": "/document/shift/..%2f..%2fpeople.json/html",
        "a document of no kind": "/document/..%2fpeople/x/html",
    }

    def asked(path: str) -> Callable[[Hall], Reply]:
        return lambda hall: hall.ada.get(path)

    return {name: Attack(asked(path), 404, "not found") for name, path in paths.items()}


def guessed(hall: Hall) -> Reply:
    """Passwords, one after the other."""
    stranger = hall.nobody()
    replies = [stranger.log_in("Grete", f"cider number {number}") for number in range(6)]
    assert [reply.status for reply in replies[:5]] == [403] * 5
    return replies[5]


LARGE = {"text": "x" * 20_000}
TOO_LARGE = {
    "a form": Attack(lambda hall: hall.ada.post(f"{LINE}/book/note", LARGE), 413, "request entity too large"),
    "a log-in": Attack(lambda hall: hall.nobody().post("/log-in", LARGE), 413, "request entity too large"),
    "a header": Attack(lambda hall: hall.nobody().get("/", X_Long="x" * 20_000), 400, "Got more than"),
    "an address": Attack(lambda hall: hall.nobody().get("/" + "x" * 20_000), 400, "Got more than"),
    "a word on a socket": Attack(lambda hall: hall.ada.talk(f"{LINE}/socket", "x" * 5_000), 1009, "bad message"),
}
WITHOUT_SESSION = {
    "a page with a token of yesterday": Attack(lambda hall: hall.late.get(LINE), 303, "session over"),
    "a form with a token of yesterday": Attack(
        lambda hall: hall.late.post(f"{LINE}/acknowledge", SEE), 303, "session over"
    ),
    "a socket with a token of yesterday": Attack(lambda hall: hall.late.talk(f"{LINE}/socket", ""), 4401, "no session"),
    "a token that was made up": Attack(lambda hall: hall.nobody("x" * 43).get(LINE), 303, "session over"),
    "a form without a token": Attack(lambda hall: hall.nobody().post(f"{LINE}/acknowledge", SEE), 303, "no session"),
    "passwords guessed": Attack(guessed, 429, "too many wrong passwords"),
    "a method that there is not": Attack(lambda hall: hall.ada.send("DELETE", LINE, {}), 405, "method not allowed"),
}
ATTACKS = without_leave() | of_other_sites() | of_paths() | TOO_LARGE | WITHOUT_SESSION


@pytest.mark.parametrize("name", ATTACKS)
def test_an_attack_is_refused_and_logged(hall: Hall, name: str) -> None:
    """It gets nothing, changes nothing, and the log says from where it came and why it was refused."""
    attack = ATTACKS[name]
    before, entered = len(refusals(hall)), len(hall.works.logged("page.entered"))
    reply = attack.tried(hall)
    assert reply.status == attack.answered
    assert "root:" not in reply.text and "scrypt" not in reply.text
    wait_until(lambda: len(refusals(hall)) > before)
    newest = refusals(hall)[-1]
    assert attack.why in newest["why"]
    assert "127.0.0.1" in str(newest)
    assert len(hall.works.logged("page.entered")) == entered


def refusals(hall: Hall) -> list[dict[str, Any]]:
    """What the log has of them: the page's own, and what it could not even read as a request."""
    return hall.works.logged("page.refused", "library.said")


def test_whoever_belongs_here_comes_in_and_leaves_by_keyboard(browser: Browser, hall: Hall) -> None:
    """From any page to the log-in, back to that page, and out again; one always sees where one is."""
    page = browser.new_page()
    keys = Keyboard(page)
    page.goto(f"{hall.works.url}{LINE}/book")
    keys.answer(LOGGED_IN["log-in"])
    expect(page.locator("h1")).to_contain_text("Shift book")
    expect(page.get_by_role("button", name="Log out Ada")).to_be_visible()
    keys.answer(LOGGED_IN["log-out"])
    expect(page.get_by_label("Name")).to_be_focused()
    page.close()


SCRIPT = """<script>window.owned = 1</script><img src=x onerror="window.owned = 1">"""
FRUIT = [{"name": SCRIPT, "share": 1}]
FREE: tuple[tuple[str, dict[str, object]], ...] = (
    ("load", {"load": SCRIPT, "grower": SCRIPT, "net_kg": 4000, "varieties": FRUIT}),
    (
        "load",
        {"load": "66", "grower": "x", "net_kg": 4000, "varieties": FRUIT, "harvested": SCRIPT, "condition": SCRIPT},
    ),
    ("load-on", {"load": SCRIPT, "ago": 85}),
    ("vat", {"vat": SCRIPT, "capacity_l": 900, "contents_l": 10}),
    ("trailer", {"trailer": SCRIPT}),
    ("dip", {"vat": SCRIPT, "volume_l": 20}),
    ("draw", {"vat": SCRIPT, "volume_l": 5, "to": SCRIPT}),
    ("sample", {"what": "juice", "brix": 12, "vat": SCRIPT}),
    ("note", {"text": SCRIPT}),
    ("shift-start", {"shift": "late", "crew": [SCRIPT], "note": SCRIPT}),
    ("shelve", {"alarm": "vat-nearly-full", "minutes": 30, "note": SCRIPT}),
)
"""Every text that people may choose, by kind of entry; who writes it is one more."""


def test_a_script_that_was_written_down_is_only_words(browser: Browser, hall: Hall) -> None:
    """In a grower's name or any other text it runs on no page, neither at first nor when it comes to an open one."""
    context = browser.new_context()
    context.set_default_timeout(SECONDS)
    context.add_cookies([{"name": "tumpline", "value": hall.ada.token, "url": hall.works.url}])
    trouble: list[str] = []
    context.on("console", lambda message: trouble.append(message.text))
    floor, alarms, book = (context.new_page() for _ in range(3))
    for page, path in ((floor, ""), (alarms, "/alarms"), (book, "/book")):
        page.goto(f"{hall.works.url}{LINE}{path}")
    meters = hall.works.meters["line-1"]
    for kind, fields in FREE:
        meters.write(kind, by=SCRIPT, **fields)  # type: ignore[arg-type]  # seconds ago among the fields
    meters.write("reason", by=SCRIPT, stop=meters.stops()[-1], reason=SCRIPT, note=SCRIPT)
    hall.works.neighbour.publish([("tumpline/line-1/signal/juice/flow", SCRIPT)])
    expect(floor.locator("#book")).to_contain_text(f"{SCRIPT}, {SCRIPT}")
    expect(alarms.locator("#needs")).to_contain_text(SCRIPT)
    expect(book.locator("#stops")).to_contain_text(SCRIPT)
    expect(book.locator("#entries li", has_text="Note").filter(has_text=SCRIPT).first).to_be_visible()
    pages = kinds_of_pages(lambda path: hall.ada.get(path).text, LINE)
    assert sum(text.count("&lt;script&gt;") for text in pages.values()) > len(FREE)
    for path in pages:
        book.goto(hall.works.url + path)
        assert book.evaluate("window.owned") is None
    assert [page.evaluate("window.owned") for page in (floor, alarms)] == [None, None]
    assert trouble == []
    context.close()
