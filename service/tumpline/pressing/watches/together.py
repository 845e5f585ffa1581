"""All watches of a line, and what one of them has to know of another."""

from __future__ import annotations

from msgspec import Struct, field

from tumpline.pressing.params import LineParams
from tumpline.pressing.watches.air import AirWatch
from tumpline.pressing.watches.bins import Bins
from tumpline.pressing.watches.drift import DriftWatch
from tumpline.pressing.watches.feed import Feed
from tumpline.pressing.watches.fruit import FlumeWatch, FruitWatch
from tumpline.pressing.watches.juice import JuiceWatch
from tumpline.pressing.watches.look import Look
from tumpline.pressing.watches.meters import lost
from tumpline.pressing.watches.mill import MillWatch, StoneWatch
from tumpline.pressing.watches.room import Room, RoomWatch
from tumpline.pressing.watches.signs import Signs
from tumpline.pressing.watches.verdict import QUIET, Verdict

_BEHIND = 5.0  # seconds after a collapse in which juice and pulp still tell what was wrong before it


class Watches(Struct):
    """Once a second `feed_second`, then `second`; `bin_closed` whenever a bin of the ledger was closed."""

    feed: Feed = field(default_factory=Feed)
    mill: MillWatch = field(default_factory=MillWatch)
    stone: StoneWatch = field(default_factory=StoneWatch)
    fruit: FruitWatch = field(default_factory=FruitWatch)
    flume: FlumeWatch = field(default_factory=FlumeWatch)
    juice: JuiceWatch = field(default_factory=JuiceWatch)
    drift: DriftWatch = field(default_factory=DriftWatch)
    air: AirWatch = field(default_factory=AirWatch)
    vat: RoomWatch = field(default_factory=lambda: RoomWatch("Vat"))
    trailer: RoomWatch = field(default_factory=lambda: RoomWatch("Trailer"))
    signs: Signs = field(default_factory=Signs)
    balance: Verdict = QUIET
    """`balance-open`, as the balance of the meters finds."""
    doubted: dict[str, str] = field(default_factory=dict)
    """Signals whose readings tell nothing, each with the sentence that says why."""

    unsteady: bool = False
    """The juice meter's readings scatter far more than usual."""

    def feed_second(self, look: Look, line: LineParams) -> tuple[Verdict, Verdict]:
        """One second more of the mill and its fruit: is it blocked, is it starved?"""
        limits = line.watches
        self.feed.step(look, line)
        collapsed = self.feed.collapsed_at
        if collapsed is not None and look.at - collapsed <= _BEHIND:
            self.feed.behind = self.feed.behind or self.juice.sags or bool(self.signs.heaped(look))
        blocked = self.mill.step(look, self.feed, limits["mill-blocked"])
        both = limits["fruit-starved"], limits["mill-blocked"]
        return blocked, self.fruit.step(look, self.feed, both, blocked=blocked.active)

    def second(self, look: Look, line: LineParams) -> dict[str, Verdict]:
        """One second more of everything else."""
        limits, feed = line.watches, self.feed
        flume = self.flume.step(look, feed, limits["flume-low"])
        trusted = look._replace(pressure=None) if "press/pressure" in self.doubted else look
        low, high = self.air.step(trusted, feed, (limits["pressure-low"], limits["pressure-high"]))
        self.juice.second(look, limits["juice-low"], runs=feed.runs)
        if feed.runs and self.all_quiet():
            self.signs.learn(look)
        asked = self.juice.held.active or self.drift.active
        evidence = self.signs.evidence(look, unsteady=self.unsteady) if asked else ""
        return {
            "hard-object": self.stone.step(look, feed, limits["hard-object"]),
            "flume-low": flume,
            "pressure-low": low,
            "pressure-high": high,
            "juice-low": self.juice.verdict(limits["juice-low"], evidence),
            "yield-drift": self.drift.verdict(limits["yield-drift"], evidence),
            "vat-nearly-full": self.vat.step(look.at, limits["vat-nearly-full"]),
            "trailer-nearly-full": self.trailer.step(look.at, limits["trailer-nearly-full"]),
            "signal-lost": lost(look.unheard, self.doubted),
            "balance-open": self.balance,
        }

    def bin_closed(self, bins: Bins, line: LineParams, *, rooms: tuple[Room, Room]) -> None:
        """A bin of the ledger was closed and given to its loads; `rooms` of vat and trailer."""
        self.vat.room, self.trailer.room = rooms
        airy = not (self.air.low.active or self.air.high.active)
        trusted = "juice/flow" not in self.doubted and "mill/throughput" not in self.doubted
        normal = airy and trusted
        self.juice.close_bin(bins, line, runs=self.feed.runs, normal=self.feed.runs and normal)
        self.drift.close_bin(bins, line, pumped=self.juice.pumped, normal=normal and not self.juice.held.active)

    def all_quiet(self) -> bool:
        """Whether no watch finds anything wrong with mill, fruit, water, juice or air."""
        press = self.juice.held.active or self.air.low.active or self.air.high.active or self.drift.active
        return not (press or self.flume.held.active or self.mill.active or self.fruit.active)
