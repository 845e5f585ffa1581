"""The whole program on one machine with nothing to prepare: broker, simulated line, service and page."""

import asyncio
import socket
import sys
from asyncio.subprocess import DEVNULL, PIPE
from collections.abc import Callable
from dataclasses import dataclass
from pathlib import Path

from tumpline.adapters.demo_broker import DemoBroker, DemoBrokerError
from tumpline.app.errors import CommandError, Status
from tumpline.app.service import Service
from tumpline.pressing.records import Summary
from tumpline.runtime.clock import Clock, ScaledClock
from tumpline.settings import Page, Settings, load
from tumpline.wire.times import to_rfc3339

LINE = "line-1"
PORTS_TRIED = 50
SUMMARY_WITHIN = 60.0
"""s after the last message."""


@dataclass(frozen=True, kw_only=True)
class Wish:
    """What the demo is asked to show."""

    speed: float
    hours: float
    seed: int
    faults: str
    once: bool
    """Stop at the end of the shift."""
    port: int
    folder: Path
    """Where the store, the settings and the truth go."""


async def demo(wish: Wish, *, say: Callable[[str], None]) -> Summary | None:
    """
    Run a simulated shift until it is over (`once`), else until SIGTERM or SIGINT; its summary, where there is one.

    `say` is told what people want to know meanwhile. Raises CommandError.
    """
    wish.folder.mkdir(parents=True, exist_ok=True)
    for old in wish.folder.glob("demo.db*"):
        old.unlink()
    try:
        async with DemoBroker() as broker:
            settings = await _settings(wish, broker.port, say)
            clock = ScaledClock(start=Clock().now(), speed=wish.speed)
            service = Service(settings, clock=clock)
            await service.run({"shift": lambda: _shift(wish, broker.port, clock, service, say)})
            return service.board.line(LINE).summary
    except DemoBrokerError as error:
        raise CommandError(Status.UNREACHABLE, str(error)) from error


async def _settings(wish: Wish, broker_port: int, say: Callable[[str], None]) -> Settings:
    """Settings that fit the simulated line, with a page on a port that is free."""
    path = wish.folder / "demo.toml"
    store = wish.folder / "demo.db"
    await _simulate("settings", "--signals", "all", "--port", str(broker_port), "--store", str(store), "-o", str(path))
    port = next((port for port in range(wish.port, wish.port + PORTS_TRIED) if _is_free(port)), None)
    if port is None:
        raise CommandError(Status.UNREACHABLE, f"No port from {wish.port} on is free for the page; choose with --port.")
    if port != wish.port:
        say(f"Port {wish.port} is taken; the page is on {port}.")
    return load(path).model_copy(update={"page": Page(port=port)})


async def _shift(wish: Wish, broker_port: int, clock: Clock, service: Service, say: Callable[[str], None]) -> None:
    """The simulated line works through its shift; afterwards there is a summary."""
    say(f"The page: {service.page}")
    truth = wish.folder / "demo-truth.json"
    await _simulate(
        *("publish", "--port", str(broker_port), "--signals", "all", "--faults", wish.faults),
        *("--seed", str(wish.seed), "--hours", str(wish.hours), "--speed", str(wish.speed)),
        *("--start", to_rfc3339(clock.now()), "--truth", str(truth)),
    )
    say(f"The line is done. What truly happened: {truth}")
    board = service.board.line(LINE)
    try:
        async with asyncio.timeout(SUMMARY_WITHIN):
            with service.board.subscribe() as changed:
                while board.summary is None:
                    await changed.wait()
                    changed.clear()
    except TimeoutError:
        raise CommandError(Status.OWN_FAULT, f"No summary came within {SUMMARY_WITHIN:g} s.") from None
    if wish.once:
        service.stop()
    else:
        say("The shift is summed up. Stop with Ctrl-C.")


async def _simulate(*arguments: str) -> None:
    """Run the simulated line; it ends with us."""
    process = await asyncio.create_subprocess_exec(
        *(sys.executable, "-m", "tumpline_sim.cli", *arguments), stdout=DEVNULL, stderr=PIPE, start_new_session=True
    )
    try:
        _, errors = await process.communicate()
    finally:
        if process.returncode is None:
            process.kill()
            await process.wait()
    if process.returncode:
        words = errors.decode(errors="replace").strip().rpartition("\n")[2]
        status = Status.BAD_SETTINGS if process.returncode == Status.BAD_SETTINGS else Status.OWN_FAULT
        raise CommandError(status, f"The simulated line ended with status {process.returncode}: {words}")


def _is_free(port: int) -> bool:
    with socket.socket() as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)  # as the page will: a port at rest is free
        try:
            probe.bind(("127.0.0.1", port))
        except OSError:
            return False
    return True
