"""What else the press shows when it gives less juice: evidence for the sentence, never for the alarm itself."""

from __future__ import annotations

from msgspec import Struct, field

from tumpline.pressing.watches.baseline import Baseline, SetPoint
from tumpline.pressing.watches.look import Look

_SLACK, _STIFF = 0.96, 1.06  # of the usual pressure: of the air on the belts, and of the wash where cloths are blind
_HEAPED = 0.2  # of the hopper, over the usual
_MINUTES = 300  # seconds over which the level before the press is averaged: nobody sets it, and at first it fills

_FOUND = " Seen with it: {clauses}."
_NO_PRESSURE = "press pressure {percent:.0f} % under the usual"
_BLINDED = "belt wash pressure {percent:.0f} % over the usual, as when cloths blind"
_BRIDGED = "milled fruit high before the press, as when its hopper bridges or its pump fails"
_AIR = "a juice meter that reads unsteadily, as with air in it"
_USUAL = " As usual: {listed}."
_POSSIBLE = " Possible: {causes}."
_LEAK, _CLOTH, _NO_AIR, _METER = "a leak", "belts blinding", "low press pressure", "the juice meter"


class Signs(Struct):
    """What is usual of the press's own meters."""

    pressure: SetPoint = field(default_factory=SetPoint)
    wash: SetPoint = field(default_factory=SetPoint)
    pulp: Baseline = field(default_factory=Baseline)

    def learn(self, look: Look) -> None:
        """One second more in which the line presses and nothing is wrong."""
        for usual, now in ((self.pressure, look.pressure), (self.wash, look.wash)):
            if now is not None:
                usual.learn(now)
        if look.pulp is not None:
            self.pulp.learn(look.pulp, memory=_MINUTES)

    def heaped(self, look: Look) -> bool | None:
        """Whether milled fruit stands high before the press; None where that is not known."""
        if look.pulp is None or self.pulp.n < _MINUTES:
            return None
        return look.pulp > self.pulp.value + _HEAPED

    def evidence(self, look: Look, *, unsteady: bool) -> str:
        """What the meters say of the cause; `unsteady` where the juice meter's own readings are in doubt."""
        found, usual, causes = [], [], [_LEAK]
        pressure, wash = _share(look.pressure, self.pressure), _share(look.wash, self.wash)
        if pressure is None:
            causes += [_CLOTH, _NO_AIR]
        elif pressure < _SLACK:
            found.append(_NO_PRESSURE.format(percent=100.0 * (1.0 - pressure)))
        else:
            usual.append("press pressure")
            causes.append(_CLOTH)
        if wash is not None and wash > _STIFF:
            found.append(_BLINDED.format(percent=100.0 * (wash - 1.0)))
        elif wash is not None:
            usual.append("belt wash")
        if heaped := self.heaped(look):
            found.append(_BRIDGED)
        elif heaped is not None:
            usual.append("milled fruit before the press")
        if unsteady:
            found.append(_AIR)
        if found:
            return _FOUND.format(clauses=", and ".join(found))
        told = _USUAL.format(listed=", ".join(usual)) if usual else ""
        return told + _POSSIBLE.format(causes=f"{', '.join(causes)}, or {_METER}")


def _share(now: float | None, usual: SetPoint) -> float | None:
    return now / usual.value if now is not None and usual.known and usual.value > 0.0 else None
