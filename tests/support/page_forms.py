"""Every form of every page: where it is, an answer to it, and what is seen afterwards."""

import html
import re
import time
from collections import deque
from collections.abc import Callable, Sequence
from typing import NamedTuple

from page_works import STOOD, Meters, Spell
from polling import wait_until

BOOK, ALARMS = 'a[href$="/book"]', 'a[href$="/alarms"]'
SPELLS: tuple[Spell, ...] = (
    (300, {}),
    (2, {"mill/current": 60.0}),
    (90, {}),
    (90, STOOD),
    (90, {}),
    (90, STOOD),
    (90, {}),
    (40, {"flume/flow": 8.0}),
    (60, {}),
    (40, {"press/pressure": 1.9}),
    (60, {}),
    (30, {"press/pressure": 1.0}),
    (60, {}),
    (90, STOOD),
    (90, {}),
)
"""Six alarms are over and nobody has seen them, three stops have no reason; now the line presses."""


class Ago(NamedTuple):
    """A time to be typed: so many seconds before now."""

    seconds: float

    def clock(self) -> time.struct_time:
        """What the site's clock showed then, which is UTC."""
        return time.gmtime(time.time() - self.seconds)


FIELD, ENTRY = "%Y-%m-%dT%H:%M", "%Y-%m-%dT%H:%M:00Z"
"""A time as a browser's field has it, and as an entry has it."""


class Answered(NamedTuple):
    """One form, answered."""

    way: Sequence[str]
    """The links that lead to it from the line's page."""
    button: str
    """What sends it."""
    fields: Sequence[tuple[str, str | Ago]]
    """What to fill in, in the order of the form."""
    page: str
    """Where its effect shows, below the line's page."""
    seen: str
    """The effect: a pattern that the words of that page fit from then on."""


def of_book(form: str, *fields: tuple[str, str | Ago], seen: str) -> Answered:
    """A form behind a button of the shift book."""
    link = f'a[href$="/book/{form}"]'
    return Answered((BOOK, link), f'form[action$="/book/{form}"] button.main', fields, "/book", seen)


def correction(kind: str, *fields: tuple[str, str | Ago], seen: str) -> Answered:
    """The newest entry of that kind, put right."""
    others = ", ".join(f'[href*="/correct/{kind}-{more}-"]' for more in ("on", "off", "known"))
    link = f'a[href*="/correct/{kind}-"]:not({others})'
    return Answered((BOOK, link), "form.entry button.main", fields, "/book", seen)


def of_alarm(kind: str, alarm: str, *, way: Sequence[str] = (ALARMS,), seen: str) -> Answered:
    """A button of an alarm."""
    button = f'form[action*="/{kind}"]:has(input[value="{alarm}"]) button'
    return Answered(way, button, (), "/alarms", seen)


ANSWERED = {
    "floor: reason": Answered((), '#ask button[value="break"]', (), "", "break. Undo"),
    "floor: reason-undo": Answered((), '#ask form[action$="/reason-undo"] button', (), "", "Why did it stand"),
    "reason": Answered(('#ask a[href*="/reason?"]',), "button.main", (("reason", "belt"),), "", ": belt. Undo"),
    "floor: acknowledge": of_alarm("acknowledge", "fruit-starved", way=(), seen="What was .*No fruit.* seen by Ada"),
    "alarms: acknowledge": of_alarm("acknowledge", "vat-nearly-full", seen=r"nearly full.* seen \d\d:\d\d by Ada"),
    "alarms: unshelve": of_alarm("unshelve", "flume-low", seen="What was .*Flume low"),
    "alarms: in-service": of_alarm("in-service", "pressure-high", seen="What was .*Pressure high"),
    "alarms: reset": of_alarm("reset", "hard-object", seen="^(?!.*Done with).*Hard object"),
    "book/shelve": Answered(
        (ALARMS, 'a[href$="/book/shelve?alarm=vat-nearly-full"]'),
        "button.main",
        (("minutes", "30"), ("note", "pumped over at four")),
        "/alarms",
        "Set aside: Vat nearly full",
    ),
    "book/out-of-service": Answered(
        (ALARMS, 'a[href$="/book/out-of-service?alarm=pressure-low"]'),
        "button.main",
        (("note", "regulator is being changed"),),
        "/alarms",
        "Out of service: Pressure low",
    ),
    "who": Answered(('a[href$="/who"]',), "button.main", (("by", "Grete"),), "", "Name: Grete"),
    "book/correct/load": correction("load", ("net_kg", "4321"), seen="Net 4 321 kg"),
    "book/correct/load-on": correction("load-on", ("at", Ago(500.0)), seen="Load goes on Load 21 Put right by Ada"),
    "book/correct/load-off": correction(
        "load-off", ("at", Ago(700.0)), seen="Load is through Load 20 Put right by Ada"
    ),
    "book/correct/vat": correction("vat", ("contents_l", "10900"), seen="In it now 10 900 L"),
    "book/correct/vat-known": correction("vat-known", ("capacity_l", "8100"), seen="Holds 8 100 L"),
    "book/correct/dip": correction("dip", ("volume_l", "2222"), seen="2 222 L"),
    "book/correct/transfer": correction("transfer", ("volume_l", "61"), seen="61 L"),
    "book/correct/draw": correction("draw", ("volume_l", "33"), seen="33 L"),
    "book/correct/trailer": correction("trailer", ("net_kg", "5111"), seen="Net 5 111 kg"),
    "book/correct/sample": correction("sample", ("brix", "12.9"), seen="12.90 °Bx"),
    "book/correct/note": correction("note", ("text", "twice: "), seen="twice: "),
    "book/correct/reason": correction("reason", ("reason-other", "hose"), seen="hose"),
    "book/correct/proof": correction("proof", ("volume_l", "101"), seen="101 L"),
    "book/correct/shift-start": correction("shift-start", ("note", "frost"), seen="frost"),
    "book/load": of_book(
        "load",
        ("load", "77"),
        ("grower", "Long Acre"),
        ("gross_kg", "7420"),
        ("tare_kg", "3300"),
        ("variety", "top late"),
        ("share", "60"),
        ("variety", "coppice red"),
        ("share", "40"),
        ("dry_matter_pct", "17"),
        ("brix", "12.5"),
        ("acidity_g_per_l", "5.2"),
        ("tannin_g_per_l", "1.9"),
        ("harvested", "this week"),
        ("condition", "sound"),
        seen="77, Long Acre",
    ),
    "book/load-off": of_book("load-off", ("load", "21"), seen="pressed until"),
    "book/load-on": of_book("load-on", ("load", "22"), seen="on the line since"),
    "book/vat": of_book("vat", ("vat", "3"), ("contents_l", "2100"), ("at", Ago(0.0)), seen="In it now 2 100 L"),
    "book/vat-known": of_book(
        "vat-known", ("vat", "9"), ("capacity_l", "5000"), ("contents_l", "77"), seen="77 of 5 000 L"
    ),
    "book/dip": of_book("dip", ("vat", "2"), ("volume_l", "1999"), seen="1 999 L"),
    "book/transfer": of_book("transfer", ("from_vat", "2"), ("to_vat", "3"), ("volume_l", "41"), seen="41 L"),
    "book/draw": of_book("draw", ("vat", "2"), ("volume_l", "42"), ("to", "the cellar"), seen="the cellar"),
    "book/trailer": of_book("trailer", ("trailer-other", "T9"), ("capacity_kg", "4990"), seen="4 990 kg"),
    "book/weigh-ticket": of_book(
        "weigh-ticket",
        ("trailer", "T1"),
        ("gross_kg", "9000"),
        ("tare_kg", "4044"),
        ("to", "Coppice Farm"),
        seen="Net 4 956 kg",
    ),
    "book/sample": of_book(
        "sample", ("what", "juice"), ("brix", "13.7"), ("ph", "3.6"), ("vat", "2"), seen="13.70 °Bx"
    ),
    "book/note": of_book("note", ("text", "belt watched"), seen="belt watched"),
    "book/proof": of_book(
        "proof",
        ("signal", "juice/flow"),
        ("start", Ago(400.0)),
        ("end", Ago(200.0)),
        ("volume_l", "123"),
        ("limits_pct", "0.5"),
        seen="Volume 123 L; Known within 0.50 %",
    ),
    "book/reason": Answered(
        (BOOK, 'a[href*="/book/reason?stop="]'),
        "button.main",
        (("reason-other", "rain"), ("note", "tipped late")),
        "/book",
        "tipped late by Ada",
    ),
    "book/shift-start": of_book(
        "shift-start", ("shift", "late"), ("crew", "Ada, Wystan"), ("note", "dry"), seen="Shift late; Crew Ada, Wystan"
    ),
    "book/shift-end": of_book("shift-end", ("note", "hosed down"), seen="hosed down"),
}
"""Forms of a page that is open to all; of one that is not here nobody knows that a keyboard answers it."""

LOGGED_IN = {
    "log-in": Answered((), "button.main", (("name", "Ada"), ("password", "three dry pomaces")), "", "Log out Ada"),
    "log-out": Answered((), 'form[action="/log-out"] button', (), "", "Log in"),
}
"""Forms of a page at which people log in."""


def busy(meters: Meters) -> None:
    """A line at which every form has something to be about."""
    long = sum(seconds for seconds, _ in SPELLS)
    fruit = [{"name": "top late", "share": 1}]
    meters.write("shift-start", ago=long, shift="early", crew=["Ada", "Wystan"])
    for name, grower in (("20", "Long Acre"), ("21", "Coppice Farm"), ("22", "Withy Bottom"), ("23", "Long Acre")):
        meters.write("load", ago=long - 5, load=name, grower=grower, net_kg=4000, varieties=fruit)
    meters.write("vat", ago=long - 5, vat="1", capacity_l=12_000, contents_l=11_000)
    for name in ("2", "3"):
        meters.write("vat-known", ago=long - 5, vat=name, capacity_l=8_000, contents_l=2_000)
    meters.write("load-on", ago=long - 10, load="20")
    meters.write("load-off", ago=long - 250, load="20")
    meters.write("load-on", ago=long - 251, load="21")
    meters.past(*SPELLS)
    meters.write("trailer", ago=90, trailer="T1", capacity_kg=6_000)
    meters.write("trailer", ago=80, trailer="T1", net_kg=5_000)
    meters.write("dip", ago=70, vat="2", volume_l=2_000)
    meters.write("transfer", ago=60, from_vat="2", to_vat="3", volume_l=60)
    meters.write("draw", ago=50, vat="2", volume_l=30)
    meters.write("sample", ago=40, what="juice", brix=12.2, vat="2")
    meters.write("note", ago=30, text="all well")
    start, end = (time.strftime(ENTRY, Ago(seconds).clock()) for seconds in (400, 200))
    meters.write("proof", ago=20, signal="juice/flow", start=start, end=end, volume_l=150)
    wait_until(meters.stops)
    meters.write("reason", stop=meters.stops()[0], reason="break")
    meters.write("shelve", alarm="flume-low", minutes=60, note="strainer is out")
    meters.write("out-of-service", alarm="pressure-high", note="regulator is being changed")


def kinds_of_forms(fetch: Callable[[str], str], start: str) -> dict[str, str]:
    """Every kind of form on every kind of page that links lead to, and where one of the kind goes."""
    forms: dict[str, str] = {}
    for path, text in kinds_of_pages(fetch, start).items():
        forms |= forms_in(text, path)
    return forms


def kinds_of_pages(fetch: Callable[[str], str], start: str) -> dict[str, str]:
    """The path and the markup of one page of every kind that links lead to; `fetch` gets the markup of a path."""
    pages: dict[str, str] = {}
    kinds: set[str] = set()
    waiting = deque([start])
    while waiting:
        path = waiting.popleft()
        if kind(path) in kinds or path.startswith(("/document/", "/static/")):
            continue
        kinds.add(kind(path))
        pages[path] = fetch(path)
        waiting += [html.unescape(found) for found in re.findall(r'href="(/[^"#]*)"', pages[path])]
    return pages


def forms_in(text: str, path: str) -> dict[str, str]:
    """
    The kinds of the forms in a page's markup, and where they go.

    A form is named by its page and where it goes, or by its page alone where it is what the page is for.
    """
    actions = [html.unescape(found) for found in re.findall(r'<form[^>]* action="([^"]+)"', text)]
    where = kind(path)
    return {what if (what := kind(to)) in (where, "log-out") else f"{where}: {what}": to for to in actions}


def kind(path: str) -> str:
    """`book/load` of an address: without its line, its question, and the ids in it."""
    bare = re.sub(r"^/(line/[^/?]+)?|\?.*$", "", path).strip("/")
    return re.sub(r"-[0-9a-f]{12}$", "", bare) or "floor"
