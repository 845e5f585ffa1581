"""Waiting for something to become true, with an end."""

import asyncio
import time
from collections.abc import Callable

PATIENCE = 30.0
"""Seconds; long, because the machine may be busy, and only ever used up by a failing test."""


async def until(condition: Callable[[], object], *, patience: float = PATIENCE) -> None:
    """Return as soon as the condition holds, letting others run meanwhile; AssertionError where it never does."""
    begun = time.monotonic()
    while not condition():
        waited = time.monotonic() - begun
        assert waited < patience, f"gave up after {patience:g} s waiting for {condition}"
        await asyncio.sleep(_pause(waited))


def wait_until(condition: Callable[[], object], *, patience: float = PATIENCE) -> None:
    """The same for a test without an event loop."""
    begun = time.monotonic()
    while not condition():
        waited = time.monotonic() - begun
        assert waited < patience, f"gave up after {patience:g} s waiting for {condition}"
        time.sleep(_pause(waited))


def _pause(waited: float) -> float:
    """Longer after a while: who looks too often keeps a busy machine from what is looked for."""
    return min(0.005 + waited / 20.0, 0.02)
