"""The service: everything that runs, joined, started in order and stopped in order."""

import asyncio
from collections.abc import Callable, Coroutine, Mapping
from contextlib import AsyncExitStack
from pathlib import Path
from types import MappingProxyType
from typing import Any, NoReturn

import structlog

from tumpline.adapters.mqtt import BrokerError, MqttLink
from tumpline.adapters.sqlite import SqliteStore
from tumpline.adapters.web.errors import PageError
from tumpline.adapters.web.page import Page
from tumpline.adapters.web.words import Plan
from tumpline.app.connections import account, first_connections, subscriptions
from tumpline.app.errors import CommandError, Status
from tumpline.app.library import StoreLibrary
from tumpline.app.recollection import remember
from tumpline.app.restart import Restored, catch_up, recall, restore
from tumpline.pressing.params import LineParams
from tumpline.runtime.board import Board
from tumpline.runtime.clock import Clock
from tumpline.runtime.desk import Desk
from tumpline.runtime.dispatch import Dispatch
from tumpline.runtime.feed import Feed, LineFailedError
from tumpline.runtime.journal import Journal, Outbox
from tumpline.runtime.loop import Loop
from tumpline.runtime.lull import Lull
from tumpline.runtime.ports import Kept, StoreError
from tumpline.runtime.postman import Postman
from tumpline.runtime.reception import Reception
from tumpline.runtime.supervise import Supervisor
from tumpline.settings import Settings
from tumpline.wire.decode import Decoder
from tumpline.wire.topics import Topics

log = structlog.get_logger(__name__)

STORING = 1.5
"""s the last batch may take at the end; then what is not durable stays with the broker."""
SILENT_AFTER = 15.0
"""s without a reading after which the page says that there is no data."""


class Service:
    """One works: its lines, store, broker and page. `run` is called once."""

    def __init__(self, settings: Settings, *, clock: Clock) -> None:
        self.settings = settings
        self.board = Board([line.id for line in settings.lines])
        self.page: str | None = None
        """Where the page is, once there is one."""
        self._clock = clock
        self._topics = Topics(settings.broker.root)
        self._tasks = Supervisor()

    def stop(self) -> None:
        """Let `run` end in order."""
        self._tasks.stop()

    async def run(self, beside: Mapping[str, Callable[[], Coroutine[Any, Any, None]]] = MappingProxyType({})) -> None:
        """
        Run until SIGTERM, SIGINT or `stop`; `beside` is started by name as soon as messages can come.

        Raises CommandError with the sentence to say.
        """
        asyncio.get_running_loop().set_exception_handler(_log_callback_failure)
        try:
            async with AsyncExitStack() as stack:
                store = SqliteStore(self.settings.store.path)
                stack.callback(store.close)
                journal = Journal(store)
                stack.callback(journal.close)
                await stack.enter_async_context(self._tasks)
                self._tasks.stop_on_signals()
                await journal.open()
                try:
                    await self._work(stack, journal, store, beside)
                except LineFailedError as error:
                    await _take_note(journal, error)
        except StoreError as error:
            raise CommandError(Status.UNREACHABLE, str(error)) from error
        except BrokerError as error:
            raise CommandError(Status.BAD_SETTINGS, str(error)) from error

    async def _work(
        self,
        stack: AsyncExitStack,
        journal: Journal,
        store: SqliteStore,
        beside: Mapping[str, Callable[[], Coroutine[Any, Any, None]]],
    ) -> None:
        """Catch up, connect, and go on until stopped."""
        tasks = self._tasks
        parts = _Parts(self.settings, self._clock, self.board, journal, await restore(journal, self._params()))
        recall(store, parts.restored.lines, self.board, parts.dispatch)
        remember(self.settings.store.path, self.board)
        if not await tasks.unless_stopped(catch_up(journal, parts.feed, parts.restored.known)):
            return
        await self._open_page(stack, parts)
        self._start_influx(journal, store)
        self._start_notices()
        tasks.start("postman", parts.postman.run())
        tasks.start("prune", parts.loop.prune())
        looping = tasks.start("loop", parts.loop.run())
        linked = [tasks.start(f"link {line}", link.run()) for line, link in parts.links.items()]
        try:
            reached = first_connections(parts.links.values(), self.settings.broker.connect_timeout)
            if await tasks.unless_stopped(reached):
                for name, work in beside.items():
                    tasks.start(name, work())
                await tasks.wait()
        finally:
            parts.loop.stop()
            await asyncio.wait({looping}, timeout=STORING)
            for task in linked:
                task.cancel()
            await asyncio.wait(linked)
            await asyncio.gather(*(link.close() for link in parts.links.values()))
            log.info("service.stopped")

    def _params(self) -> list[LineParams]:
        return [line.params() for line in self.settings.lines]

    async def _open_page(self, stack: AsyncExitStack, parts: "_Parts") -> None:
        place = self.settings.page
        if place is None:
            return
        desk = Desk(clock=self._clock, topics=self._topics, loop=parts.loop, brokers=parts.links)
        try:
            page = Page(
                board=self.board,
                desk=desk,
                place=place,
                site=self.settings.site,
                sessions=sessions_file(self.settings),
                library=StoreLibrary(self.settings),
                now=self._clock.now,
                running=self._clock.running,
                plans={
                    line.id: Plan(line.rated_throughput, line.expected_yield, line.planned_pressure)
                    for line in self.settings.lines
                },
                silent_after=SILENT_AFTER * max(1.0, self._clock.speed),
            )
            await stack.enter_async_context(page)
        except PageError as error:
            raise CommandError(Status.BAD_SETTINGS, str(error)) from error
        except OSError as error:
            where = f"{place.host}:{place.port}"
            sentence = f"The page cannot be served on {where}: {_reason(error)}; set page.port to a free one."
            raise CommandError(Status.UNREACHABLE, sentence) from error
        self.page = page.url
        self._tasks.start("page", page.run())
        log.info("page.open", url=page.url)

    def _start_influx(self, journal: Journal, store: SqliteStore) -> None:
        influx = self.settings.influx
        if influx is not None:
            from tumpline.adapters.influx import InfluxSender  # a third of the start, for those who have one

            sender = InfluxSender(
                outbox=Outbox(journal, store),
                url=influx.url,
                org=influx.org,
                bucket=influx.bucket,
                token=influx.token() or "",
            )
            self._tasks.start("influx", sender.run())

    def _start_notices(self) -> None:
        notices = self.settings.notices
        if notices is not None:
            from tumpline.app.notify import notice_sender, notice_sinks  # the notification library is large

            sinks = notice_sinks(notices)
            sender = notice_sender(self.settings, notices, sinks, self.board, self._clock.now)
            for sink in sinks:
                self._tasks.start(f"notices {sink.name}", sender.run(sink))


class _Parts:
    """What is built once the state is known, each part with the ones it needs."""

    def __init__(self, settings: Settings, clock: Clock, board: Board, journal: Journal, restored: Restored) -> None:
        topics = Topics(settings.broker.root)
        self.restored = restored
        lines = restored.lines
        lulls = {
            line.id: Lull(lateness=line.lateness, speed=clock.speed, lag=restored.lags[line.id])
            for line in settings.lines
        }
        self.links: dict[str, MqttLink] = {}
        self.dispatch = dispatch = Dispatch(topics=topics, screen=board, points=settings.influx is not None)
        decoder = Decoder([line.wire(settings.broker.root) for line in settings.lines])
        self.feed = Feed(decoder=decoder, lines=lines, lulls=lulls, dispatch=dispatch, known=restored.known)
        self.postman = Postman(journal=journal, dispatch=dispatch, brokers=self.links)
        self.loop = Loop(
            clock=clock,
            journal=journal,
            feed=self.feed,
            dispatch=dispatch,
            lines=lines,
            lulls=lulls,
            brokers=self.links,
            kept=Kept(
                messages=settings.store.keep_messages,
                readings=settings.store.keep_readings,
                figures=settings.store.keep_figures,
            ),
        )
        self.loop.stored = self.postman.wake
        ears = Reception(
            clock=clock,
            inbox=self.loop.inbox,
            journal=journal,
            postman=self.postman,
            dispatch=dispatch,
            lines=lines,
            lulls=lulls,
            brokers=self.links,
        )
        for line in settings.lines:
            self.links[line.id] = MqttLink(
                line=line.id,
                account=account(settings),
                client_id=f"{settings.broker.client_id}-{line.id}",
                topics=subscriptions(line, topics),
                ears=ears,
                clock=clock,
                status=topics.service(line.id),
            )


async def _take_note(journal: Journal, error: LineFailedError) -> NoReturn:
    """A bug: say so, remember which message it was, and end; the next start works from what is stored."""
    log.error("line.failed", row=error.row.seq, topic=error.row.topic, why=str(error))
    log.debug("line.failed-trace", exc_info=error.__cause__)
    aside = await journal.count_fault(error.row, str(error))
    what = "The message is set aside; the next start goes on without it." if aside else "The next start tries again."
    raise CommandError(Status.OWN_FAULT, f"{error} {what}") from error


def sessions_file(settings: Settings) -> Path:
    """Where log-ins are kept: beside the store, where this program may write."""
    return settings.store.path.with_name(f"{settings.store.path.name}.sessions")


def _reason(error: OSError) -> str:
    return (error.strerror or str(error)).lower()


def _log_callback_failure(_: asyncio.AbstractEventLoop, context: dict[str, Any]) -> None:
    """Libraries write to sockets that have just closed; nothing follows from it."""
    log.debug("loop.callback-failed", text=context.get("message"), why=str(context.get("exception")))
