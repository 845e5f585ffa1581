"""The service as a whole, at a real broker where it needs one."""

import asyncio
import socket
import urllib.request
from collections.abc import AsyncIterator, Iterator
from contextlib import asynccontextmanager, closing
from pathlib import Path

import pytest

from mosquitto import mosquitto
from polling import until
from press_stories import inside
from programs import Running, free_port, listens
from settings_files import good
from tapes import lines, short_shift
from tumpline.adapters.sqlite import SqliteStore
from tumpline.app.errors import CommandError, Status
from tumpline.app.service import Service
from tumpline.runtime.clock import ScaledClock
from tumpline.settings import Settings
from tumpline.wire.recordings import Message, parse_line
from works import Neighbour

NAME = "line-1"


@pytest.fixture(name="broker")
def _broker(tmp_path: Path) -> Iterator[Running]:
    with mosquitto(tmp_path) as broker:
        yield broker


@pytest.fixture(name="neighbour")
def _neighbour(broker: Running) -> Iterator[Neighbour]:
    with Neighbour(broker.port) as neighbour:
        yield neighbour


def settings(folder: Path, port: int, *, more: str = "") -> Settings:
    """Settings with a broker on that port and a store of the test's own."""
    head = f'[broker]\nport = {port}\nconnect_timeout = "200 ms"\n[store]\npath = "{folder / "works.db"}"\n{more}'
    return good(folder, head=head)


def service(given: Settings) -> Service:
    """A service whose clock shows the end of the recorded shift."""
    return Service(given, clock=ScaledClock(start=short_shift().now, speed=1.0))


@asynccontextmanager
async def running(made: Service) -> AsyncIterator[None]:
    """A service at work, once messages can come, for as long as the block lasts; then it ends in order."""
    ready = asyncio.Event()

    async def say() -> None:
        ready.set()

    async with asyncio.TaskGroup() as group:
        task = group.create_task(made.run({"ready": say}))
        await until(lambda: ready.is_set() or task.done())
        yield
        made.stop()


def published() -> list[tuple[str, str]]:
    """The messages of a short shift."""
    found = [parse_line(line.encode()) for line in lines(short_shift())]
    return [(message.topic, message.payload.decode()) for message in found if isinstance(message, Message)]


async def refusal(made: Service) -> CommandError:
    """Why the service does not start."""
    with pytest.raises(CommandError) as error:
        await made.run()
    return error.value


@pytest.mark.system
@pytest.mark.asyncio
async def test_a_shift_is_summed_up_and_is_there_after_a_restart(
    broker: Running, neighbour: Neighbour, tmp_path: Path
) -> None:
    """What was published comes out as a summary that holds the truth, and the next start shows it at once."""
    given, story = settings(tmp_path, broker.port), short_shift()
    first = service(given)
    async with running(first):
        await asyncio.to_thread(neighbour.publish, published())
        await until(lambda: neighbour.documents("summary"))
    summary = first.board.line(NAME).summary
    assert summary is not None
    assert inside(sum(story.milled.values()), summary.fruit)
    second = service(given)
    async with running(second):
        assert second.board.line(NAME).summary == summary


@pytest.mark.system
@pytest.mark.asyncio
async def test_the_page_is_there_while_the_service_runs(broker: Running, tmp_path: Path) -> None:
    """It opens on the port of the settings, and goes with the service."""
    port = free_port()
    made = service(settings(tmp_path, broker.port, more=f"[page]\nport = {port}"))
    async with running(made):
        assert made.page == f"http://127.0.0.1:{port}/"
        assert "Cider works" in await asyncio.to_thread(_fetch, made.page)
    assert not listens(port)


@pytest.mark.asyncio
async def test_a_taken_port_of_the_page_is_said(tmp_path: Path) -> None:
    """The sentence names the place, and the setting to change."""
    with socket.socket() as owner:
        owner.bind(("127.0.0.1", 0))
        owner.listen()
        port = owner.getsockname()[1]
        error = await refusal(service(settings(tmp_path, free_port(), more=f"[page]\nport = {port}")))
    assert error.status is Status.UNREACHABLE
    assert f"cannot be served on 127.0.0.1:{port}" in str(error) and "page.port" in str(error)


@pytest.mark.asyncio
async def test_a_broker_out_of_reach_is_said_and_how_long_it_was_tried(tmp_path: Path) -> None:
    """At the start, patience has the end that the settings give it."""
    port = free_port()
    error = await refusal(service(settings(tmp_path, port)))
    assert error.status is Status.UNREACHABLE
    assert str(error).startswith(f"The broker at 127.0.0.1:{port} cannot be reached: ")
    assert str(error).endswith("Tried for 0.2 s; start the broker, or set broker.host and broker.port.")


@pytest.mark.asyncio
async def test_a_store_in_use_is_said(tmp_path: Path) -> None:
    """A second service on the same store does not start."""
    with closing(SqliteStore(tmp_path / "works.db")):
        error = await refusal(service(settings(tmp_path, free_port())))
    assert error.status is Status.UNREACHABLE
    assert "works.db is in use by another tumpline" in str(error)


@pytest.mark.asyncio
async def test_certificates_that_cannot_be_read_are_a_matter_of_the_settings(tmp_path: Path) -> None:
    """No retry mends a file that holds no certificates."""
    certificates = tmp_path / "ca.crt"
    certificates.write_text("apples")
    given = settings(tmp_path, free_port(), more=f'[broker.tls]\nca_file = "{certificates}"')
    error = await refusal(service(given))
    assert error.status is Status.BAD_SETTINGS
    assert str(certificates) in str(error)


def _fetch(url: str) -> str:
    with urllib.request.urlopen(url, timeout=30) as answer:
        return str(answer.read().decode())
