"""What the watches see of an invented line: it runs as usual, and then something is different."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from tumpline.pressing.params import LineParams, ResidenceParams
from tumpline.pressing.watches.feed import Feed
from tumpline.pressing.watches.look import Look

RATED = 1.1  # kg/s
LINE = LineParams("line-1", RATED, 7e-4, ResidenceParams(), ())
"""A line with every watch as it comes."""

NORMAL = Look(
    at=0.0,
    fruit=1.0,
    current=18.0,
    current_peak=18.0,
    water=0.02,
    juice=7e-4,
    pressure=4.5e5,
    wash=3.5e5,
    pulp=0.45,
    left=5000.0,
    net=9800.0,
    load_on=0.0,
)
BLOCKED = NORMAL._replace(fruit=0.0, current=42.0, current_peak=42.0)
IDLE = NORMAL._replace(fruit=0.0, current=7.0, current_peak=7.0)
TRIPPED = NORMAL._replace(fruit=0.0, current=0.0, current_peak=0.0)
UNMETERED = NORMAL._replace(current=None, current_peak=None)
RUN_OUT = IDLE._replace(left=20.0)

Spell = tuple[Look, int]
"""A look, and for how many seconds it is so."""


def seconds(*spells: Spell, warm: int = 400) -> Iterator[Look]:
    """One look a second: `warm` seconds of the usual, past a start-up, then the spells."""
    metered = not spells or spells[0][0].current_peak is not None
    now = 0.0
    for look, count in ((NORMAL if metered else UNMETERED, warm), *spells):
        for _ in range(count):
            now += 1.0
            taken = () if look.fruit is None else ((now, look.fruit),)
            yield look._replace(at=now, fruit_taken=taken, pressure_before=look.pressure)


def thinning(look: Look, fall: int) -> tuple[Spell, ...]:
    """Fruit that gets less from second to second until there is none."""
    full = look.fruit or 0.0
    return tuple((look._replace(fruit=full * (1.0 - (n + 1) / fall)), 1) for n in range(fall))


def feed_after(
    *spells: Spell, see: Callable[[Look, Feed], None] = lambda _look, _feed: None, line: LineParams = LINE
) -> tuple[Look, Feed]:
    """The feed at the end of the spells, and the last look; `see` is shown every second of it."""
    feed, last = Feed(), NORMAL
    for last in seconds(*spells):
        feed.step(last, line)
        see(last, feed)
    return last, feed
