"""A recording made from a real broker."""

import asyncio
import os
import signal
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager
from pathlib import Path

import pytest

from mosquitto import mosquitto
from polling import until
from programs import Running, free_port
from settings_files import good
from tumpline.app.errors import CommandError, Status
from tumpline.app.record import record
from tumpline.runtime.clock import Clock
from tumpline.settings import Settings
from tumpline.wire.recordings import Broken, Message, parse_line, read_lines
from works import Neighbour

JUICE = "tumpline/line-1/signal/juice/flow"
NOTE = "tumpline/line-1/book/note"


@pytest.fixture(name="broker")
def _broker(tmp_path: Path) -> Iterator[Running]:
    with mosquitto(tmp_path) as broker:
        yield broker


@pytest.fixture(name="neighbour")
def _neighbour(broker: Running) -> Iterator[Neighbour]:
    with Neighbour(broker.port) as neighbour:
        yield neighbour


def settings(folder: Path, port: int) -> Settings:
    """Settings with a broker on that port."""
    return good(folder, head=f'[broker]\nport = {port}\nconnect_timeout = "200 ms"')


class Tape:
    """What is known of a recording while it is made."""

    def __init__(self) -> None:
        self.progress: list[int] = []
        self.count = 0


@asynccontextmanager
async def recording(given: Settings, path: Path) -> AsyncIterator[Tape]:
    """The command at work from its first look at what was heard; at the end it is told to stop, as people do."""
    tape = Tape()

    async def work() -> None:
        tape.count = await record(given, path, clock=Clock(), progress=tape.progress.append)

    async with asyncio.TaskGroup() as group:
        task = group.create_task(work())
        await until(lambda: tape.progress or task.done())
        yield tape
        if not task.done():
            os.kill(os.getpid(), signal.SIGTERM)


def messages(path: Path) -> list[Message]:
    """What a replay would read."""
    read = [parse_line(line) for line in read_lines(path)]
    assert not any(isinstance(message, Broken) for message in read)
    return [message for message in read if isinstance(message, Message)]


@pytest.mark.system
@pytest.mark.asyncio
@pytest.mark.parametrize("ending", ["", ".gz", ".zst"])
async def test_what_the_line_says_is_in_the_recording(
    broker: Running, neighbour: Neighbour, tmp_path: Path, ending: str
) -> None:
    """Readings and entries are written in their order, whole when the command ends, compressed by the file's name."""
    path = tmp_path / f"shift.ndjson{ending}"
    said = [(JUICE, "1.5"), (NOTE, '{"text": "fog"}'), (JUICE, "äpple")]
    async with recording(settings(tmp_path, broker.port), path) as tape:
        neighbour.publish(said)
        await until(lambda: tape.progress[-1] == 3)
    assert [(m.topic, m.payload.decode()) for m in messages(path)] == said
    assert tape.count == 3


@pytest.mark.system
@pytest.mark.asyncio
async def test_what_the_broker_had_kept_and_what_we_publish_are_left_out(
    broker: Running, neighbour: Neighbour, tmp_path: Path
) -> None:
    """A retained message of unknown age and the program's own documents are no readings of this shift."""
    path = tmp_path / "shift.ndjson"
    neighbour.retain(JUICE, "9.5")
    async with recording(settings(tmp_path, broker.port), path) as tape:
        neighbour.publish([("tumpline/line-1/event", "{}"), ("tumpline/line-2/signal/juice/flow", "2"), (JUICE, "1.5")])
        await until(lambda: tape.progress[-1] == 1)
    assert [message.payload for message in messages(path)] == [b"1.5"]


@pytest.mark.asyncio
async def test_a_broker_out_of_reach_is_said(tmp_path: Path) -> None:
    """The sentence names the broker and the status is that of a service that cannot be reached."""
    port = free_port()
    with pytest.raises(CommandError, match=f"^The broker at 127.0.0.1:{port} cannot be reached: ") as error:
        await record(settings(tmp_path, port), tmp_path / "a.ndjson", clock=Clock(), progress=lambda count: None)
    assert error.value.status is Status.UNREACHABLE


@pytest.mark.asyncio
async def test_a_file_that_cannot_be_written_is_said(tmp_path: Path) -> None:
    """The sentence names the file, before anybody has been listened to."""
    path = tmp_path / "none" / "shift.ndjson"
    with pytest.raises(CommandError, match=rf"^{path} cannot be written \(No such file or directory\)\.$") as error:
        await record(settings(tmp_path, free_port()), path, clock=Clock(), progress=lambda count: None)
    assert error.value.status is Status.BAD_SETTINGS
