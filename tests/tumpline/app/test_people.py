"""Who may log in, by command."""

import io
import sys
from pathlib import Path

import pytest

from tumpline import cli

SETTINGS = """
[page]
{people}
[[line]]
id = "line-1"
rated_throughput = "4 t/h"
[[line.signal]]
name = "mill/throughput"
unit = "t/h"
[[line.signal]]
name = "juice/flow"
unit = "L/min"
"""


@pytest.fixture(name="config")
def _config(tmp_path: Path) -> Path:
    path = tmp_path / "tumpline.toml"
    path.write_text(SETTINGS.format(people=f'people_file = "{tmp_path / "people.json"}"'))
    return path


def person(monkeypatch: pytest.MonkeyPatch, config: Path, *words: str, typed: str = "three dry pomaces\n") -> int:
    """Run the command with something typed into it."""
    monkeypatch.setattr(sys, "stdin", io.StringIO(typed))
    return cli.main(["person", "--config", str(config), *words])


def test_the_first_person_is_one_command(
    config: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """Added, listed, given another role, taken out."""
    assert person(monkeypatch, config, "add", "Ada", "--role", "manage") == 0
    assert person(monkeypatch, config, "add", "Bo") == 0
    assert person(monkeypatch, config, "add", "ada", "--role", "look") == 0
    assert person(monkeypatch, config, "list") == 0
    assert capsys.readouterr().out == "Bo: operate\nada: look\n"
    assert person(monkeypatch, config, "remove", "Ada") == 0
    assert person(monkeypatch, config, "list") == 0
    assert capsys.readouterr().out == "Bo: operate\n"


@pytest.mark.parametrize(
    ("words", "typed", "said"),
    [
        (("add", "Ada"), "short\n", "from 10 to 200 are accepted"),
        (("add", " Ada\n"), "three dry pomaces\n", "cannot be a name"),
        (("remove", "Cy"), "", "has nobody named Cy"),
    ],
)
def test_mistakes_are_sentences(
    config: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    words: tuple[str, ...],
    typed: str,
    said: str,
) -> None:
    """What is wrong, what is accepted, and exit status 2."""
    assert person(monkeypatch, config, *words, typed=typed) == 2
    assert said in capsys.readouterr().err


def test_settings_that_name_no_file_are_said_so(
    config: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """With the line that is missing."""
    config.write_text(SETTINGS.format(people=""))
    assert person(monkeypatch, config, "list") == 2
    assert "[page] names no people_file" in capsys.readouterr().err


def test_a_file_that_is_none_of_ours_is_said_so(
    config: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """It is left as it is."""
    (config.parent / "people.json").write_text("{}")
    assert person(monkeypatch, config, "list") == 2
    assert person(monkeypatch, config, "add", "Ada") == 2
    assert "cannot be read" in capsys.readouterr().err
    assert (config.parent / "people.json").read_text() == "{}"
