"""The only readers of time."""

import pytest

from polling import until
from tumpline.runtime.clock import Clock, ScaledClock


@pytest.mark.asyncio
async def test_a_clock_goes_on_by_itself() -> None:
    """Time passes, and what runs with it never goes back."""
    clock = Clock()
    now, running = clock.now(), clock.running()
    await until(lambda: clock.now() > now and clock.running() > running)


@pytest.mark.asyncio
async def test_a_scaled_clock_starts_where_it_is_told_and_runs_faster() -> None:
    """An hour passes in a blink, from the given moment on."""
    clock = ScaledClock(start=1000.0, speed=100_000.0)
    assert clock.now() >= 1000.0
    await until(lambda: clock.now() >= 1000.0 + 3600.0)
