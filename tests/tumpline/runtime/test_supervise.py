"""Tasks end the program when they fail, and are ended with it."""

import asyncio
import signal

import pytest

from tumpline.runtime.supervise import STOP_SIGNALS, Supervisor


async def _for_ever() -> None:
    await asyncio.Event().wait()


async def _fail() -> None:
    raise ValueError("the store is gone")


@pytest.mark.asyncio
async def test_whatever_still_runs_is_ended_and_waited_for() -> None:
    """A task can put its things away before the program ends."""
    put_away = []

    async def work() -> None:
        try:
            await asyncio.Event().wait()
        finally:
            await asyncio.sleep(0)
            put_away.append("things")

    async with Supervisor() as tasks:
        task = tasks.start("work", work())
        await asyncio.sleep(0)
        tasks.stop()
        await tasks.wait()
        assert not task.done()
    assert (task.get_name(), task.cancelled(), put_away) == ("work", True, ["things"])


@pytest.mark.asyncio
async def test_a_task_that_fails_ends_the_program_with_its_error() -> None:
    """No part of the program dies unnoticed, and the others are ended too."""
    with pytest.raises(ValueError, match="the store is gone"):
        async with Supervisor() as tasks:
            other = tasks.start("other", _for_ever())
            tasks.start("failing", _fail())
            await tasks.wait()
    assert other.cancelled()


@pytest.mark.asyncio
async def test_a_task_that_is_done_ends_nothing() -> None:
    """The program goes on after a piece of work that came to its end."""

    async def work() -> None:
        pass

    async with Supervisor() as tasks:
        await tasks.start("short", work())
        waiting = tasks.start("waiting", tasks.wait())
        await asyncio.sleep(0)
        assert not waiting.done()
        tasks.stop()
        await waiting


@pytest.mark.asyncio
@pytest.mark.parametrize("number", STOP_SIGNALS, ids=lambda number: number.name)
async def test_a_signal_ends_the_program_in_order(number: signal.Signals) -> None:
    """Somebody who stops the service, or presses Ctrl-C, gets an orderly end without an error."""
    async with Supervisor() as tasks:
        tasks.stop_on_signals()
        signal.raise_signal(number)
        await tasks.wait()


@pytest.mark.asyncio
async def test_a_second_signal_does_not_wait() -> None:
    """Whoever presses Ctrl-C again while the program is ending is obeyed at once."""
    async with Supervisor() as tasks:
        tasks.stop_on_signals()
        signal.raise_signal(signal.SIGTERM)
        await tasks.wait()
        with pytest.raises(KeyboardInterrupt):
            signal.raise_signal(signal.SIGINT)


@pytest.mark.asyncio
async def test_work_that_takes_long_does_not_hold_up_the_end() -> None:
    """A stop during the start ends the start; work that fails says why; else one hears that it was done."""

    async def work() -> None:
        pass

    async with Supervisor() as tasks:
        assert await tasks.unless_stopped(work())
        tasks.stop()
        assert not await tasks.unless_stopped(_for_ever())
    async with Supervisor() as tasks:
        with pytest.raises(ValueError, match="the store is gone"):
            await tasks.unless_stopped(_fail())
