"""Everything the score keeps of one shift: small, plain, fit to be sent between processes."""

from __future__ import annotations

from dataclasses import dataclass

from tumpline_score.alarms import Verdicts, judged
from tumpline_score.delays import Delay, delay
from tumpline_score.draw import Draw
from tumpline_score.engine import hear
from tumpline_score.evidence import first_shown
from tumpline_score.figures import Compared, compared
from tumpline_score.meters import Balanced, balanced
from tumpline_score.recent import Recent, recents


@dataclass(frozen=True, kw_only=True)
class Scored:
    """One shift's score."""

    draw: Draw
    hours: float
    compared: list[Compared]
    recents: list[Recent]
    delay: Delay | None
    balanced: Balanced
    alarms: Verdicts
    shown: float | None
    """When low juice first showed, s since the shift began; see `evidence`."""


def scored(draw: Draw) -> Scored:
    """Simulate a shift, let the engine hear it, and hold what it said against the truth."""
    try:
        heard = hear(draw)
    except Exception as fault:  # the run is over; but whoever looks for the bug wants to know in which shift it was
        fault.add_note(f"in shift {draw.number}: look at it alone with --shifts 1 --first {draw.number} --jobs 1")
        raise
    return Scored(
        draw=draw,
        hours=(heard.summary.end - heard.summary.start) / 3600.0,
        compared=compared(heard.summary, heard.truth),
        recents=recents(heard),
        delay=delay(heard),
        balanced=balanced(heard),
        alarms=judged(heard),
        shown=first_shown(draw.options, heard.truth),
    )
