"""What a simulated shift is asked to be."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime

LIVES = ("plain", "full")
DEFAULT_START = datetime(2026, 10, 14, 6, 0, tzinfo=UTC)


@dataclass(frozen=True, kw_only=True)
class Options:
    """One shift. The same options give the same bytes."""

    seed: int = 1
    hours: float = 2.0
    """Planned length; the shift ends when the last juice has run, a few minutes sooner or later."""
    rate: float = 4.0
    """Rated throughput of the line, t/h."""
    start: datetime = DEFAULT_START
    root: str = "tumpline"
    line: str = "line-1"
    faults: str = "none"
    """`none`, `random`, or `kind@minutes,…`, optionally `kind:signal@minutes` for a fault of one sensor."""
    life: str = "plain"
    """`plain`: only planned gaps between loads; `full`: all that happens on an ordinary day and is no fault, loads of
    more various size and fruit, and lines built further apart."""
    signals: str = "expected"
    """`expected`, `all`, or names with commas."""
    payload: str = "senml"
    """`senml` or `number`."""
    first_vat: int = 1
    """Number of the crew's first vat; a vat with a higher one is empty when it is begun."""
    sump: bool = False
    """Whether juice passes a sump emptied by a float switch, so that its meter reads in bursts."""
    unbiased: bool = False
    """Whether every meter reads without a bias of its own: only noise is left of its errors."""
    tidy: bool = False
    """Whether to leave out drop-outs, duplicates and readings out of order."""
