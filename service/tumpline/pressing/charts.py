"""Control charts that take one sample at a time: is a figure still where it was?

Each chart is its own state, a plain record that can be written down and read back. `update` takes a sample and says
whether it was taken: a number that is not finite is not, and leaves the chart as it was. Zero is a value like others.

Source of the formulas: NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.2 to 6.3.2.4.
"""

from __future__ import annotations

import math
from typing import Literal, NamedTuple

from msgspec import Struct

_RANGE_TO_SD = 1.128  # mean range of two normal values, in standard deviations (d2 of n = 2, as the handbook prints it)


class ControlLimits(NamedTuple):
    """Between these a chart is in control; in the samples' unit."""

    low: float
    high: float


class Ewma(Struct, kw_only=True):
    """Exponentially weighted moving average: follows small lasting changes, forgives single odd samples."""

    weight: float
    """Of the newest sample, above 0, at most 1; usually 0.2 to 0.3."""
    value: float
    """The average so far; before the first sample, the target."""

    def update(self, sample: float) -> bool:
        """Take a sample; False where it is not finite."""
        if not math.isfinite(sample):
            return False
        self.value += self.weight * (sample - self.value)
        return True

    def limits(self, *, target: float, sd: float, width: float = 3.0) -> ControlLimits:
        """Limits of `value` once many samples have gone in, for samples of standard deviation `sd` around `target`."""
        half = width * sd * math.sqrt(self.weight / (2.0 - self.weight))
        return ControlLimits(target - half, target + half)


class Cusum(Struct, kw_only=True):
    """
    Tabular cumulative sum, both sides: adds up what lies further than `slack` from the target until it is too much.

    Samples of standard deviation s: a slack of s/2 and a decision at 4 s to 5 s look for a lasting shift of about s.
    """

    target: float
    slack: float
    """What may be off without counting, in the samples' unit (`k` in the handbook)."""
    decision: float
    """The sum beyond which the figure has drifted (`h`)."""
    above: float = 0.0
    below: float = 0.0

    def update(self, sample: float) -> bool:
        """Take a sample; False where it is not finite."""
        if not math.isfinite(sample):
            return False
        off = sample - self.target
        self.above = max(0.0, self.above + off - self.slack)
        self.below = max(0.0, self.below - off - self.slack)
        return True

    @property
    def drift(self) -> Literal["up", "down"] | None:
        """Which way the figure has drifted; stays until the sums come back or are reset."""
        if self.above > self.decision:
            return "up"
        return "down" if self.below > self.decision else None

    def reset(self) -> None:
        """Begin again, as after somebody has dealt with the cause."""
        self.above = self.below = 0.0


class Individuals(Struct):
    """Chart of single samples, its limits learned from how much neighbours differ."""

    count: int = 0
    mean: float = 0.0
    mean_range: float = 0.0
    """Mean size of the step from one sample to the next."""
    last: float = 0.0

    def update(self, sample: float) -> bool:
        """Take a sample; False where it is not finite."""
        if not math.isfinite(sample):
            return False
        self.count += 1
        self.mean += (sample - self.mean) / self.count
        if self.count > 1:
            self.mean_range += (abs(sample - self.last) - self.mean_range) / (self.count - 1)
        self.last = sample
        return True

    def limits(self) -> ControlLimits | None:
        """Three standard deviations either way; None before the second sample."""
        if self.count < 2:
            return None
        half = 3.0 * self.mean_range / _RANGE_TO_SD
        return ControlLimits(self.mean - half, self.mean + half)
