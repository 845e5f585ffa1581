"""Words that must not stand in the repository, and words the program must never say to people near a machine."""

import ast
import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from source_tree import ROOT, SERVICE, Offence, broken, python_files, spoken_strings, text_files

ENDINGS = (".py", ".md", ".toml", ".js", ".css", ".html", ".svg", ".conf", ".service", ".yaml", ".yml", ".json", ".txt")

_REGISTRIES = (
    ("pypi", "org"),
    ("python[h]osted", "org"),
    ("registry", "npmjs"),
    ("deb", "debian"),
    ("docker", "io"),
    ("ghcr", "io"),
    ("quay", "io"),
)

NOT_OURS = {
    "a path of one machine": re.compile(r"(?<![\w.$}])/(work|tmp|root|home)/"),
    "a registry's address": re.compile("|".join(r"\.".join(host) for host in _REGISTRIES)),
    "an issue's number": re.compile(
        r"\b(issue|bug|ticket|PR|GH-?|pull request)\s?#?\d+\b|\((fixes |closes )?#\d+\)", re.IGNORECASE
    ),
    "a document that is not here": re.compile(r"shared/reference|\b(CONTRACT|DESIGN|RULES|WIRE)\.md\b"),
}

UNSAFE_SPEECH = {
    "calls something safe": re.compile(r"\bsafe(ly)?\b|\ball clear\b|\bno (danger|risk)\b|\bharmless\b", re.IGNORECASE),
    "tells how to clear a blockage": re.compile(
        r"\b(clear|free|remove|dig|pull|poke|push|rake)\b[^.]{0,40}\b(blockage|jam|obstruction|fruit out|pomace out)\b"
        r"|\bunblock|\breach in|\bunjam",
        re.IGNORECASE,
    ),
    "sends people to a machine against the clock": re.compile(
        r"\b(within|in under|less than) [\w{}]+ (minutes?|seconds?)\b.*clear", re.IGNORECASE
    ),
}
ORDERS = {
    "orders a machine about": re.compile(
        r"\b(re)?start (it|the (line|mill|press|pump|flume))\b|\brestart", re.IGNORECASE
    )
}

CAUTIOUS = ("pressing", "wire", "reports", "adapters/web", "adapters/notices")
"""Rooms whose words reach people at the line."""


def misplaced_words(text: str) -> Iterator[Offence]:
    """Words that belong to somebody's machine or desk, not to the product."""
    for number, line in enumerate(text.splitlines(), 1):
        yield from (Offence(number, f"names {what}") for what, words in NOT_OURS.items() if words.search(line))


def _said_wrongly(line: int, text: str, *, rules: dict[str, re.Pattern[str]]) -> Iterator[Offence]:
    yield from (Offence(line, f"{what}: {text!r}") for what, words in rules.items() if words.search(text))


def unsafe_strings(source: str) -> Iterator[Offence]:
    """What a Python module may say to people and must not."""
    for line, text in spoken_strings(ast.parse(source)):
        yield from _said_wrongly(line, text, rules=UNSAFE_SPEECH | ORDERS)


def unsafe_page(text: str) -> Iterator[Offence]:
    """The same for a page, a script or a manual, line by line."""
    for number, line in enumerate(text.splitlines(), 1):
        yield from _said_wrongly(number, line, rules=UNSAFE_SPEECH | ORDERS)


def test_the_repository_speaks_of_the_product_alone() -> None:
    """Nothing in it depends on, or names, the place where it was written."""
    here = Path(__file__)
    assert broken(misplaced_words, (path for path in text_files(*ENDINGS) if path != here)) == []


def test_no_text_of_the_program_calls_a_machine_safe_or_sends_people_into_it() -> None:
    """The program says stop, isolate and lock off; never that something is safe, nor how to clear a blockage."""
    rooms = [SERVICE / room for room in CAUTIOUS]
    pages = [path for path in text_files(".html", ".js", ".svg") if SERVICE in path.parents]
    assert broken(unsafe_strings, python_files(*rooms)) == []
    assert broken(unsafe_page, pages) == []


@pytest.mark.parametrize(
    "text",
    [
        "see /wo" + "rk/main/notes",
        "path = '/tm" + "p/x.db'",
        "pip install --index-url https://py" + "pi.org/simple",
        "# works around issue #" + "12",
        "fixed (#" + "345)",
        "as CONTR" + "ACT.md says",
    ],
)
def test_a_word_that_is_not_the_products_is_found(text: str) -> None:
    """Each kind of misplaced word is noticed."""
    assert len(list(misplaced_words(text))) == 1


@pytest.mark.parametrize(
    "text", ["colour: #345;", "path = 'var/tumpline.db'", "`/var/lib/tumpline/`", "issued 3 entries", "stop-1"]
)
def test_an_ordinary_word_is_left_alone(text: str) -> None:
    """Colours, the product's own paths and ordinary numbers are nobody's secret."""
    assert list(misplaced_words(text)) == []


@pytest.mark.parametrize(
    "text",
    [
        "The mill is now safe to open.",
        "You can safely reach the belt.",
        "Clear the blockage and carry on.",
        "Pull the jam out from below.",
        "Restart the mill.",
        "Start the pump again.",
        "All clear.",
    ],
)
def test_a_text_that_could_hurt_somebody_is_found(text: str) -> None:
    """Each kind of dangerous advice is noticed, in code and on a page."""
    assert list(unsafe_strings(f"CAUSE = {text!r}")) != []
    assert list(unsafe_page(f"<p>{text}</p>")) != []


@pytest.mark.parametrize(
    "text",
    [
        "Stop, isolate and lock off by the site's own procedure; release stored air; competent people only.",
        "The mill looks blocked: throughput fell from 4.1 to 0.2 t/h while fruit still came.",
        "This program is not a safety function.",
    ],
)
def test_a_careful_text_is_left_alone(text: str) -> None:
    """What the program should say, it may say."""
    assert list(unsafe_strings(f"CAUSE = {text!r}")) == []


def test_a_docstring_may_explain_what_is_never_said() -> None:
    """The rule is about what people at the line read, not about what programmers read."""
    assert list(unsafe_strings('def caution():\n    """Never say that it is safe to restart."""')) == []


def test_the_rooms_that_speak_exist() -> None:
    """A room renamed takes this rule along."""
    assert [room for room in CAUTIOUS if not (SERVICE / room).is_dir()] == []
    assert (ROOT / "README.md").exists()
