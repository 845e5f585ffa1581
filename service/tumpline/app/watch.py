"""Shows lines in a terminal, from what the broker carries. It publishes nothing."""

import asyncio
import os
from collections.abc import Callable, Iterator, Sequence
from contextlib import contextmanager
from secrets import token_hex
from typing import TextIO
from zoneinfo import ZoneInfo

from tumpline.adapters.mqtt import MqttLink
from tumpline.adapters.terminal.console import Console, can_draw
from tumpline.adapters.terminal.screen import Place, draw
from tumpline.adapters.terminal.sight import Sight
from tumpline.adapters.terminal.teller import Teller
from tumpline.app.connections import account, first_connections
from tumpline.app.errors import CommandError, Status
from tumpline.runtime import logs
from tumpline.runtime.clock import Clock
from tumpline.runtime.ports import Arrival
from tumpline.runtime.supervise import Supervisor
from tumpline.settings import Settings
from tumpline.wire.glance import read_glance
from tumpline.wire.topics import Topics
from tumpline.wire.words import Refused, listed, quoted

_LOOKED_EVERY = 0.25

_Show = Callable[[Sequence[Sight], float], None]
"""Takes what is known of the lines, and the watcher's time."""


class _Watcher:
    """Hears a connection and keeps what it says of some lines."""

    def __init__(self, lines: Sequence[str], topics: Topics) -> None:
        self._sights = {line: Sight(line=line) for line in lines}
        self._live = {topics.live(line): sight for line, sight in self._sights.items()}
        self._service = {topics.service(line): sight for line, sight in self._sights.items()}
        self._unreadable: dict[str, str] = {}
        self._confirmable: list[Arrival] = []
        self.topics = [*self._live, *self._service]

    def receive(self, arrival: Arrival) -> None:
        """A message came."""
        if arrival.mid:
            self._confirmable.append(arrival)
        if arrival.topic in self._service:
            self._service[arrival.topic].service_gone = arrival.payload == b"offline"
        elif arrival.topic in self._live:
            self._look(self._live[arrival.topic], arrival)

    def _look(self, sight: Sight, arrival: Arrival) -> None:
        glance = read_glance(arrival.payload)
        if isinstance(glance, Refused):
            self._unreadable[sight.line] = glance.reason
            return
        self._unreadable.pop(sight.line, None)
        sight.glance = glance
        kept = arrival.retained  # of unknown age, but for what it says itself
        sight.heard = min(arrival.arrived, glance.at.timestamp()) if kept else arrival.arrived

    def catch_up(self, link: MqttLink) -> Sequence[Sight]:
        """What is known now, the connection's own trouble included."""
        confirmable, self._confirmable = self._confirmable, []
        link.acknowledge(confirmable)
        for line, sight in self._sights.items():
            sight.trouble = self._unreadable.get(line, "") if link.connected else link.trouble
        return tuple(self._sights.values())

    def opened(self, line: str, *, resumed: bool) -> None:
        """The broker says anew what it had kept."""

    def subscribed(self, line: str) -> None:
        """Nothing has to be told."""

    def confirmed(self, line: str, number: int) -> None:
        """Nothing is published."""


async def watch(settings: Settings, line: str | None, *, plain: bool, clock: Clock, out: TextIO, keys: TextIO) -> None:
    """
    Show the lines, or the one that is named, until SIGTERM, SIGINT or the key q; the key n shows the next line.

    With `plain`, or where `out` cannot be drawn on, a sentence for every change is written instead. Raises
    CommandError where there is no such line or the broker cannot be reached.
    """
    logs.hush()  # what it would say of the connection is on the screen
    lines = _chosen(settings, line)
    watcher = _Watcher(lines, Topics(settings.broker.root))
    link = MqttLink(
        line=lines[0],
        account=account(settings),
        client_id=f"{settings.broker.client_id}-watch-{token_hex(4)}",  # several may watch, on several machines
        topics=watcher.topics,
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
            with _drawing(place, out, keys, tasks.stop) if draws else _telling(place, out) as show:
                while await tasks.unless_stopped(asyncio.sleep(_LOOKED_EVERY)):
                    show(watcher.catch_up(link), clock.now())
    await link.close()


@contextmanager
def _telling(place: Place, out: TextIO) -> Iterator[_Show]:
    tellers: dict[str, Teller] = {}

    def show(sights: Sequence[Sight], now: float) -> None:
        for sight in sights:
            teller = tellers.setdefault(sight.line, Teller(place))
            out.writelines(f"{line}\n" for line in teller.tell(sight, now=now))
        out.flush()

    yield show


@contextmanager
def _drawing(place: Place, out: TextIO, keys: TextIO, leave: Callable[[], None]) -> Iterator[_Show]:
    shown = 0

    def typed() -> None:
        nonlocal shown
        pressed = os.read(keys.fileno(), 64).lower()
        shown += pressed.count(b"n")
        if not pressed or b"q" in pressed:
            loop.remove_reader(keys.fileno())
            leave()

    loop = asyncio.get_running_loop()
    with Console(out, keys) as console:
        if keys.isatty():
            loop.add_reader(keys.fileno(), typed)

        def show(sights: Sequence[Sight], now: float) -> None:
            columns, rows = console.size
            sight = sights[shown % len(sights)]
            others = tuple(other for other in sights if other is not sight)
            console.show(draw(sight, place, others, now=now, width=columns, height=rows))

        try:
            yield show
        finally:
            loop.remove_reader(keys.fileno())


def _chosen(settings: Settings, line: str | None) -> list[str]:
    names = [known.id for known in settings.lines]
    if line is not None and line not in names:
        sentence = f"--line: there is no line {quoted(line)} in the settings; {listed(names)} is accepted."
        raise CommandError(Status.BAD_SETTINGS, sentence)
    return names if line is None else [line]
