"""The command `tumpline-sim`."""

import json
import tomllib
from pathlib import Path

import pytest

from mosquitto import mosquitto
from programs import free_port
from tumpline_sim.cli import main


def test_record_writes_the_shift_and_its_truth(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A recording and the truth land in their files, a sentence on standard error says so, standard output is empty."""
    tape, truth = tmp_path / "shift.ndjson.gz", tmp_path / "truth.json"
    status = main(["record", "-o", str(tape), "--hours", "0.1", "--truth", str(truth), "--faults", "random"])
    said = capsys.readouterr()
    assert status == 0
    assert json.loads(truth.read_text())["fruit_kg"] > 0.0
    assert tape.stat().st_size > 1000
    assert said.out == ""
    assert "wrote" in said.err


def test_recordings_of_one_seed_are_the_same(tmp_path: Path) -> None:
    """Without a start, a recording begins at the same morning every time."""
    paths = [tmp_path / name for name in ("a.zst", "b.zst")]
    for path in paths:
        assert main(["record", "-o", str(path), "--hours", "0.1", "--seed", "7"]) == 0
    assert paths[0].read_bytes() == paths[1].read_bytes()


@pytest.mark.system
def test_publish_ends_well(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A shift published with every signal ends with status 0 and says that all was confirmed."""
    with mosquitto(tmp_path) as broker:
        arguments = ["publish", "--port", str(broker.port), "--speed", "2000", "--hours", "0.1", "--signals", "all"]
        assert main(arguments) == 0
    assert "all confirmed" in capsys.readouterr().err


def test_publish_without_a_broker(capsys: pytest.CaptureFixture[str]) -> None:
    """One sentence and status 4 where no broker answers."""
    assert main(["publish", "--port", str(free_port())]) == 4
    said = capsys.readouterr().err
    assert said.count("\n") == 1 and "no broker answers" in said and "--host" in said


@pytest.mark.parametrize(
    ("arguments", "why"),
    [
        (["--faults", "flood@1"], "'flood' is not a fault"),
        (["--signals", "juice/colour"], "'juice/colour' is not one"),
        (["--start", "yesterday"], "is not a time with its offset"),
        (["--start", "2026-10-14T06:00:00"], "is not a time with its offset"),
        (["--hours", "0"], "is not a number above 0"),
        (["--hours", "nan"], "is not a number above 0"),
        (["--root", "a/#"], "cannot be part of a topic"),
    ],
)
def test_bad_arguments(arguments: list[str], why: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A bad argument is explained, with status 2 and without a recording."""
    tape = tmp_path / "shift"
    try:
        status: object = main(["record", "-o", str(tape), *arguments])
    except SystemExit as left:
        status = left.code
    assert status == 2
    assert why in capsys.readouterr().err
    assert not tape.exists()


def test_a_file_that_cannot_be_written(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The file and the reason are named, with status 2."""
    assert main(["record", "-o", str(tmp_path / "none" / "shift")]) == 2
    assert "cannot write" in capsys.readouterr().err


def test_settings_are_toml(capsys: pytest.CaptureFixture[str]) -> None:
    """The settings printed are those of the line asked for."""
    assert main(["settings", "--line", "west", "--port", "18830"]) == 0
    told = tomllib.loads(capsys.readouterr().out)
    assert told["line"][0]["id"] == "west"
    assert told["broker"]["port"] == 18830


def test_help_names_the_faults(capsys: pytest.CaptureFixture[str]) -> None:
    """Help tells which faults and signals there are."""
    with pytest.raises(SystemExit, match="0"):
        main(["publish", "--help"])
    told = capsys.readouterr().out
    assert "blocked" in told and "juice/brix" in told and "--truth" in told
