"""The broker inside `tumpline demo`, for trying the program with nothing else installed. Real use is mosquitto.

It is the broker of the `iotcore` package (the `demo` extra), in a child process on the loopback address. Of the two
that install with pip it is the one that keeps QoS 1 messages for a client that is away, sends again those that were not
acknowledged, and lets a client take over its own name; amqtt 0.12, tried beside it, did none of that. It keeps
everything in memory: what it holds is gone when it ends.
"""

import asyncio
import importlib.util
import socket
import sys
from asyncio.subprocess import DEVNULL, PIPE, Process
from contextlib import AsyncExitStack
from pathlib import Path
from tempfile import TemporaryDirectory
from types import TracebackType
from typing import Self

READY_WITHIN = 15.0
"""Seconds a busy machine may take to start it."""

# What a topic filter may hold in memory is segments times their size; left alone it would be a gigabyte.
CONFIGURATION = """
id = 0

[router]
id = 0
max_connections = 100
max_outgoing_packet_count = 200
max_segment_size = 4194304
max_segment_count = 10

[v4.demo]
name = "demo"
listen = "127.0.0.1:{port}"
next_connection_delay_ms = 1

[v4.demo.connections]
connection_timeout_ms = 60000
max_payload_size = 1048576
max_inflight_count = 100
dynamic_filters = true
"""

# The child ends with its parent, however that ends: the pipe to its standard input closes.
CHILD = """
import os, sys, threading
from iotcore import Broker
threading.Thread(target=lambda: (sys.stdin.buffer.read(), os._exit(0)), daemon=True).start()
Broker(config_path=sys.argv[1]).run_forever()
"""


class DemoBrokerError(Exception):
    """The demo's broker cannot be started; the message is a sentence for the user."""


class DemoBroker:
    """`async with DemoBroker() as broker:` clients on this machine connect to `broker.port`, without a password."""

    def __init__(self, *, port: int = 0) -> None:
        self.port = port or _free_port()
        self._open = AsyncExitStack()

    async def __aenter__(self) -> Self:
        """Start it and wait until it accepts connections; raises DemoBrokerError."""
        if importlib.util.find_spec("iotcore") is None:
            raise DemoBrokerError(
                "The demo's own broker is not installed. Install it with: pip install 'tumpline[demo]', "
                "or use a broker of your own with: tumpline run --config FILE"
            )
        if await self._accepts():
            raise DemoBrokerError(
                f"Port {self.port} is taken by another program; choose another one, or 0 for any that is free."
            )
        async with AsyncExitStack() as opening:
            folder = Path(opening.enter_context(TemporaryDirectory(prefix="tumpline-demo-")))
            process = await self._start(folder)
            opening.push_async_callback(_end, process)
            await self._wait_for(process)
            self._open = opening.pop_all()
        return self

    async def __aexit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        """End it, with everything it holds."""
        await self._open.aclose()

    async def _start(self, folder: Path) -> Process:
        configuration = folder / "broker.toml"
        configuration.write_text(CONFIGURATION.format(port=self.port), encoding="utf-8")
        return await asyncio.create_subprocess_exec(
            sys.executable,
            "-c",
            CHILD,
            str(configuration),
            stdin=PIPE,
            stdout=DEVNULL,
            stderr=DEVNULL,
            start_new_session=True,  # Ctrl-C is for the service, which says good-bye to the broker before it ends
        )

    async def _wait_for(self, process: Process) -> None:
        try:
            async with asyncio.timeout(READY_WITHIN):
                while not await self._accepts():
                    if process.returncode is not None:
                        raise DemoBrokerError(f"The demo's broker ended at once with status {process.returncode}.")
                    await asyncio.sleep(0.01)
        except TimeoutError:
            raise DemoBrokerError(f"The demo's broker did not listen after {READY_WITHIN:g} s.") from None

    async def _accepts(self) -> bool:
        try:
            _, writer = await asyncio.open_connection("127.0.0.1", self.port)
        except OSError:
            return False
        writer.close()
        try:
            await writer.wait_closed()
        except OSError:  # it was only a question
            pass
        return True


async def _end(process: Process) -> None:
    if process.returncode is None:
        process.kill()
    await process.wait()


def _free_port() -> int:
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port
