"""What people read when an alarm calls them: in every language isolation and stored air, in none how to clear it."""

import re
import tomllib
from collections.abc import Iterator
from pathlib import Path

import pytest

from source_tree import SERVICE
from tumpline.adapters.notices.text import STANDING, TEST_BODY
from tumpline.adapters.web.words import Words
from tumpline.pressing.watches import NAMES
from tumpline.wire.documents import CAUTION

FOLDER = SERVICE / "adapters" / "web" / "languages"
LANGUAGES = sorted(FOLDER.glob("*.toml"))
SPOKEN = [*LANGUAGES, *sorted((FOLDER / "line").glob("*.toml"))]
"""What the page says in each language, then what the line itself says in it."""
VATS = frozenset({"vat-nearly-full"})

FORBIDDEN = {
    "en": re.compile(
        r"\bsafe(ly)?\b|\ball clear\b|\bno (danger|risk)\b|\bharmless\b|\bunblock|\bunjam|\breach in|\brestart"
        r"|\b(clear|free|remove|dig|pull|poke|push|rake)\b[^.]{0,40}\b(blockage|jam|obstruction|fruit out|pomace out)\b"
        r"|\b(re)?start (it|the (line|mill|press|pump|flume))\b",
        re.IGNORECASE,
    ),
    "de": re.compile(
        r"\bsicher\b|\bungefährlich|\bgefahrlos|\bkeine gefahr|\bentwarnung|\bhineingreif|\bhinein ?zu ?greif"
        r"|\b(lösen|beseitigen|entfernen|freimachen|herausziehen)\b[^.]{0,40}\b(verstopfung|stau|blockade)"
        r"|\b(verstopfung|stau|blockade)\b[^.]{0,40}\b(lösen|beseitigen|entfernen)"
        r"|\bwieder (ein|an)schalten|\bneu starten",
        re.IGNORECASE,
    ),
}
"""By language: what calls a machine harmless, tells how to clear one, or orders one about."""
ISOLATION = {
    "en": ("isolate", "lock", "stored air", "competent people", "the site's own procedure"),
    "de": (
        "trenn|freischalt",
        "wiedereinschalten|abschließ|sperr",
        "druckluft|gespeicherte luft",
        "fachkundig|sachkundig|befähigt",
        "betrieb",
    ),
}
"""By language: what a caution names wherever people may go near a machine, as patterns in lower case."""


def texts(table: dict[str, object], above: str = "") -> Iterator[tuple[str, str]]:
    """Every text of a language's file with its key."""
    for key, value in table.items():
        if isinstance(value, dict):
            yield from texts(value, f"{above}{key}.")
        else:
            yield f"{above}{key}", str(value)


def lacking(text: str, language: str) -> list[str]:
    """What a caution near a machine should name and does not."""
    return [word for word in ISOLATION[language] if not re.search(word, text.lower())]


@pytest.mark.parametrize("name", [name for name in NAMES if name not in VATS])
def test_every_alarm_near_a_machine_names_isolation_and_stored_air(name: str) -> None:
    """Whoever is called is told to stop, isolate and lock off, to release stored air, and who may."""
    caution = NAMES[name][1]
    assert caution is not None
    assert lacking(caution, "en") == []


@pytest.mark.parametrize("name", VATS)
def test_every_alarm_about_a_vat_names_the_gas_and_the_permit(name: str) -> None:
    """A vat is a confined space; the site's permit and gas detection come first."""
    caution = NAMES[name][1]
    assert caution is not None
    for word in ("confined space", "carbon dioxide", "permit", "gas detection", "Competent people"):
        assert word in caution


@pytest.mark.parametrize("text", [*(caution or "" for _, caution in NAMES.values()), CAUTION, STANDING, TEST_BODY])
def test_no_caution_says_what_none_may(text: str) -> None:
    """Nothing is called harmless, ordered about or cleared."""
    assert FORBIDDEN["en"].search(text.replace("not a safety function", "")) is None


@pytest.mark.parametrize("path", SPOKEN, ids=lambda path: f"{path.parent.stem}-{path.stem}")
def test_no_text_in_any_language_says_what_none_may(path: Path) -> None:
    """A language that this test cannot read is not one the program may speak."""
    forbidden = FORBIDDEN[path.stem]
    found = [key for key, text in texts(tomllib.loads(path.read_text("utf-8"))) if forbidden.search(text)]
    assert found == []


@pytest.mark.parametrize("path", LANGUAGES, ids=lambda path: path.stem)
def test_the_standing_caution_names_isolation_and_stored_air_in_every_language(path: Path) -> None:
    """The notice under every page says the same everywhere."""
    assert lacking(tomllib.loads(path.read_text("utf-8"))["caution"], path.stem) == []


@pytest.mark.parametrize("path", LANGUAGES, ids=lambda path: path.stem)
@pytest.mark.parametrize("name", [name for name in NAMES if name not in VATS])
def test_an_alarms_caution_names_isolation_and_stored_air_in_every_language(name: str, path: Path) -> None:
    """What calls people to a machine says the same to each of them."""
    assert lacking(Words(path.stem).line(NAMES[name][1] or "").text, path.stem) == []


@pytest.mark.parametrize(
    ("language", "text"),
    [
        ("en", "The mill is safe to open now."),
        ("en", "Remove the blockage from below."),
        ("en", "Then start the mill."),
        ("de", "Die Mühle ist jetzt sicher."),
        ("de", "Die Verstopfung von unten lösen."),
        ("de", "Danach die Mühle wieder einschalten."),
    ],
)
def test_a_text_that_could_hurt_somebody_is_found(language: str, text: str) -> None:
    """Each kind of dangerous advice is noticed in each language."""
    assert FORBIDDEN[language].search(text)


def test_a_caution_without_isolation_is_found() -> None:
    """Telling people to be careful is not enough."""
    assert lacking("Be careful near the mill.", "en") == list(ISOLATION["en"])
