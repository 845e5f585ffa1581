"""The fruit into the mill: running, collapsed, how fast, with what of its load left, and what the motor says of it."""

from __future__ import annotations

import math
from itertools import pairwise

from msgspec import Struct, field

from tumpline.pressing.edges import bridge
from tumpline.pressing.params import LineParams
from tumpline.pressing.watches.baseline import LONG, Baseline, SetPoint
from tumpline.pressing.watches.look import Look

KNOWN = 5  # seconds of normal running before a baseline says anything
_FULL = 0.6  # of the usual: above it the mill was taking fruit
_LATELY = 6.0  # seconds whose readings tell from what level fruit fell, and how
_HOLDS = 0.95  # of the one reading, the other: what falls from all to nothing in ten seconds does not hold
_LEFT_IT, _CAME_TO = 0.9, 0.1  # of the highest of them: a reading between the two was taken on the way down
_BACK, _BACK_SLOWLY = 5, 60  # seconds of fruit that end a collapse, and of fruit that comes slowly
_STRAGGLES, _LINGERS = 9.0, 40.0  # seconds: a load that straggles in ends over so many; a longer fall is another dip
_FAST = 4.5  # seconds from all to nothing: a mill that blocks takes 3 s to 5 s at the most
_DAMPED, _FASTER = 10.0, 6.0  # seconds it may take by a damped meter, where loads take so many times as long to end
_HIGH, _OFF = 1.3, 0.15  # of the usual current
_JUST = 10.0  # seconds between a high current and what it caused
_ANYTHING = 3.0  # half-widths: from none to twice of what is put in where nobody heard the mill's meter
_LEFT_KNOWN = 20.0  # seconds after which all that was milled is in the weight left
_UNHEARD, _UNKNOWN = 5.0, 60.0  # seconds between two readings: a fall may have been as fast as any, and nobody knows
_STOOD, _START_UP = (
    3600.0,
    300.0,
)  # seconds without fruit after which a line is brought up anew, and how long that takes
_FLOWS, _CARRIES = 0.6, 0.05  # of the usual water: fruit comes above the one, below the other the pump stands
_EBBS = 0.8  # of the water a step down ago: a pump that was switched off runs out, and its meter follows late


class Feed(Struct):
    """What went into the mill so far; every watch of the mill and its fruit looks at this."""

    fruit: Baseline = field(default_factory=Baseline)
    current: Baseline = field(default_factory=Baseline)
    water: SetPoint = field(default_factory=SetPoint)
    ebbed: float = 0.0
    """m³/s that the water has come down to, step by step."""
    ebbed_at: float = -math.inf
    """When it took the last step."""
    lately: list[tuple[float, float]] = field(default_factory=list)
    """The last readings: when, kg/s."""
    full_at: float = -math.inf
    """When the fruit last was above most of the usual, between two readings."""
    from_level: float = 0.0
    """kg/s of which that was most."""
    gone_at: float = -math.inf
    """When it fell below the limit, between two readings."""
    high_at: float = -math.inf
    collapsed_at: float | None = None
    run_out: bool | None = None
    """At the collapse: the load was milled to its weight; None when no load is known."""
    fell: float = 0.0
    """Seconds that the fruit then took from all to nothing; a mill that blocks takes few; infinite where not heard."""
    on_the_way: int = 0
    """Readings taken while it fell; with none it may have been cut off as well."""
    net: float | None = None
    """Of that load, kg."""
    ends: float = math.inf
    """Seconds in which the load fell from all to nothing that ran out fastest so far; infinite before one did."""
    behind: bool = False
    """Milled fruit was seen not to get on to the press, just before or after the collapse."""
    idled: int = 0
    """Seconds since the collapse in which the mill turned without fruit."""
    stood_at: float = -math.inf
    """When the flume or the mill last stood still since the collapse: people stopped the line."""
    off_at: float = -math.inf
    """When the mill last did, or did not turn empty yet."""
    flowed_at: float = -math.inf
    """When fruit last went in."""
    began_at: float = -math.inf
    """When fruit came again after a long time without: people bring the line up from there."""
    back: float = 0.0
    """Seconds in a row for which fruit has been back; slow fruit counts less."""

    @property
    def runs(self) -> bool:
        """Fruit goes in, and what is usual is known."""
        return self.collapsed_at is None and self.fruit.n >= KNOWN

    def step(self, look: Look, line: LineParams) -> None:
        """One second more."""
        rated, limits = line.rated_throughput, line.watches["mill-blocked"]
        if look.current_peak is not None and self.current.n >= KNOWN and self._is_high(look.current_peak, look.fruit):
            self.high_at = look.at
        if look.water is not None:
            self._note_water(look.at, look.water)
        if look.fruit is None:
            if self.runs and self._tripped(look):
                self._collapse(look, line)
            return
        fruit, usual, known = look.fruit, self.fruit.value, self.fruit.n >= KNOWN
        for at, kg in look.fruit_taken:
            self._time_the_fall(at, kg, limits.limit * usual, 0.1 * rated)
        if known and fruit < limits.limit * usual:
            self.back = 0.0
            if self.collapsed_at is None:
                self._collapse(look, line)
            elif look.at - self.collapsed_at <= _LEFT_KNOWN and look.net == self.net:
                self.run_out = self._has_run_out(look, line)
            motor = self.motor(look)
            stood = self.stood_at > -math.inf and self.water.known and look.water is None  # and is not heard since
            if motor == "off" or self.water_stands(look) or stood:
                self.stood_at = look.at
            if motor == "idle":
                self.idled += 1
            else:
                self.off_at = look.at
        elif known and self.collapsed_at is not None and fruit < (limits.limit + limits.deadband) * usual:
            self._come_back(_BACK / _BACK_SLOWLY)
        else:
            self._come_back(1.0)
            if fruit > 0.2 * rated and self.collapsed_at is None:
                self._learn(look, fruit)

    def _note_water(self, at: float, water: float) -> None:
        if water < _EBBS * self.ebbed:
            self.ebbed, self.ebbed_at = water, at
        else:
            self.ebbed = max(self.ebbed, water)

    def _time_the_fall(self, at: float, fruit: float, gone: float, trace: float) -> None:
        before_at, before = self.lately[-1] if self.lately else (-math.inf, 0.0)
        if fruit > max(gone, trace):
            if at - self.flowed_at > _STOOD:
                self.began_at = at
            if at - self.flowed_at > LONG:
                self.water.forget()
            self.flowed_at = at
        usual = self.fruit.value
        # Where fruit was thinner already, it fell from there; the last handful of a load is no level.
        level = self._level(gone) if fruit < _FULL * usual else usual
        full = _FULL * level
        sustained = len(self.lately) > 1 and self.lately[-2][1] >= full
        if fruit < gone <= before and at - before_at > _UNHEARD:
            self.full_at, self.gone_at = -math.inf if at - before_at > _UNKNOWN else at, at
        elif fruit >= full and before >= full:
            self.full_at, self.from_level = at, level
        elif before >= full and sustained:
            self.full_at = at - (at - before_at) * (full - fruit) / (before - fruit)
            self.from_level = level
        if fruit < gone <= before and at - before_at <= _UNHEARD:
            self.gone_at = at - (at - before_at) * (gone - fruit) / (before - fruit)
        self.lately = [*(r for r in self.lately if at - r[0] <= _LATELY), (at, fruit)]

    def _level(self, gone: float) -> float:
        """kg/s at which the fruit held lately, for two readings at least; the usual where that was little."""
        pairs = ((one[1], other[1]) for one, other in pairwise(self.lately))
        held = max((min(pair) for pair in pairs if min(pair) > _HOLDS * max(pair)), default=0.0)
        usual = self.fruit.value
        return min(usual, held) if held >= max(_FULL * usual, 2.0 * gone) else usual

    def _tripped(self, look: Look) -> bool:
        """The current was high and is gone: that shows a plug even while the fruit is not heard."""
        off = look.current is not None and look.current < _OFF * self.current.value
        return off and look.at - self.high_at <= _JUST

    def _come_back(self, seconds: float) -> None:
        self.back += seconds
        if self.back >= _BACK and self.collapsed_at is not None:
            if self.run_out and self.fell < math.inf:
                self.ends = min(self.ends, self.fell)
            self.collapsed_at = None

    def _collapse(self, look: Look, line: LineParams) -> None:
        self.collapsed_at, self.idled, self.stood_at = look.at, 0, -math.inf
        self.off_at, self.back = look.at, 0.0
        thinner = max(1.0, self.fruit.value / level) if (level := self.from_level) > 0.0 else 1.0
        self.fell = (self.gone_at - self.full_at) / (_FULL - thinner * line.watches["mill-blocked"].limit)
        highest = max((kg for _, kg in self.lately), default=0.0)
        self.on_the_way = sum(_CAME_TO * highest < kg < _LEFT_IT * highest for _, kg in self.lately)
        self.net, self.run_out, self.behind = look.net, self._has_run_out(look, line), False

    def _has_run_out(self, look: Look, line: LineParams) -> bool | None:
        """Whether the load was milled to its weight, as far as mill meter and weighbridge can tell."""
        if look.left is None or look.net is None:
            return None
        mill, off = line.signal("mill/throughput"), 0.0
        if mill is not None:
            feed = max(self.fruit.value, line.rated_throughput)  # at the least: a line may run slowly for a while
            off = mill.accuracy.half_width(feed) * look.net / feed
        return look.left < off + _ANYTHING * look.hidden + bridge(look.net)

    def _is_high(self, current: float, fruit: float | None) -> bool:
        """Whether the motor draws more than its fruit explains: more fruit needs more, at most in proportion."""
        more = 1.0 if fruit is None or self.fruit.value <= 0.0 else max(1.0, fruit / self.fruit.value)
        return current > _HIGH * more * self.current.value

    def _learn(self, look: Look, fruit: float) -> None:
        if fruit >= _FULL * self.fruit.value:
            if look.current is not None:
                # In the first half minute the mill is still taking up its load: then high is what normal becomes.
                if self.current.n >= 30 and look.at - self.high_at <= _JUST:
                    self.current.creep(look.current)
                else:
                    self.current.learn(look.current)
            if look.water is not None:
                self.water.learn(look.water)
        self.fruit.learn(fruit)

    @property
    def fell_fast(self) -> bool:
        """From running to nothing within seconds, as a mill that blocks does."""
        damped = min(_DAMPED, self.ends / _FASTER) if self.ends < math.inf else 0.0
        return self.collapsed_at is not None and self.fell <= max(_FAST, damped)

    @property
    def finished(self) -> bool:
        """The load was milled to its weight, and did not end faster than loads straggle in here."""
        straggles = _STRAGGLES < self.ends < _LINGERS
        return bool(self.run_out) and not (straggles and self.fell_fast)

    def starting(self, now: float) -> bool:
        """People are bringing the line up; they stop it now and then to look at it."""
        return now - self.began_at < _START_UP

    def motor(self, look: Look) -> str:
        """What the mill's current says since the collapse: `high`, `off`, `idle`, or `unknown` without a meter."""
        if self.current.n < KNOWN or self.collapsed_at is None:
            return "unknown"
        if self.high_at >= self.collapsed_at - _JUST:
            return "high"
        if look.current is None:
            return "unknown"
        return "off" if look.current < _OFF * self.current.value else "idle"

    def water_runs(self, look: Look) -> bool | None:
        """Whether the flume still brings fruit; None when that is not known."""
        if look.water is None or not self.water.known:
            return None
        return look.water > _FLOWS * self.water.value

    def water_stands(self, look: Look) -> bool:
        """Whether the flume's pump stands still: it failed, or people stopped it."""
        return look.water is not None and self.water.known and look.water < _CARRIES * self.water.value
