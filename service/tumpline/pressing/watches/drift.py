"""
A yield that drifts away slowly: `yield-drift`.

Juice over aligned fruit, minute by minute or from pump start to pump start, against what the line gave at first, added
up as a one-sided tabular CUSUM (NIST/SEMATECH e-Handbook of Statistical Methods, 6.3.2.3). Fruit differs from load to
load, and a thin layer gives more than a thick one: so the step at a change of load, of feed or of belt speed is taken
for theirs, and the drift before it is carried on across it.
"""

from __future__ import annotations

from msgspec import Struct

from tumpline.pressing.params import LineParams, WatchParams
from tumpline.pressing.residence import BIN
from tumpline.pressing.watches.bins import Bins
from tumpline.pressing.watches.verdict import QUIET, Verdict

_SAMPLE = 12  # bins, and at least one pump cycle
_FIRST = 6.0  # minutes from which is learned what the line gives
_MIXED, _AFTER = 1.0, 3.0  # minutes after a change is through: passed over, then taken for what is new
_RECENT = 4.0  # minutes over which the present share is averaged
_ALIKE, _LASTING = 0.1, 3.0  # share by which the setting may differ, and minutes after which another one is the new one
_FAR = 0.9  # of the limit: so far the present share has to have gone as well
_CREEP = 240.0  # minutes in which the reference follows what is within its slack

_LOW = "Yield has drifted to {percent:.0f} % of what the line gave before.{evidence}"


class DriftWatch(Struct):
    """`yield-drift`: slowly less juice from the same fruit."""

    owner: str = ""
    begun: float = -1.0
    """Where the present sample began, in bins; below zero between samples."""
    usual: float = 0.0
    """m³/kg at first, and since then of such fruit."""
    minutes: float = 0.0
    """That `usual` rests on, or since the change of load."""
    changing: bool = False
    after: float = 0.0
    """Mean m³/kg of the new fruit, so far."""
    share: float = 1.0
    setting: float = 0.0
    """kg of fruit a bin for which `usual` holds, per belt speed where that is known."""
    other: float = 0.0
    """Minutes for which it has been another one."""
    sum: float = 0.0
    """Minutes times share beyond the slack."""
    active: bool = False

    def close_bin(self, bins: Bins, line: LineParams, *, pumped: bool, normal: bool) -> None:
        """Take one closed bin; `normal` while no other watch finds anything wrong with press, mill or fruit."""
        limits, rated = line.watches["yield-drift"], BIN * line.rated_throughput
        if str(bins.owner) != self.owner:
            self.owner, self.begun = str(bins.owner), -1.0
            self._begin_anew()
        end = float(len(bins.aligned))
        if not normal or not bins.even(rated, pumped=pumped) or end < self.begun:
            self.begun = -1.0
            return
        if pumped:
            mark = bins.ledger.marks[-1] if bins.ledger.marks else None
            if mark is None or not mark.on or mark.bin < end - 1.0:
                return
            end = mark.bin
        if self.begun < 0.0:
            self.begun = end
        elif end - self.begun >= _SAMPLE:
            fruit = bins.fruit_since(self.begun) - bins.fruit_since(end)
            juice = _metered(bins, end, pumped=pumped) - _metered(bins, self.begun, pumped=pumped)
            minutes = (end - self.begun) * BIN / 60.0
            if self._as_set(fruit / (end - self.begun) / (bins.speed or 1.0), minutes):
                self._sample(juice / fruit, minutes, limits)
            self.begun = end

    def _as_set(self, setting: float, minutes: float) -> bool:
        """Whether the press is fed as it was; another setting that lasts is the new one, from which it goes on."""
        if self.setting == 0.0:
            self.setting = setting
        if abs(setting - self.setting) <= _ALIKE * self.setting:
            self.other = 0.0
            self.setting += 0.05 * (setting - self.setting)
            return True
        self.other += minutes
        if self.other >= _LASTING:
            self.setting, self.other = setting, 0.0
            self._begin_anew()
        return False

    def _begin_anew(self) -> None:
        self.changing, self.minutes, self.after = self.usual > 0.0, 0.0, 0.0

    def _sample(self, gave: float, minutes: float, limits: WatchParams) -> None:
        slack = 0.5 * limits.limit
        self.minutes += minutes
        if self.changing:
            self._take_for_new_fruit(gave, minutes)
            return
        if self.minutes <= _FIRST or self.usual == 0.0:
            self.usual += (gave - self.usual) * min(1.0, minutes / self.minutes)
            return
        share = gave / self.usual
        self.share += (share - self.share) * min(1.0, minutes / _RECENT)
        self.sum = max(0.0, self.sum + (1.0 - share - slack) * minutes)
        if self.active:
            self.active = self.share < 1.0 - slack
        else:
            self.active = self.sum > slack * limits.delay / 60.0 and self.share < 1.0 - _FAR * limits.limit
        if not self.active and self.sum == 0.0:
            self.usual += (gave - self.usual) * minutes / _CREEP

    def _take_for_new_fruit(self, gave: float, minutes: float) -> None:
        """The step at a change of load is the fruit's; how far the line has drifted stays as it was."""
        if self.minutes <= _MIXED:
            return
        since = self.minutes - _MIXED
        self.after += (gave - self.after) * min(1.0, minutes / since)
        if since >= _AFTER:
            self.usual = self.after / self.share
            self.changing, self.minutes = False, _FIRST + 1.0

    def verdict(self, limits: WatchParams, evidence: str) -> Verdict:
        """What the watch says now."""
        if not self.active:
            return QUIET
        percent = 100.0 * self.share
        return Verdict(
            True, percent, 100.0 * (1.0 - limits.limit), "%", _LOW.format(percent=percent, evidence=evidence)
        )


def _metered(bins: Bins, at: float, *, pumped: bool) -> float:
    """m³ metered up to a time in bins; of a pump, the time is one of its starts."""
    if pumped:
        return next((m.metered for m in reversed(bins.ledger.marks) if m.bin <= at), 0.0)
    return sum(bins.juice[: int(at)])
