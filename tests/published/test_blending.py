"""Mixtures of juices and the classes of cider fruit, against the trade's table and atomic weights."""

import pytest

from tumpline.pressing.blend import MALIC_PER_SULFURIC, MALIC_PER_TARTARIC, fruit_class, pearson

# IUPAC's standard atomic weights, abridged.
CARBON, HYDROGEN, OXYGEN, SULFUR = 12.011, 1.008, 15.999, 32.06
MALIC = 4 * CARBON + 6 * HYDROGEN + 5 * OXYGEN
TARTARIC = 4 * CARBON + 6 * HYDROGEN + 6 * OXYGEN
SULFURIC = 2 * HYDROGEN + SULFUR + 4 * OXYGEN

# B. T. P. Barker (1903), Long Ashton: more or less than 0.45 % malic acid and 0.2 % tannin, both as mass by volume;
# seen in several secondary pages. The juices are invented, in % of each.
CLASSES = [
    (0.60, 0.25, "bittersharp"),
    (0.60, 0.10, "sharp"),
    (0.30, 0.25, "bittersweet"),
    (0.30, 0.10, "sweet"),
    (0.451, 0.201, "bittersharp"),
    (0.449, 0.199, "sweet"),
]


@pytest.mark.parametrize(("acid", "tannin", "expected"), CLASSES)
def test_the_four_classes(acid: float, tannin: float, expected: str) -> None:
    """Percent by volume times ten is g/L, and the class is that of the table."""
    assert fruit_class(10.0 * acid, 10.0 * tannin) == expected


def test_acidity_as_malic() -> None:
    """Each acid has two acid hydrogens, so the factors are ratios of molar masses, to 1e-4 of the factor."""
    assert pytest.approx(MALIC / TARTARIC, rel=1e-4) == MALIC_PER_TARTARIC
    assert pytest.approx(MALIC / SULFURIC, rel=1e-4) == MALIC_PER_SULFURIC


def test_acidity_as_secondary_texts_round_it() -> None:
    """0.89 g of malic for 1 g of tartaric acid (secondary texts), to half of the last digit."""
    assert round(MALIC_PER_TARTARIC, 2) == 0.89


def test_the_pearson_square() -> None:
    """0.90 % and 0.25 % of acid to reach 0.50 %: 0.384615 of the sharp, 5 parts in 13 (own arithmetic), to 1e-6."""
    assert pearson(0.90, 0.25, 0.50) == pytest.approx(0.384615, abs=1e-6)
