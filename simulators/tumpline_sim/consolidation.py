"""How much of the juice comes out under pressure, and how fast: one-dimensional consolidation after Terzaghi."""

from __future__ import annotations

from math import exp, pi, sqrt

_SHORT = 0.15  # below this the square-root law is exact to 1e-3 of itself, above it four terms of the series are

_SQUARES = tuple(((2 * k + 1) * pi / 2) ** 2 for k in range(4))
_S0, _S1, _S2, _S3 = _SQUARES
_W0, _W1, _W2, _W3 = (2.0 / square for square in _SQUARES)


def consolidated(time_factor: float) -> float:
    """Share of the juice expressed at the dimensionless time T, 0 to 1.

    U = 1 - Σ 2/M² exp(-M² T), M = (2k+1)π/2 (Terzaghi; U-T table as printed in lecture notes CEG 4012, 2011).
    """
    if time_factor < _SHORT:
        return sqrt(4.0 * time_factor / pi)
    t = -time_factor
    return 1.0 - (_W0 * exp(_S0 * t) + _W1 * exp(_S1 * t) + _W2 * exp(_S2 * t) + _W3 * exp(_S3 * t))


def time_factor(*, coefficient: float, seconds: float, layer: float, faces: int = 2) -> float:
    """T = i² C_e t / ω₀²: `coefficient` m²/s, `layer` in m, `faces` drained."""
    return faces * faces * coefficient * seconds / (layer * layer)
