"""`vats`: what the site wants the juice in its vats to lie between. Information for whoever blends, and no advice."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Self

from pydantic import BaseModel, ConfigDict, Field, model_validator

from tumpline.pressing.blend import Bounds
from tumpline.settings.problems import Problem, raise_any
from tumpline.settings.values import Pair

_PAIR = "[lowest, highest]"
_FIGURES = {"acidity_g_per_l": "acidity", "tannin_g_per_l": "tannin", "brix": "brix", "ph": "ph"}


class Vats(BaseModel):
    """The site's own bounds of its vats' figures; a figure without bounds is never said to lie outside."""

    model_config = ConfigDict(extra="forbid", frozen=True)

    acidity_g_per_l: Pair | None = Field(default=None, description=_PAIR)
    tannin_g_per_l: Pair | None = Field(default=None, description=_PAIR)
    brix: Pair | None = Field(default=None, description=_PAIR)
    ph: Pair | None = Field(default=None, description=_PAIR)

    def bounds(self) -> tuple[Bounds, ...]:
        """As the line looks at them; g/L are kg/m³."""
        given = ((name, getattr(self, key)) for key, name in _FIGURES.items())
        return tuple(Bounds(name, *pair) for name, pair in given if pair is not None)

    @model_validator(mode="after")
    def _fits_together(self) -> Self:
        raise_any([*self._upside_down()])
        return self

    def _upside_down(self) -> Iterator[Problem]:
        for key in _FIGURES:
            pair = getattr(self, key)
            if pair is not None and pair[0] >= pair[1]:
                yield Problem(key, f"does not go upwards; {_PAIR} is accepted")
