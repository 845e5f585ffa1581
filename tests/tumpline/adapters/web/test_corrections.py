"""Putting an entry right, from the filled form to the correction."""

import asyncio
import re

import pytest

from page_book import MORNING
from page_browser import Visit, visiting

LOAD, NOTE = "load-000000000006", "note-00000000000c"


def filled(text: str) -> list[tuple[str, str]]:
    """A form's fields as a browser would send them back."""
    inputs = re.findall(r'<input(?=[^>]* name="([^"]*)")(?![^>]*type="radio")[^>]*>', text)
    values = [
        re.search(r' value="([^"]*)"', found) for found in re.findall(r"<input(?![^>]*radio)[^>]* name=[^>]*>", text)
    ]
    sent = [(name, value[1] if value else "") for name, value in zip(inputs, values, strict=True)]
    areas = re.findall(r'<textarea[^>]* name="([^"]*)"[^>]*>([^<]*)', text)
    radios = re.findall(r'<input type="radio" name="([^"]*)" value="([^"]*)" checked', text)
    return [*sent, *areas, *radios]


async def changed(visit: Visit, entry: str, **fields: str) -> tuple[int, str]:
    """Send an entry's form back with some fields changed; the status and what came back."""
    path = f"/line/line-1/book/correct/{entry}"
    form = [(name, fields.get(name, value)) for name, value in filled((await visit.get(path)).text)]
    answer = await visit.post(path, [pair for pair in form if pair[0] != "by"] + [("by", "Bo")])
    return answer.status, answer.text


def test_only_what_was_changed_is_corrected() -> None:
    """The correction names the entry and the new mass, and who made it; all else stays as it was."""

    async def scenario() -> None:
        async with visiting() as visit:
            assert (await changed(visit, LOAD, net_kg="9900"))[0] == 303
            body = {"entry": LOAD, "fields": {"net_kg": 9900.0}, "by": "Bo"}
            assert visit.desk.taken == [("line-1", "correct", body)]

    asyncio.run(scenario())


@pytest.mark.parametrize("made", [m for m in MORNING if not m.id.startswith("correct")], ids=lambda made: made.id)
def test_a_form_sent_back_unchanged_corrects_nothing(made: object) -> None:
    """Times, shares and numbers survive the way through the form, and the page says that nothing was changed."""

    async def scenario() -> None:
        async with visiting() as visit:
            status, text = await changed(visit, made.id)  # type: ignore[attr-defined]  # an EntryMade
            assert (status, "Nothing was changed" in text, visit.desk.taken) == (422, True, [])

    asyncio.run(scenario())


def test_what_is_emptied_is_taken_back() -> None:
    """An optional field can be made to say nothing; one that is needed cannot."""

    async def scenario() -> None:
        async with visiting() as visit:
            await changed(visit, "vat-000000000004", contents_l="")
            assert visit.desk.taken[0][2]["fields"] == {"contents_l": None}
            status, text = await changed(visit, LOAD, grower="")
            assert (status, "This is needed." in text) == (422, True)

    asyncio.run(scenario())


def test_a_time_can_be_put_right() -> None:
    """It is written in the site's own time."""

    async def scenario() -> None:
        async with visiting() as visit:
            await changed(visit, NOTE, at="2026-10-14T10:10")
            assert visit.desk.taken[0][2]["fields"] == {"at": "2026-10-14T09:10:00.000000Z"}

    asyncio.run(scenario())
