"""How much a signal's readings scatter, and how high they stand, now and usually."""

from __future__ import annotations

import math

from msgspec import Struct

from tumpline.pressing.qartod import Flag, spike

_SHORT, _LONG, _KNOWN = 20, 300, 60  # readings: scatter of now, usual scatter, until that is known (common practice)
_CLIP = 16.0  # times the expected variance that one reading may add: a spike is not noise
_CALM = 2.0  # times the expected variance above which nothing is learned: it may be the beginning of noise
_SPIKE = 8.0  # usual standard deviations
_STEADY = 0.001  # of the level: a flow that scatters by less is a steady one, however little it did before


class Scatter(Struct):
    """Variance of readings around the line through their neighbours, and their mean; SI."""

    noise: float = 0.0
    usual_noise: float = 0.0
    level: float = 0.0
    usual_level: float = 0.0
    taken: int = 0
    learned: int = 0

    @property
    def known(self) -> bool:
        """Whether enough normal running has been seen."""
        return self.learned >= _KNOWN and self.usual_noise > 0.0

    @property
    def expected(self) -> float:
        """The variance that is usual at the present level: a flow above the usual may scatter more in proportion."""
        level = self.level / self.usual_level if self.usual_level > 0.0 else 1.0
        square = level * level
        usual, steady = self.usual_noise * square if square > 1.0 else self.usual_noise, _STEADY * self.level
        return max(usual, steady * steady)

    def take(self, before: float, value: float, after: float, *, learn: bool) -> None:
        """Take the middle one of three readings in a row, SI."""
        off = value - 0.5 * (before + after)
        square = off * off / 1.5  # so that its mean is the variance where readings scatter independently
        expected = self.expected if self.known else math.inf
        square = min(square, _CLIP * expected)
        self.taken += 1
        weight = 1.0 / min(self.taken, _SHORT)
        self.noise += weight * (square - self.noise)
        self.level += weight * (value - self.level)
        if learn and self.noise < _CALM * expected:
            self.learned += 1
            weight = 1.0 / min(self.learned, _LONG)
            self.usual_noise += weight * (square - self.usual_noise)
            self.usual_level += weight * (value - self.usual_level)

    def against_usual(self) -> tuple[float, float] | tuple[None, None]:
        """Variance in times the usual one at the present level, and that level; None while those are not known."""
        return (self.noise / self.expected, self.level / self.usual_level) if self.known else (None, None)

    def stands_apart(self, before: float, value: float, after: float) -> bool:
        """Whether the middle one of three readings is a spike between two that are alike."""
        if not (abs(after - before) < 0.5 * abs(value - before) and self.known):
            return False
        return spike(before, value, after, suspect=_SPIKE * math.sqrt(self.expected)) is not Flag.GOOD

    def begin_anew(self) -> None:
        """What was so before tells nothing of now: it is as usual until enough readings say otherwise."""
        self.noise, self.level = self.usual_noise, self.usual_level

    def flows(self, value: float, nothing: float) -> bool:
        """Whether a reading belongs to the usual flow, not to a pump that stands or starts."""
        return value > max(0.5 * self.usual_level, nothing)

    def fade(self) -> None:
        """Less flows than usual, and all is normal: let that become the usual."""
        self.usual_level *= 1.0 - 1.0 / _LONG
