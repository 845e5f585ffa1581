"""Records of what a line learned about itself and its fruit, with how sure it is."""

from __future__ import annotations

from msgspec import Struct

from tumpline.pressing.quantities import Estimate


class Residence(Struct, frozen=True):
    """Time from the mill to the juice meter as it is used now, at the rated feed."""

    mean: Estimate
    """s."""
    spread: Estimate
    """Standard deviation, s."""
    learned: bool
    """False while the settings' guess is used."""
    why: str
    """What it rests on, in a sentence."""


class AnchorRecord(Struct, frozen=True):
    """Dry matter of one variety, before and after the samples of a shift: kg/kg."""

    variety: str
    before: Estimate
    after: Estimate
    samples: int
    """All so far."""
