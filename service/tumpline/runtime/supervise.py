"""Tasks are named, owned and awaited; signals end the program in order."""

import asyncio
import signal
from collections.abc import Coroutine
from types import TracebackType
from typing import Any, Self

STOP_SIGNALS = (signal.SIGTERM, signal.SIGINT)


class Supervisor:
    """
    Owns every task of the program.

    Use as `async with`: at the end of the block all tasks that still run are cancelled and waited for.
    """

    def __init__(self) -> None:
        self._tasks: set[asyncio.Task[None]] = set()
        self._over: asyncio.Future[None]

    async def __aenter__(self) -> Self:
        self._over = asyncio.get_running_loop().create_future()
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        if not self._over.cancel() and not self._over.cancelled():
            self._over.exception()  # it is on its way already, or another is; asyncio need not complain
        for task in self._tasks:
            task.cancel()
        await asyncio.gather(*self._tasks, return_exceptions=True)

    def start(self, name: str, work: Coroutine[Any, Any, None]) -> "asyncio.Task[None]":
        """Run `work` as a task of that name. An exception out of it ends `wait`."""
        task = asyncio.create_task(work, name=name)  # noqa: TID251 this is the owner
        self._tasks.add(task)
        task.add_done_callback(self._ended)
        return task

    def stop(self) -> None:
        """End `wait` without an error."""
        if not self._over.done():
            self._over.set_result(None)

    def stop_on_signals(self) -> None:
        """SIGTERM and SIGINT end `wait`; the second of them no longer waits for the first."""
        loop = asyncio.get_running_loop()
        for number in STOP_SIGNALS:
            loop.add_signal_handler(number, self._signalled)

    async def wait(self) -> None:
        """Until somebody asks to stop. Raises what a task raised."""
        await asyncio.shield(self._over)

    async def unless_stopped(self, work: Coroutine[Any, Any, None]) -> bool:
        """Wait for this piece of work; False where somebody asked to stop before it was done. Raises what it raised."""
        task = self.start("start", work)
        await asyncio.wait({task, self._over}, return_when=asyncio.FIRST_COMPLETED)
        if self._over.done():
            self._over.result()
        return not self._over.done()

    def _signalled(self) -> None:
        loop = asyncio.get_running_loop()
        for number in STOP_SIGNALS:
            loop.remove_signal_handler(number)
        self.stop()

    def _ended(self, task: "asyncio.Task[None]") -> None:
        self._tasks.discard(task)
        if task.cancelled():
            return
        error = task.exception()
        if error is not None and not self._over.done():
            self._over.set_exception(error)
