"""The shift book's forms, from the empty form to the entry."""

import asyncio
import re
from collections.abc import Awaitable, Callable
from html import unescape

import pytest

from page_browser import Visit, visiting
from tumpline.adapters.web.forms import FORMS

BOOK = "/line/line-1/book"
LOAD = {"load": "16", "grower": "Withy Bottom", "net_kg": "4 120", "variety": "top late", "share": "", "by": "Ada"}


def at_the_page(scenario: Callable[[Visit], Awaitable[None]]) -> None:
    """Run a scenario in a browser."""

    async def run() -> None:
        async with visiting() as visit:
            await scenario(visit)

    asyncio.run(run())


def field(text: str, name: str) -> str:
    """The input of that name."""
    found = re.search(rf'<(?:input|textarea)[^>]* name="{name}"[^>]*>[^<]*', text)
    assert found is not None, name
    return unescape(found[0])


@pytest.mark.parametrize("name", FORMS)
def test_every_form_is_there_and_says_what_it_needs(name: str) -> None:
    """Sent empty it comes back with every needed field marked, and nothing is written."""

    async def scenario(visit: Visit) -> None:
        empty = await visit.get(f"{BOOK}/{name}")
        assert empty.status == 200
        answer = await visit.post(f"{BOOK}/{name}", {"by": ""})
        needed = [f.key for f in FORMS[name].fields if f.required and f.key != "net_kg"]
        assert answer.status == 422
        assert answer.text.count("This is needed.") >= len(needed) + 1
        assert visit.desk.taken == []

    at_the_page(scenario)


def test_a_load_is_taken_in() -> None:
    """The entry has the fields of the contract, and the book says that it was written."""

    async def scenario(visit: Visit) -> None:
        answer = await visit.post(f"{BOOK}/load", {**LOAD, "brix": "12,5", "at": "2026-10-14T10:00"})
        assert (answer.status, answer.location) == (303, f"{BOOK}?taken=load")
        assert visit.desk.taken == [
            (
                "line-1",
                "load",
                {
                    "load": "16",
                    "grower": "Withy Bottom",
                    "net_kg": 4120.0,
                    "varieties": ({"name": "top late", "share": 1.0},),
                    "brix": 12.5,
                    "at": "2026-10-14T09:00:00.000000Z",
                    "by": "Ada",
                },
            )
        ]
        assert "Written down." in (await visit.get(answer.location)).text
        assert 'value="Ada"' in field((await visit.get(f"{BOOK}/load")).text, "by")

    at_the_page(scenario)


def test_a_mistake_keeps_what_was_typed_and_is_said_beside_the_field() -> None:
    """Nothing is typed twice; the field names its trouble to those who cannot see, and has the focus."""

    async def scenario(visit: Visit) -> None:
        answer = await visit.post(f"{BOOK}/load", {**LOAD, "net_kg": "four tonnes", "grower": '<b>"W"'})
        assert answer.status == 422 and visit.desk.taken == []
        wrong = field(answer.text, "net_kg")
        for part in ('value="four tonnes"', 'aria-invalid="true"', 'aria-describedby="f-net_kg-wrong"', "autofocus"):
            assert part in wrong
        assert 'value="<b>"W""' in field(answer.text, "grower")
        assert '<a href="#f-net_kg">Net</a>' in answer.text

    at_the_page(scenario)


def test_a_refusal_of_the_book_comes_back_beside_its_field() -> None:
    """The desk's own sentence, with the field's name as the form has it."""

    async def scenario(visit: Visit) -> None:
        visit.desk.refusal = 'load: "net_kg" is -1; a mass above 0 and up to 1000 t is accepted.'
        answer = await visit.post(f"{BOOK}/load", LOAD)
        assert answer.status == 422
        assert "Net is -1; a mass above 0 and up to 1000 t is accepted." in answer.text
        assert 'aria-invalid="true"' in field(answer.text, "net_kg")
        visit.desk.refusal = "load: the book is closed."
        assert "The book is closed." in (await visit.post(f"{BOOK}/load", LOAD)).text

    at_the_page(scenario)


def test_what_the_line_cannot_take_comes_back_beside_its_field() -> None:
    """A load that nobody weighed in cannot go on; the form says so at once, with what was typed."""

    async def scenario(visit: Visit) -> None:
        visit.desk.line_refuses = 'load-on: "load" is "99"; a load that was weighed in is accepted.'
        answer = await visit.post(f"{BOOK}/load-on", {"load": "99", "by": "Ada"})
        assert answer.status == 422
        assert "Load is &quot;99&quot;; a load that was weighed in is accepted." in answer.text

    at_the_page(scenario)


def test_what_there_is_to_choose_from_is_offered() -> None:
    """Waiting loads only, each vat with the room left in it, the site's reasons, and prefilled from the address."""

    async def scenario(visit: Visit) -> None:
        on = (await visit.get(f"{BOOK}/load-on?load=15")).text
        assert 'name="load" value="15" checked' in on and 'value="14"' not in on
        vats = (await visit.get(f"{BOOK}/vat")).text
        assert "11\N{NARROW NO-BREAK SPACE}200 of 12\N{NARROW NO-BREAK SPACE}000 L, nearly full, room for 800 L" in vats
        assert 'value="break"' in (await visit.get(f"{BOOK}/reason?stop=stop-6")).text
        assert '<option value="Coppice Farm"' in (await visit.get(f"{BOOK}/load")).text

    at_the_page(scenario)


def test_more_varieties_than_there_are_rows() -> None:
    """One button, without script, and nothing typed is lost or written down."""

    async def scenario(visit: Visit) -> None:
        rows = (
            [("variety", f"v{n}") for n in range(4)] + [("share", "25")] * 4 + [("grower", "Long Acre"), ("more", "1")]
        )
        answer = await visit.post(f"{BOOK}/load", rows)
        assert (answer.status, answer.text.count('name="variety"'), visit.desk.taken) == (200, 5, [])
        assert 'value="v3"' in answer.text and 'value="Long Acre"' in answer.text

    at_the_page(scenario)


def test_a_sample_with_two_figures_is_two_entries() -> None:
    """Both are of the same vat and the same person."""

    async def scenario(visit: Visit) -> None:
        await visit.post(f"{BOOK}/sample", {"what": "juice", "vat": "3", "brix": "12.5", "ph": "3,6", "by": "Ada"})
        assert [body for _, _, body in visit.desk.taken] == [
            {"what": "juice", "vat": "3", "brix": 12.5, "by": "Ada"},
            {"what": "juice", "vat": "3", "ph": 3.6, "by": "Ada"},
        ]

    at_the_page(scenario)


def test_a_form_says_what_it_is_about() -> None:
    """Nobody sets the wrong alarm aside, or explains another stop."""

    async def scenario(visit: Visit) -> None:
        assert "<h1>Set aside: Juice low</h1>" in (await visit.get(f"{BOOK}/shelve?alarm=juice-low")).text
        assert (
            "<h1>Out of service: Mill blocked</h1>"
            in (await visit.get(f"{BOOK}/out-of-service?alarm=mill-blocked")).text
        )
        assert "<h1>Reason of a stop: 10:07</h1>" in (await visit.get(f"{BOOK}/reason?stop=stop-6")).text

    at_the_page(scenario)


def test_setting_an_alarm_aside_needs_a_reason_and_an_end() -> None:
    """Both reach the book, and one is back at the alarms."""

    async def scenario(visit: Visit) -> None:
        form = {"alarm": "juice-low", "minutes": "30", "by": "Ada"}
        assert (await visit.post(f"{BOOK}/shelve", form)).status == 422
        sent = await visit.post(f"{BOOK}/shelve", {**form, "note": "meter is being rinsed"})
        assert sent.location == "/line/line-1/alarms?taken=shelve"
        assert visit.desk.taken == [
            ("line-1", "shelve", {"alarm": "juice-low", "minutes": 30.0, "note": "meter is being rinsed", "by": "Ada"})
        ]

    at_the_page(scenario)


def test_what_is_not_there_is_not_found() -> None:
    """A form or an entry that does not exist is said so in words."""

    async def scenario(visit: Visit) -> None:
        form = await visit.get(f"{BOOK}/cider")
        assert form.status == 404 and "Forms: load, load-on" in form.text
        assert (await visit.get(f"{BOOK}/correct/load-ffffffffffff")).status == 404
        assert (await visit.get("/line/x/book/load")).status == 404

    at_the_page(scenario)
