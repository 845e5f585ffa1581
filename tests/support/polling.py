"""Waiting for something to become true, with an end."""

import asyncio
import time
from collections.abc import Callable

PATIENCE = 30.0
"""Seconds; long, because the machine may be busy, and only ever used up by a failing test."""


async def until(condition: Callable[[], object], *, patience: float = PATIENCE) -> None:
    """Return as soon as the condition holds, letting others run meanwhile; AssertionError where it never does."""
    end = time.monotonic() + patience
    while not condition():
        assert time.monotonic() < end, f"gave up after {patience:g} s waiting for {condition}"
        await asyncio.sleep(0.005)


def wait_until(condition: Callable[[], object], *, patience: float = PATIENCE) -> None:
    """The same for a test without an event loop."""
    end = time.monotonic() + patience
    while not condition():
        assert time.monotonic() < end, f"gave up after {patience:g} s waiting for {condition}"
        time.sleep(0.005)
