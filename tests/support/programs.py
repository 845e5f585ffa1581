"""Real programs for system tests: found, started on a free loopback port, stopped or killed."""

import os
import shutil
import signal
import socket
import subprocess
from collections.abc import Sequence
from pathlib import Path
from types import TracebackType
from typing import Self

import pytest

from polling import wait_until


def program(name: str) -> str:
    """
    Where the program is, or the test is skipped.

    On the machine that checks every change (CI is set) a missing program fails the test: there it would hide a loss.
    """
    found = shutil.which(name, path=os.pathsep.join([os.environ.get("PATH", ""), "/usr/sbin", "/usr/local/sbin"]))
    if found is None:
        if os.environ.get("CI"):
            pytest.fail(f"{name} is not installed")
        pytest.skip(f"{name} is not installed on this machine")
    return found


def free_port() -> int:
    """A port nobody listens on at this moment."""
    with socket.socket() as probe:
        probe.bind(("127.0.0.1", 0))
        port: int = probe.getsockname()[1]
        return port


def listens(port: int) -> bool:
    """True where somebody accepts connections on the loopback port."""
    try:
        socket.create_connection(("127.0.0.1", port), timeout=1).close()
    except OSError:
        return False
    return True


class Running:
    """One program listening on one port; `with` starts it and stops it. It may be killed and started again between."""

    def __init__(self, command: Sequence[str | Path], *, port: int, log: Path) -> None:
        self._command = list(command)
        self._log = log
        self._process: subprocess.Popen[bytes] | None = None
        self.port = port

    def start(self) -> None:
        """Start it and wait until it accepts connections."""
        with self._log.open("ab") as log:
            process = subprocess.Popen(self._command, stdout=log, stderr=log)
        self._process = process
        wait_until(lambda: listens(self.port) or process.poll() is not None)
        assert process.poll() is None, f"{self._command[0]} ended at once: {self._log.read_text(errors='replace')}"

    def stop(self) -> None:
        """Ask it to end, and wait."""
        self._end(signal.SIGTERM)

    def kill(self) -> None:
        """End it as a power cut would, and wait."""
        self._end(signal.SIGKILL)

    def _end(self, how: signal.Signals) -> None:
        if self._process is not None:
            self._process.send_signal(how)
            self._process.wait(timeout=30)
            self._process = None

    def __enter__(self) -> Self:
        self.start()
        return self

    def __exit__(
        self, kind: type[BaseException] | None, error: BaseException | None, trace: TracebackType | None
    ) -> None:
        self.stop()
