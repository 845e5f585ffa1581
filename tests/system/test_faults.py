"""After a bug of our own the service ends, comes back, and is not stopped for ever by one message."""

import asyncio
import sqlite3
from pathlib import Path

import pytest

from polling import until
from programs import Running
from tumpline.app.errors import CommandError, Status
from tumpline.app.service import Service
from tumpline.pressing.effects import Effect
from tumpline.pressing.events import Event, ReadingTaken
from tumpline.pressing.line import PressLine
from tumpline.runtime.clock import Clock
from tumpline.settings import load
from works import Neighbour, settings

pytestmark = [pytest.mark.system, pytest.mark.asyncio]

PRESSURE = "tumpline/line-1/signal/press/pressure"


@pytest.fixture(name="service")
def _service(monkeypatch: pytest.MonkeyPatch, broker: Running, tmp_path: Path) -> Path:
    """Settings of a service whose line has a bug: it breaks at 6.66 bar."""
    handle = PressLine.handle

    def buggy(line: PressLine, event: Event) -> list[Effect]:
        if isinstance(event, ReadingTaken) and event.value == pytest.approx(6.66e5):
            raise ZeroDivisionError("pressure")
        return handle(line, event)

    monkeypatch.setattr(PressLine, "handle", buggy)
    return settings(tmp_path, broker.port)


async def test_a_message_that_breaks_the_line_is_set_aside_at_last(
    service: Path, neighbour: Neighbour, tmp_path: Path
) -> None:
    """Three times it ends the service, each time with a sentence and the line offline; then it is kept aside."""
    said = []
    for start in range(3):
        running = asyncio.create_task(Service(load(service), clock=Clock()).run())
        if start == 0:
            await until(lambda: neighbour.last("tumpline/line-1/service") == b"online")
            await asyncio.to_thread(neighbour.publish, [(PRESSURE, "1.5"), (PRESSURE, "6.66"), (PRESSURE, "2.5")])
        with pytest.raises(CommandError) as failure:
            await running
        assert failure.value.status is Status.OWN_FAULT
        said.append(str(failure.value))
        await until(lambda: neighbour.last("tumpline/line-1/service") == b"offline")
    assert all("could not be worked through: ZeroDivisionError: pressure." in sentence for sentence in said)
    assert ["set aside" in sentence for sentence in said] == [False, False, True]

    going_on = Service(load(service), clock=Clock())
    running = asyncio.create_task(going_on.run())
    await until(lambda: neighbour.last("tumpline/line-1/service") == b"online")
    going_on.stop()
    await running
    with sqlite3.connect(tmp_path / "tumpline.db") as store:
        assert store.execute("SELECT payload FROM set_aside").fetchall() == [(b"6.66",)]
        kept = store.execute("SELECT value FROM reading ORDER BY at").fetchall()
    store.close()
    assert kept == [(pytest.approx(1.5e5),), (pytest.approx(2.5e5),)]
