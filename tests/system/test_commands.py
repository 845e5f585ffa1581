"""The commands as people type them: each ends with a status, and what is wrong is a sentence."""

import json
import socket
import subprocess
from pathlib import Path

import pytest

from polling import wait_until
from programs import Running, free_port
from works import BIN, Neighbour, Works, settings, simulated, tumpline

pytestmark = pytest.mark.system


def sentences(errors: str) -> list[str]:
    """What was said to people: the lines of standard error that are no log."""
    return [line for line in errors.splitlines() if not line.startswith("{")]


@pytest.mark.parametrize("command", ["run", "check", "record"])
def test_mistakes_in_the_settings_are_named(tmp_path: Path, command: str) -> None:
    """Status 2, and a sentence for each mistake with file, key and what is accepted."""
    config = settings(tmp_path, 1883, more='[site]\nnam = "Hollow Lane"\nunits = "metrik"\n')
    output = ["-o", tmp_path / "tape.ndjson"] if command == "record" else []
    ended = tumpline(command, "--config", config, *output)
    assert ended.returncode == 2
    said = sentences(ended.stderr)
    assert len(said) == 2
    assert all(str(config) in sentence and sentence.startswith("tumpline: ") for sentence in said)
    assert any("site.nam" in sentence and "name" in sentence for sentence in said)
    assert any("site.units" in sentence and "imperial" in sentence for sentence in said)


def test_a_broker_that_is_not_there_ends_the_start(tmp_path: Path) -> None:
    """Status 4 and one sentence that says where nobody answered."""
    port = free_port()
    ended = tumpline("run", "--config", settings(tmp_path, port))
    assert ended.returncode == 4
    (sentence,) = sentences(ended.stderr)
    assert f"127.0.0.1:{port}" in sentence
    assert "Connection refused" in sentence


def test_a_page_that_cannot_be_served_ends_the_start(broker: Running, tmp_path: Path) -> None:
    """Another program on the page's port is an error in one sentence that names the port."""
    with socket.create_server(("127.0.0.1", 0)) as other:
        port = other.getsockname()[1]
        ended = tumpline("run", "--config", settings(tmp_path, broker.port, more=f"[page]\nport = {port}\n"))
    assert ended.returncode == 4
    (sentence,) = sentences(ended.stderr)
    assert f"127.0.0.1:{port}" in sentence


def test_a_store_has_one_service(broker: Running, tmp_path: Path) -> None:
    """A second service on the same store ends in one sentence; the first is not disturbed."""
    config = settings(tmp_path, broker.port)
    with Works(config) as works:
        wait_until(lambda: works.connections == 1)
        second = tumpline("run", "--config", config)
        assert works.stop() == 0
    assert second.returncode == 4
    (sentence,) = sentences(second.stderr)
    assert "in use by another tumpline" in sentence


def test_what_was_recorded_replays_to_what_was_summed_up(broker: Running, neighbour: Neighbour, tmp_path: Path) -> None:
    """A recording taken while the service ran gives exactly its summary, and so does the stored report."""
    _, config, messages = simulated(tmp_path, broker.port, hours=0.2)
    tape = tmp_path / "own.ndjson"
    recorder = subprocess.Popen([BIN / "tumpline", "record", "--config", config, "-o", tape], stderr=subprocess.PIPE)
    with Works(config) as works, recorder:
        wait_until(lambda: works.connections == 1)
        assert recorder.stderr is not None
        assert b"mqtt.connected" in recorder.stderr.readline()
        neighbour.publish(messages)
        wait_until(lambda: neighbour.documents("summary"))
        wait_until(lambda: len(tape.read_bytes().splitlines()) == len(messages))
        recorder.terminate()
        recorder.communicate(timeout=30)
        assert (works.stop(), recorder.returncode) == (0, 0)
    live = neighbour.documents("summary")[-1]
    assert json.loads(tumpline("replay", tape, "--config", config, "--json").stdout) == live
    assert json.loads(tumpline("report", "--config", config).stdout) == live


def test_events_and_alarms_are_published_once_each(broker: Running, neighbour: Neighbour, tmp_path: Path) -> None:
    """Every event on the bus has an id of its own, and is in the order of the line's time."""
    _, config, messages = simulated(tmp_path, broker.port, hours=0.3)
    with Works(config) as works:
        wait_until(lambda: works.connections == 1)
        neighbour.publish(messages)
        wait_until(lambda: neighbour.documents("summary"))
        assert works.stop() == 0
    events = neighbour.documents("event")
    kinds = {event["type"] for event in events}
    assert {"tumpline.shift.started", "tumpline.load.on", "tumpline.shift.ended"} <= kinds
    ids = [event["id"] for event in events]
    assert len(ids) == len(set(ids))


def test_the_demo_runs_a_shift_to_its_end(tmp_path: Path) -> None:
    """With nothing prepared, a simulated shift ends in a summary that agrees with what truly happened."""
    pytest.importorskip("iotcore", reason="the demo's broker is an extra")
    ended = tumpline(
        *("demo", "--once", "--json", "--hours", "0.2", "--speed", "200", "--port", str(free_port())), cwd=tmp_path
    )
    assert ended.returncode == 0, ended.stderr
    summary = json.loads(ended.stdout)
    (truth,) = (tmp_path / "var").glob("*truth.json")
    assert str(truth.relative_to(tmp_path)) in ended.stderr
    truly = json.loads(truth.read_text())
    assert summary["fruit_kg"]["low"] <= truly["fruit_kg"] <= summary["fruit_kg"]["high"]
