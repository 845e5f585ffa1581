"""How much of the juice comes out under pressure, and how fast: one-dimensional consolidation after Terzaghi."""

from __future__ import annotations

from math import exp, pi, sqrt

_SHORT = 0.15  # below this the square-root law is exact to 1e-3 of itself, above it four terms of the series are

_TERMS = tuple((((2 * k + 1) * pi / 2) ** 2, 2.0 / ((2 * k + 1) * pi / 2) ** 2) for k in range(4))


def consolidated(time_factor: float) -> float:
    """Share of the juice expressed at the dimensionless time T, 0 to 1.

    U = 1 - Σ 2/M² exp(-M² T), M = (2k+1)π/2 (Terzaghi; U-T table as printed in lecture notes CEG 4012, 2011).
    """
    if time_factor < _SHORT:
        return sqrt(4.0 * time_factor / pi)
    return 1.0 - sum(weight * exp(-square * time_factor) for square, weight in _TERMS)


def time_factor(*, coefficient: float, seconds: float, layer: float, faces: int = 2) -> float:
    """T = i² C_e t / ω₀²: `coefficient` m²/s, `layer` in m, `faces` drained."""
    return faces * faces * coefficient * seconds / (layer * layer)
