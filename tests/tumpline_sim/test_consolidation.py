"""Consolidation at its ends; its table is among the published checks."""

from tumpline_sim.consolidation import consolidated, time_factor


def test_from_nothing_to_everything() -> None:
    """No time gives no juice, unlimited time all of it."""
    assert consolidated(0.0) == 0.0
    assert consolidated(50.0) == 1.0


def test_a_layer_half_as_thick_needs_a_quarter_of_the_time() -> None:
    """Thickness counts squared."""
    thick = time_factor(coefficient=5e-7, seconds=80.0, layer=0.02)
    assert time_factor(coefficient=5e-7, seconds=20.0, layer=0.01) == thick
