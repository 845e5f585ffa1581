"""Shows a line in a terminal, from what the broker carries. It publishes nothing."""

import asyncio
import os
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from typing import TextIO
from zoneinfo import ZoneInfo

from tumpline.adapters.mqtt import MqttLink
from tumpline.adapters.terminal.console import Console, can_draw
from tumpline.adapters.terminal.screen import Place, draw
from tumpline.adapters.terminal.sight import Sight
from tumpline.adapters.terminal.teller import Teller
from tumpline.app.errors import CommandError, Status
from tumpline.app.service import account, first_connections
from tumpline.runtime import logs
from tumpline.runtime.clock import Clock
from tumpline.runtime.ports import Arrival
from tumpline.runtime.supervise import Supervisor
from tumpline.settings import Settings
from tumpline.wire.glance import read_glance
from tumpline.wire.topics import Topics
from tumpline.wire.words import Refused, listed, quoted

_LOOKED_EVERY = 0.25

_Show = Callable[[Sight, float], None]
"""Takes what is known, and the watcher's time."""


class _Watcher:
    """Hears a connection and keeps what it says of the line."""

    def __init__(self, line: str, topics: Topics) -> None:
        self.sight = Sight(line=line)
        self.confirmable: list[Arrival] = []
        self._live = topics.live(line)
        self._service = topics.service(line)
        self._unreadable = ""

    def receive(self, arrival: Arrival) -> None:
        """A message came."""
        if arrival.mid:
            self.confirmable.append(arrival)
        if arrival.topic == self._service:
            self.sight.service_gone = arrival.payload == b"offline"
        elif arrival.topic == self._live:
            self._look(arrival)

    def _look(self, arrival: Arrival) -> None:
        glance = read_glance(arrival.payload)
        if isinstance(glance, Refused):
            self._unreadable = glance.reason
            return
        self._unreadable, self.sight.glance = "", glance
        kept = arrival.retained  # of unknown age, but for what it says itself
        self.sight.heard = min(arrival.arrived, glance.at.timestamp()) if kept else arrival.arrived

    def catch_up(self, link: MqttLink) -> Sight:
        """What is known now, the connection's own trouble included."""
        self.sight.trouble = link.trouble if not link.connected else self._unreadable
        confirmable, self.confirmable = self.confirmable, []
        link.acknowledge(confirmable)
        return self.sight

    def opened(self, line: str, *, resumed: bool) -> None:
        """The broker says anew what it had kept."""

    def subscribed(self, line: str) -> None:
        """Nothing has to be told."""

    def confirmed(self, line: str, number: int) -> None:
        """Nothing is published."""


async def watch(settings: Settings, line: str | None, *, plain: bool, clock: Clock, out: TextIO, keys: TextIO) -> None:
    """
    Show one line, the first unless named, until SIGTERM, SIGINT or the key q.

    With `plain`, or where `out` cannot be drawn on, a sentence for every change is written instead. Raises
    CommandError where there is no such line or the broker cannot be reached.
    """
    logs.hush()  # what it would say of the connection is on the screen
    topics, name = Topics(settings.broker.root), _chosen(settings, line)
    watcher = _Watcher(name, topics)
    link = MqttLink(
        line=name,
        account=account(settings),
        client_id=f"{settings.broker.client_id}-{name}-watch-{os.getpid()}",
        topics=[topics.live(name), topics.service(name)],
        ears=watcher,
        clock=clock,
        session=0,
    )
    place = Place(settings.site.name, ZoneInfo(settings.site.timezone), settings.site.units == "imperial")
    async with Supervisor() as tasks:
        tasks.stop_on_signals()
        tasks.start("link", link.run())
        if await tasks.unless_stopped(first_connections([link], settings.broker.connect_timeout)):
            draws = not plain and can_draw(out)
            show = _drawing(place, out, keys, tasks.stop) if draws else _telling(place, out)
            with show as tell:
                while await tasks.unless_stopped(asyncio.sleep(_LOOKED_EVERY)):
                    tell(watcher.catch_up(link), clock.now())
    await link.close()


@contextmanager
def _telling(place: Place, out: TextIO) -> Iterator[_Show]:
    teller = Teller(place)

    def tell(sight: Sight, now: float) -> None:
        out.writelines(f"{line}\n" for line in teller.tell(sight, now=now))
        out.flush()

    yield tell


@contextmanager
def _drawing(place: Place, out: TextIO, keys: TextIO, leave: Callable[[], None]) -> Iterator[_Show]:
    def typed() -> None:
        if os.read(keys.fileno(), 64).lower() in (b"q", b""):
            loop.remove_reader(keys.fileno())
            leave()

    loop = asyncio.get_running_loop()
    with Console(out, keys) as console:
        if keys.isatty():
            loop.add_reader(keys.fileno(), typed)

        def tell(sight: Sight, now: float) -> None:
            columns, rows = console.size
            console.show(draw(sight, place, now=now, width=columns, height=rows))

        try:
            yield tell
        finally:
            loop.remove_reader(keys.fileno())


def _chosen(settings: Settings, line: str | None) -> str:
    names = [known.id for known in settings.lines]
    if line is None:
        return names[0]
    if line not in names:
        sentence = f"--line: there is no line {quoted(line)} in the settings; {listed(names)} is accepted."
        raise CommandError(Status.BAD_SETTINGS, sentence)
    return line
