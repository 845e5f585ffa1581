"""The press answers to feed, speed, pressure and cloth, in yield and dryness together."""

import pytest

from tumpline_sim.flow import Parcel, Parcels, pour
from tumpline_sim.material import Fruit
from tumpline_sim.press import Press, Setting

FRUIT = Fruit(insoluble=0.037, soluble=0.124)


def pressed(
    *, feed: float = 1.0, bar: float = 4.5, metres_per_min: float = 3.6, cloth: float = 1.0
) -> tuple[float, float]:
    """Juice (kg/kg of fruit) and pomace dry matter once the press runs steadily at `feed` times 4 t/h."""
    press = Press(width=1.0, length=4.2, fruits=[FRUIT])
    setting = Setting(bar=bar, belt_m_per_s=metres_per_min / 60.0, cloth=cloth)
    for second in range(900):
        juice, pomace = press.step({0: Parcel.milled(feed * 4.0 / 3.6, float(second))}, setting)
    out = juice[0].juice
    fruit = pomace[0].fruit
    assert fruit == pytest.approx(feed * 4.0 / 3.6, rel=1e-3)
    left = fruit * FRUIT.mass_in - pomace[0].juice
    dry = fruit * FRUIT.dry_in - pomace[0].juice * FRUIT.juice_dry_matter
    return out / fruit, dry / left


def test_as_much_juice_as_a_continuous_line_gives() -> None:
    """At its rate the press gives 71.1 % by mass: Turk, Vorobiev, Baron (2012) LWT 49(2) 245. Held to 2 points."""
    assert pressed()[0] == pytest.approx(0.711, abs=0.02)


@pytest.mark.parametrize(
    ("better", "worse"),
    [
        ({"bar": 6.0}, {"bar": 3.0}),
        ({"metres_per_min": 2.4}, {"metres_per_min": 2.4, "feed": 1.5}),
        ({"feed": 0.7}, {"feed": 1.3}),
        ({}, {"cloth": 0.7}),
    ],
)
def test_yield_and_dryness_move_together(better: dict[str, float], worse: dict[str, float]) -> None:
    """More pressure, a thinner layer, a cleaner cloth: more juice and drier pomace, never one without the other."""
    (more, drier), (less, wetter) = pressed(**better), pressed(**worse)
    assert more > less
    assert drier > wetter
    assert drier == pytest.approx(FRUIT.pomace_dry_matter(more), abs=1e-3)


def test_belt_speed_trades_layer_against_time() -> None:
    """A faster belt carries a thinner layer for a shorter time; the layer counts squared, so it presses better."""
    slow, fast = pressed(metres_per_min=3.0), pressed(metres_per_min=4.5)
    assert fast[0] > slow[0]
    assert fast[1] > slow[1]


def test_fruit_comes_out_whole() -> None:
    """Every kilogram of fruit put in comes out again, as juice's fruit and as pomace, and the press runs empty."""
    press = Press(width=1.0, length=4.2, fruits=[FRUIT])
    setting = Setting(bar=4.5, belt_m_per_s=0.06)
    juice: Parcels = {}
    pomace: Parcels = {}
    for second in range(900):
        fed = {0: Parcel.milled(1.0, float(second))} if second < 300 else {}
        for out, total in zip(press.step(fed, setting), (juice, pomace), strict=True):
            pour(out, total)
    assert press.empty
    assert juice[0].tag == pytest.approx(300.0, rel=1e-9)
    assert pomace[0].fruit == pytest.approx(300.0, rel=1e-9)
    assert juice[0].juice == pytest.approx(pomace[0].juice, rel=1e-9)
    assert pomace[0].tag == pytest.approx(0.0, abs=1e-9)
