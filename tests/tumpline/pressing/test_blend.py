"""What a mixture of juices is, worked out by hand beside each case."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing.blend import (
    MALIC_PER_SULFURIC,
    MALIC_PER_TARTARIC,
    Juice,
    blend,
    brix_by_mass,
    by_volume,
    fruit_class,
    mixed,
    pearson,
)
from tumpline.pressing.juice import OutOfRange, density, extract
from tumpline.pressing.quantities import Estimate


def test_the_pearson_square_gives_the_share_of_the_first() -> None:
    """
    Sharp juice of 0.90 % acid and bittersweet of 0.25 % to reach 0.50 %: (0.50 - 0.25)/(0.90 - 0.25) = 0.25/0.65 =
    0.384615 of the sharp, 5 parts to 8 (own arithmetic).
    """
    assert pearson(0.90, 0.25, 0.50) == pytest.approx(0.384615, abs=5e-7)
    assert pearson(0.90, 0.25, 0.50) == pytest.approx(5.0 / 13.0)


@pytest.mark.parametrize("target", [0.2, 0.95])
def test_a_figure_outside_the_two_is_reached_by_no_mixture(target: float) -> None:
    """Whoever asks is told between which figures the target must lie."""
    refused = pearson(0.90, 0.25, target)
    assert isinstance(refused, OutOfRange)
    assert "from 0.25 to 0.9 is accepted" in refused.sentence
    assert isinstance(pearson(0.5, 0.5, 0.5), OutOfRange)


def test_acid_mixes_by_volume() -> None:
    """2 m³ of 3.0 g/L, 1 m³ of 9.0 and 1 m³ of 5.0: (6 + 9 + 5)/4 = 5.0 g/L (own arithmetic)."""
    assert by_volume([(2.0, 3.0), (1.0, 9.0), (1.0, 5.0)]) == pytest.approx(5.0)


def test_brix_mixes_by_mass() -> None:
    """
    1 m³ each of 10 and 20 °Bx: 1038.115 kg and 1080.977 kg (SPS-4 at 20 °C) hold 103.8115 + 216.1954 = 320.0069 kg of
    sugar in 2119.092 kg, 15.1011 °Bx; by volume it would have been 15 (own arithmetic).
    """
    assert brix_by_mass([(1.0, 10.0), (1.0, 20.0)]) == pytest.approx(15.1011, abs=1e-4)


@given(st.lists(st.tuples(st.floats(0.01, 50.0), st.floats(5.0, 25.0)), min_size=1, max_size=6))
def test_no_sugar_is_lost_in_a_blend(parts: list[tuple[float, float]]) -> None:
    """What is dissolved in the parts is dissolved in the mixture: kg of each by its own density."""
    mass = sum(volume * float(density(brix)) for volume, brix in parts)  # type: ignore[arg-type]  # inside its range
    dissolved = sum(volume * _extract(brix) for volume, brix in parts)
    assert brix_by_mass(parts) == pytest.approx(100.0 * dissolved / mass, rel=1e-9)


def _extract(brix: float) -> float:
    found = extract(Estimate(brix))
    assert isinstance(found, Estimate)
    return found.value


def test_ph_is_never_averaged() -> None:
    """Of two juices it is not known; of one alone it is what it was."""
    assert mixed("ph", [(1.0, 3.3), (1.0, 3.9)]) is None
    assert mixed("ph", [(1.0, 3.3), (0.0, 3.9)]) == 3.3


def test_titratable_acidity_is_converted_by_the_mass_of_one_mole_of_acid() -> None:
    """
    Malic 134.0874/2 = 67.0437, tartaric 150.0868/2 = 75.0434, sulfuric 98.0785/2 = 49.03925 g: 5.875 g/L as tartaric is
    5.24872 as malic, and 1 as sulfuric is 1.367144 (own arithmetic; secondary sources round the first to 0.89).
    """
    assert pytest.approx(5.24872, abs=1e-5) == 5.875 * MALIC_PER_TARTARIC
    assert pytest.approx(1.367144, abs=1e-6) == MALIC_PER_SULFURIC


@pytest.mark.parametrize(
    ("acidity", "tannin", "expected"),
    [(6.0, 2.5, "bittersharp"), (6.0, 1.0, "sharp"), (3.0, 2.5, "bittersweet"), (3.0, 1.0, "sweet")],
)
def test_a_class_follows_acid_and_tannin(acidity: float, tannin: float, expected: str) -> None:
    """The four classes of Long Ashton (Barker 1903, in secondary texts): 0.45 % malic acid and 0.2 % tannin."""
    assert fruit_class(acidity, tannin) == expected


def test_at_the_limit_a_figure_counts_as_high() -> None:
    """The published table leaves that open; here 4.5 g/L is sharp and 2.0 g/L is bitter."""
    assert fruit_class(4.5, 2.0) == "bittersharp"
    assert fruit_class(4.499, 1.999) == "sweet"
    assert fruit_class(None, 2.0) is None
    assert fruit_class(4.5, None) is None


def test_what_adding_a_load_would_do_is_a_blend() -> None:
    """
    A vat of 6 m³ of 3.0 g/L acid and 2.4 tannin, and 2 m³ of 8.2 and 0.6: (18 + 16.4)/8 = 4.3 and (14.4 + 1.2)/8 = 1.95
    g/L: a bittersweet vat becomes a sweet one; its sugar stays unknown where the load's is (own arithmetic).
    """
    vat = Juice(volume=6.0, acidity=3.0, tannin=2.4, brix=12.5)
    after = blend([vat, Juice(volume=2.0, acidity=8.2, tannin=0.6)])
    assert (after.volume, after.brix) == (8.0, None)
    assert (after.acidity, after.tannin) == (pytest.approx(4.3), pytest.approx(1.95))
    assert (vat.fruit_class, after.fruit_class) == ("bittersweet", "sweet")
