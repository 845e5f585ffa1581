"""Writes down what the broker says, as a recording that `replay` reads."""

import asyncio
from collections.abc import Callable, Sequence
from contextlib import closing
from pathlib import Path
from typing import BinaryIO

from tumpline.adapters.mqtt import MqttLink
from tumpline.app.connections import account, first_connections, subscriptions
from tumpline.app.errors import CommandError, Status
from tumpline.runtime.clock import Clock
from tumpline.runtime.ports import Arrival
from tumpline.runtime.supervise import Supervisor
from tumpline.settings import Settings
from tumpline.wire.recordings import Message, create_recording, format_line
from tumpline.wire.topics import Topics

_WRITTEN_EVERY = 0.2


class _Pen:
    """Hears a connection and keeps what it brings until it is written."""

    def __init__(self) -> None:
        self.heard: list[Arrival] = []

    def receive(self, arrival: Arrival) -> None:
        """A message came."""
        self.heard.append(arrival)

    def opened(self, line: str, *, resumed: bool) -> None:
        """What is not written yet was still heard."""

    def subscribed(self, line: str) -> None:
        """Nothing has to be told."""

    def confirmed(self, line: str, number: int) -> None:
        """Nothing is published."""


async def record(settings: Settings, path: Path, *, clock: Clock, progress: Callable[[int], None]) -> int:
    """
    Record all lines' messages until SIGTERM or SIGINT; how many there were.

    Raises CommandError where the broker or the file cannot be had.
    """
    pen = _Pen()
    topics = Topics(settings.broker.root)
    links = [
        MqttLink(
            line=line.id,
            account=account(settings),
            client_id=f"{settings.broker.client_id}-{line.id}-recorder",
            topics=subscriptions(line, topics),
            ears=pen,
            clock=clock,
            session=0,
        )
        for line in settings.lines
    ]
    try:
        with closing(create_recording(path)) as file:
            return await _write(links, pen, file, settings.broker.connect_timeout, progress)
    except OSError as error:
        raise CommandError(Status.BAD_SETTINGS, f"{path} cannot be written ({error.strerror or error}).") from error


async def _write(
    links: Sequence[MqttLink], pen: _Pen, file: BinaryIO, patience: float, progress: Callable[[int], None]
) -> int:
    count = 0
    async with Supervisor() as tasks:
        tasks.stop_on_signals()
        for link in links:
            tasks.start("link", link.run())
        going = await tasks.unless_stopped(first_connections(links, patience))
        while going:
            going = await tasks.unless_stopped(asyncio.sleep(_WRITTEN_EVERY))
            heard, pen.heard = pen.heard, []
            for arrival in heard:
                if not arrival.retained:  # of unknown age: it was heard when it was
                    file.write(format_line(Message(arrival.arrived, arrival.topic, arrival.payload)))
                    count += 1
            file.flush()
            for link in links:
                link.acknowledge(heard)
            progress(count)
    for link in links:
        await link.close()
    return count
