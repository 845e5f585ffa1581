"""The command `tumpline-sim score`."""

import json

import pytest

from tumpline_score.cli import main

SHORT = ["score", "--shifts", "1", "--jobs", "1", "--seed", "50"]


def test_tables_or_json(capsys: pytest.CaptureFixture[str]) -> None:
    """Tables for people, or one JSON document with the same counts and nothing else on standard output."""
    assert main([*SHORT, "--each"]) == 0
    said = capsys.readouterr().out
    assert said.startswith("1 shifts, ") and "load juice in vat" in said and "Shift by shift" in said
    assert main([*SHORT, "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert (told["schema"], told["shifts"], told["seed"]) == ("tumpline-score/1", 1, 50)


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (["--shifts", "0"], "0 is not a whole number above 0"),
        (["--only", "sump,wet"], "'wet' says nothing of a shift; one of all, auto"),
        (["--conditions", "odd"], "invalid choice: 'odd'"),
    ],
)
def test_bad_arguments(arguments: list[str], why: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A bad argument is explained, with status 2."""
    with pytest.raises(SystemExit, match="2"):
        main(["score", *arguments])
    assert why in capsys.readouterr().err


def test_the_simulated_lines_own_verbs_are_there(capsys: pytest.CaptureFixture[str]) -> None:
    """One command has them all."""
    with pytest.raises(SystemExit, match="0"):
        main(["--help"])
    said = capsys.readouterr().out
    assert all(verb in said for verb in ("publish", "record", "settings", "score"))
