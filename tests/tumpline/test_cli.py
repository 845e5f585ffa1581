"""The command `tumpline`."""

import json
import subprocess
import sys
from datetime import UTC, datetime
from pathlib import Path

import pytest

from programs import free_port
from settings_files import written
from stored_shifts import stored
from tapes import lines, short_shift, write
from tumpline.app import offline
from tumpline.cli import main


@pytest.fixture(name="config")
def _config(tmp_path: Path) -> str:
    """Settings of a line whose broker nobody has started."""
    head = f'[broker]\nport = {free_port()}\nconnect_timeout = "100 ms"\n[store]\npath = "{tmp_path / "works.db"}"'
    return str(written(tmp_path, head=head))


@pytest.fixture(name="tape")
def _tape(tmp_path: Path) -> str:
    """A recorded shift."""
    return str(write(tmp_path / "shift.ndjson", lines(short_shift())))


def ending(*arguments: str) -> object:
    """The exit status of the command."""
    try:
        return main(arguments)
    except SystemExit as left:
        return left.code


def test_check_tells_the_settings(config: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Good settings end with status 0 and a list on standard output."""
    assert ending("check", "--config", config) == 0
    assert "mill/throughput" in capsys.readouterr().out


def test_replay_with_json_prints_one_document_and_nothing_else(
    config: str, tape: str, capsys: pytest.CaptureFixture[str]
) -> None:
    """A program can read standard output, whatever is said about broken lines meanwhile."""
    with Path(tape).open("a") as more:
        more.write("{\n")
    assert ending("replay", tape, "--config", config, "--json") == 0
    said = capsys.readouterr()
    assert json.loads(said.out)["schema"] == "tumpline.summary/1"
    assert said.out.count("\n") == 1
    assert "the line is not JSON" in said.err


def test_replay_prints_a_page_for_people(config: str, tape: str, capsys: pytest.CaptureFixture[str]) -> None:
    """Without --json there are words."""
    assert ending("replay", tape, "--config", config) == 0
    assert capsys.readouterr().out.startswith("line-1, shift early\n")


@pytest.mark.parametrize(
    "arguments",
    [
        [],
        ["press"],
        ["replay", "shift.ndjson"],
        ["demo", "--speed", "0"],
        ["demo", "--speed", "fast"],
        ["demo", "--port", "99999"],
        ["report", "--shift", "early", "--season", "2026"],
        ["report", "--format", "odt"],
        ["demo-season", "--shifts", "0"],
        ["export"],
        ["import", "pomace", "table.csv", "--config", "none.toml"],
        ["trace", "--vat", "V1", "--load", "L-7"],
        ["check", "--config", "none.toml"],
    ],
)
def test_bad_arguments_are_status_2(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> None:
    """What cannot be meant is refused in words, with nothing on standard output."""
    assert ending(*arguments) == 2
    said = capsys.readouterr()
    assert said.out == "" and said.err != ""
    assert "Traceback" not in said.err


@pytest.mark.parametrize(
    "arguments",
    [
        ["replay", "none.ndjson", "--config", "CONFIG"],
        ["replay", "CONFIG", "--config", "CONFIG"],
        ["replay", "CONFIG", "--config", "CONFIG", "--strict"],
        ["report", "--store", "none.db"],
        ["report", "--store", "CONFIG"],
        ["export", "loads", "--store", "none.db"],
        ["export", "--parquet", "out", "--store", "CONFIG"],
        ["import", "loads", "CONFIG", "--config", "CONFIG"],
        ["trace", "--vat", "V1", "--store", "none.db"],
    ],
)
def test_unusable_data_is_status_3(arguments: list[str], config: str, capsys: pytest.CaptureFixture[str]) -> None:
    """A recording or a store that is none is refused in words, with nothing on standard output."""
    assert ending(*(config if argument == "CONFIG" else argument for argument in arguments)) == 3
    said = capsys.readouterr()
    assert said.out == ""
    assert all(line.startswith("tumpline: ") and line.endswith(".") for line in said.err.splitlines())


@pytest.mark.parametrize("command", ["run", "record"])
def test_a_broker_out_of_reach_is_status_4(
    command: str, config: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """At the start an unreachable broker ends the command, saying where it was looked for."""
    output = ["-o", str(tmp_path / "new.ndjson")] if command == "record" else []
    assert ending(command, "--config", config, *output) == 4
    said = capsys.readouterr()
    assert said.out == ""
    assert "tumpline: The broker at 127.0.0.1:" in said.err and "Traceback" not in said.err


def test_a_fault_of_its_own_is_status_1_and_a_sentence(
    config: str, tape: str, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    """A bug reaches people as a sentence that says how to learn more."""

    def fail(*_: object, **__: object) -> str:
        raise KeyError("press")

    monkeypatch.setattr(offline, "replay_summary", fail)
    assert ending("replay", tape, "--config", config) == 1
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith("tumpline: A fault of the program itself: KeyError: ")
    assert "--verbose" in said.err and "Traceback" not in said.err


def test_a_report_goes_into_its_file(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """A file that cannot be written is status 2 with its name; standard output stays empty."""
    store = stored(tmp_path / "works.db", early=datetime(2026, 10, 14, 7, tzinfo=UTC))
    place = tmp_path / "none" / "report.csv"
    arguments = ["report", "--store", str(store), "--format", "csv", "-o", str(place)]
    assert ending(*arguments) == 2
    assert f"{place} cannot be written" in capsys.readouterr().err
    place.parent.mkdir()
    assert ending(*arguments) == 0
    assert place.read_text().splitlines()[1].startswith("line-1,early,2026-10-14T07:00:00")
    assert capsys.readouterr().out == ""


def test_a_trace_is_a_page_or_one_document(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """For people in words, for programs as JSON and nothing else."""
    store = str(stored(tmp_path / "works.db", early=datetime(2026, 10, 14, 7, tzinfo=UTC)))
    assert ending("trace", "--load", "L-7", "--store", store) == 0
    assert capsys.readouterr().out.startswith("load L-7, in the shifts of 2026-10-14")
    assert ending("trace", "--load", "L-7", "--store", store, "--json") == 0
    assert json.loads(capsys.readouterr().out)["of"] == {"load": "L-7"}


def test_a_rejected_row_is_status_3_and_its_place_is_said(
    config: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The sentences name line and column, and with JSON the document has them too."""
    table = tmp_path / "loads.csv"
    table.write_text("load,grower,net_kg,varieties,by\nL-1,Long Acre,0,Acre Russet,office\n")
    assert ending("import", "loads", str(table), "--config", config, "--json") == 3
    said = capsys.readouterr()
    (rejected,) = json.loads(said.out)["rejected"]
    assert (rejected["line"], rejected["column"], rejected["value"]) == (2, "net_kg", "0")
    assert f"tumpline: {table}, line 2, column net_kg: " in said.err


def test_a_reader_who_has_seen_enough_is_no_error(config: str) -> None:
    """Output into a pipe that is closed early ends the command quietly."""
    command = [sys.executable, "-m", "tumpline", "check", "--config", config]
    with subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.PIPE) as process:
        assert process.stdout is not None and process.stderr is not None
        process.stdout.close()
        assert process.stderr.read() == b""
    assert process.returncode == 0
