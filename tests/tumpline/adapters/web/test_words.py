"""How the page says things."""

import asyncio
import re
from pathlib import Path

import aiohttp
import pytest

from fake_line import NOW, alarm, blocked
from live_page import served
from tumpline.adapters import web
from tumpline.adapters.web.words import LANGUAGES, THIN_SPACE, Clock, Words, duration, sentence, texts
from tumpline.pressing.records import Condition
from tumpline.runtime.board import Board
from tumpline.settings import Page
from tumpline.wire.documents import CAUTION

WORDS = Words("en")


def test_times_are_the_sites_own() -> None:
    """The wall clock of the site is shown, summer time included."""
    assert (Clock("Europe/London", WORDS).second(NOW), Clock("UTC", WORDS).minute(NOW)) == ("10:24:07", "09:24")


def test_the_hour_that_comes_twice_names_its_zone() -> None:
    """At the end of summer time, 25 October 2026, 00:30 and 01:30 UTC both read 01:30 in London."""
    before, after = 1792888200.0, 1792891800.0
    clock = Clock("Europe/London", WORDS)
    assert [clock.minute(at) for at in (before, after)] == ["01:30 BST", "01:30 GMT"]
    assert clock.minute(after + 3600.0) == "02:30"


def test_another_day_is_named() -> None:
    """A time of yesterday cannot be taken for today's."""
    assert Clock("Europe/London", WORDS).minute(NOW - 86400.0, now=NOW) == "13 Oct 10:24"


@pytest.mark.parametrize(
    ("seconds", "words"),
    [(-3.0, "0 s"), (59.9, "59 s"), (60.0, "1 min"), (6120.0, "1 h 42"), (3660.0, "1 h 01"), (180_000.0, "2 d 2 h")],
)
def test_durations_are_whole_units(seconds: float, words: str) -> None:
    """Durations are written with their units, never like a time of day."""
    assert duration(seconds) == words


def test_numbers_are_written_for_people() -> None:
    """Thousands stand apart, a minus is a minus, and there is no negative zero."""
    assert [WORDS.number(v, 1) for v in (10025.04, -2.5, -0.04)] == [f"10{THIN_SPACE}025.0", "−2.5", "0.0"]


def test_an_interval_never_looks_like_a_point() -> None:
    """Ends that would read the same get one more decimal."""
    assert (WORDS.between(698.2, 726.4, 0), WORDS.between(705.8, 706.3, 0)) == (
        "between 698 and 726",
        "between 705.8 and 706.3",
    )


def test_a_clause_becomes_a_sentence() -> None:
    """A capital and one full stop; a signal is called by its name."""
    assert [sentence(text) for text in ("the line is filling", "Done.", "juice/flow was not heard")] == [
        "The line is filling.",
        "Done.",
        "juice/flow was not heard.",
    ]


def test_an_alarm_names_what_it_is_about() -> None:
    """The subject stands beside the name where there is one."""
    lost = alarm(name="signal-lost", subject="juice/flow")
    assert [WORDS.alarm(a) for a in (alarm(), lost)] == ["Mill blocked", "Signal lost: juice/flow"]


WEB = Path(web.__file__).parent
FIELDS = re.compile(r"\{(\w+)\}")


def used() -> set[str]:
    """Every text in the page's own files that could be a key."""
    source = "".join(path.read_text() for path in WEB.glob("*.py"))
    return set(re.findall(r"""["']([\w.-]+)["']""", source))


def put_together() -> set[str]:
    """The groups whose keys are put together from parts, such as `condition`."""
    source = "".join(path.read_text() for path in WEB.glob("*.py"))
    return set(re.findall(r"""f["'](\w+)\.\{""", source)) | set(re.findall(r'named\("(\w+)"', source))


@pytest.mark.parametrize("language", LANGUAGES)
def test_every_language_says_everything_with_the_same_names(language: str) -> None:
    """No key is missing, none is left over, and each text has the same gaps to fill."""
    english, other = texts("en"), texts(language)
    assert set(other) == set(english)
    assert {key: sorted(FIELDS.findall(text)) for key, text in other.items()} == {
        key: sorted(FIELDS.findall(text)) for key, text in english.items()
    }


def test_every_key_that_is_asked_for_is_there() -> None:
    """A misspelled key would be found by people."""
    source = "".join(path.read_text() for path in WEB.glob("*.py"))
    asked = set(re.findall(r'words\(\s*"([\w.-]+)"', source))
    assert len(asked) > 100
    assert asked - set(texts("en")) == set()


def test_no_text_is_left_over() -> None:
    """What nobody says any more is not translated for ever."""
    asked, groups = used(), put_together() | {"who", "reason", "log"}
    assert [key for key in texts("en") if key not in asked and key.split(".")[0] not in groups] == []


def test_the_settings_know_every_language() -> None:
    """What can be chosen is what is there."""
    there = {path.stem for path in (WEB / "languages").glob("*.toml")}
    assert set(LANGUAGES) == there
    for language in LANGUAGES:
        assert Page(language=language).language == language  # type: ignore[arg-type]  # the languages there are


def test_every_alarm_and_condition_has_its_word() -> None:
    """In every language; the standing notice is the documents' own in English."""
    for language in LANGUAGES:
        known = texts(language)
        assert all(f"condition.{condition.value}" in known for condition in Condition)
    assert texts("en")["caution"] == CAUTION
    assert Words("en").named("alarm", "an-alarm-of-tomorrow") == "An alarm of tomorrow"


def test_german_writes_numbers_the_german_way() -> None:
    """A comma for the decimals, and words in between."""
    words = Words("de")
    assert words.number(10025.04, 1) == f"10{THIN_SPACE}025,0"
    assert words.between(698.2, 726.4, 0) == "zwischen 698 und 726"
    assert Clock("Europe/Berlin", words).minute(NOW - 86400.0, now=NOW) == "13 Okt. 11:24"


def test_a_page_in_german_is_german() -> None:
    """What the line reports stays English and is marked as that."""

    async def scenario() -> str:
        board = Board(["line-1"])
        board.show("line-1", blocked())
        async with (
            served(board, place=Page(language="de")) as page,
            aiohttp.ClientSession() as client,
            client.get(page.url) as answer,
        ):
            return await answer.text()

    text = asyncio.run(scenario())
    for words in ('<html lang="de">', "Verstopft", "Mühle verstopft", "Habe ich gesehen", "Saft je Tonne", 'lang="en"'):
        assert words in text
