"""A line watched in a terminal, as a person does it: a real broker, a real terminal, the command itself."""

import signal
import subprocess
from collections.abc import Iterator
from datetime import UTC, datetime
from pathlib import Path
from typing import Any

import pytest
from msgspec.structs import replace

from mosquitto import mosquitto
from polling import wait_until
from programs import Running, free_port
from records import LIVE
from terminal import Terminal
from tumpline.pressing.records import Condition
from tumpline.wire.documents import encode, live_document
from works import BIN, Neighbour, settings, tumpline

pytestmark = pytest.mark.system

SITE = '[site]\nname = "Hollow Lane Cider Works"\ntimezone = "Europe/London"\n'


@pytest.fixture(name="broker")
def _broker(tmp_path: Path) -> Iterator[Running]:
    with mosquitto(tmp_path) as broker:
        yield broker


@pytest.fixture(name="neighbour")
def _neighbour(broker: Running) -> Iterator[Neighbour]:
    with Neighbour(broker.port) as neighbour:
        yield neighbour


@pytest.fixture(name="config")
def _config(broker: Running, tmp_path: Path) -> Path:
    return settings(tmp_path, broker.port, more=SITE, lines=("line-1", "line-2"))


def say(neighbour: Neighbour, line: str = "line-1", **changes: Any) -> None:
    """Publish a live document as the service does: of now, and kept by the broker."""
    now = datetime.now(UTC).timestamp()
    signals = tuple(replace(signal, at=now) for signal in LIVE.signals)
    live = replace(LIVE, **{"line": line, "at": now, "since": now - 90.0, "signals": signals, **changes})
    neighbour.retain(f"tumpline/{line}/live", encode(live_document(live)).decode())


def command(config: Path, *more: str) -> list[str | Path]:
    """The command as it is typed."""
    return [BIN / "tumpline", "watch", "--config", config, *more]


def test_a_line_in_a_terminal(config: Path, neighbour: Neighbour) -> None:
    """What the broker had kept is there at once, what changes follows, and q gives the terminal back."""
    say(neighbour)
    with Terminal() as terminal:
        terminal.run(command(config))
        terminal.shows(">>  PRESSING  1 min")
        terminal.shows("Fruit in           4.05 t/h")
        terminal.shows("Mill blocked")
        say(neighbour, condition=Condition.BLOCKED, why="the mill takes nothing")
        terminal.shows("XX  BLOCKED")
        assert not any("PRESSING" in row for row in terminal.screen())
        terminal.press("q")
        assert terminal.ended() == 0
        assert terminal.read().endswith("\x1b[?25h\x1b[?1049l")


def test_all_lines_of_the_settings(config: Path, neighbour: Neighbour) -> None:
    """Beside the first line the others have a row, and n shows the next one."""
    say(neighbour)
    say(neighbour, line="line-2", condition=Condition.WASHING, alarms=())
    with Terminal() as terminal:
        terminal.run(command(config))
        terminal.shows(">>  PRESSING")
        terminal.shows("line-2: washing")
        terminal.press("n")
        terminal.shows("~~  WASHING")
        terminal.shows("line-1: pressing")
        terminal.press("n")
        terminal.shows(">>  PRESSING")


def test_a_service_that_ends_is_no_data(config: Path, neighbour: Neighbour) -> None:
    """When the service leaves, the whole band says so, and when it is back the line is."""
    say(neighbour)
    with Terminal() as terminal:
        terminal.run(command(config))
        terminal.shows("PRESSING")
        neighbour.retain("tumpline/line-1/service", "offline")
        terminal.shows("The service is not running.")
        terminal.shows("4.05 t/h        old")
        neighbour.retain("tumpline/line-1/service", "online")
        terminal.shows("PRESSING")


def test_what_the_broker_kept_from_yesterday_is_old(config: Path, neighbour: Neighbour) -> None:
    """A kept document counts from the time it tells, not from its arrival."""
    say(neighbour, at=datetime.now(UTC).timestamp() - 86_400.0)
    with Terminal() as terminal:
        terminal.run(command(config))
        terminal.shows("!!  NO DATA  1 d")
        terminal.shows("The line is silent.")


def test_a_document_that_cannot_be_read_is_said(config: Path, neighbour: Neighbour) -> None:
    """Nonsense on the topic is a sentence on the screen, and the next good document ends it."""
    neighbour.retain("tumpline/line-1/live", "nonsense")
    with Terminal() as terminal:
        terminal.run(command(config))
        terminal.shows("The live document cannot be read")
        say(neighbour)
        terminal.shows("PRESSING")


def test_a_broker_that_goes_is_no_data_until_it_is_back(config: Path, broker: Running, neighbour: Neighbour) -> None:
    """Without a broker the band says that it cannot be reached, and nobody has to start anything again."""
    say(neighbour)
    with Terminal() as terminal:
        terminal.run(command(config))
        terminal.shows("PRESSING")
        broker.stop()
        terminal.shows("NO DATA")
        assert any(f"127.0.0.1:{broker.port}" in row for row in terminal.screen())
        broker.start()
        with Neighbour(broker.port) as again:
            say(again)
        terminal.shows("PRESSING")


def test_nothing_is_published(config: Path, neighbour: Neighbour) -> None:
    """Whoever watches leaves no trace at the broker."""
    say(neighbour)
    wait_until(lambda: len(neighbour.heard) == 1)
    with Terminal() as terminal:
        terminal.run(command(config))
        terminal.shows("PRESSING")
        terminal.press("q")
        assert terminal.ended() == 0
    neighbour.publish([("tumpline/end", "")])
    wait_until(lambda: neighbour.last("tumpline/end") is not None)
    assert [topic for topic, _ in neighbour.heard] == ["tumpline/line-1/live", "tumpline/end"]


def test_two_may_watch_the_same_line(config: Path, neighbour: Neighbour) -> None:
    """A second watcher does not push the first one out."""
    say(neighbour)
    with Terminal() as first, Terminal() as second:
        first.run(command(config))
        first.shows("PRESSING")
        second.run(command(config))
        second.shows("PRESSING")
        say(neighbour, condition=Condition.WASHING)
        first.shows("WASHING")
        second.shows("WASHING")


@pytest.mark.parametrize("kind", ["xterm", "dumb"])
def test_sentences_instead_of_a_screen(config: Path, neighbour: Neighbour, kind: str) -> None:
    """With --plain, and in a terminal that cannot draw, every change is a line without an order to the terminal."""
    say(neighbour, alarms=())
    with Terminal(columns=200) as terminal:
        terminal.run(command(config, *(["--plain"] if kind == "xterm" else [])), kind=kind)
        wait_until(lambda: "line-1 Figures: fruit in 4.05 t/h" in terminal.read())
        say(neighbour, alarms=(), condition=Condition.STOPPED, why="no fruit goes in")
        wait_until(lambda: "line-1 Stopped. No fruit goes in." in terminal.read())
        assert b"\x1b[" not in terminal.raw


def test_sentences_go_through_a_pipe_until_it_is_told_to_stop(config: Path, neighbour: Neighbour) -> None:
    """Into a pipe each line comes as soon as it is told; SIGTERM ends it in order."""
    say(neighbour, line="line-2")
    arguments = command(config, "--line", "line-2")
    with subprocess.Popen(arguments, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True) as process:
        assert process.stdout is not None
        assert "line-2 Pressing." in process.stdout.readline()
        process.send_signal(signal.SIGTERM)
        process.stdout.read()
        assert process.wait(timeout=30) == 0


def test_a_line_that_is_not_there(config: Path) -> None:
    """Status 2, and the lines there are."""
    ended = tumpline("watch", "--config", config, "--line", "line-3")
    assert ended.returncode == 2
    assert '--line: there is no line "line-3" in the settings; line-1 or line-2 is accepted.' in ended.stderr


def test_a_broker_that_is_not_there(tmp_path: Path) -> None:
    """Status 4, and where nobody answered."""
    port = free_port()
    ended = tumpline("watch", "--config", settings(tmp_path, port))
    assert ended.returncode == 4
    assert f"127.0.0.1:{port}" in ended.stderr
