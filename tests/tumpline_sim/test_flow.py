"""Parcels, tanks and pipes lose nothing."""

import pytest

from tumpline_sim.flow import Parcel, Parcels, Plug, Tank, pour


def test_a_tank_gives_back_what_it_took() -> None:
    """Two loads through a tank come out whole, and the tank runs empty."""
    tank = Tank()
    out: Parcels = {}
    pour({0: Parcel.milled(30.0, 5.0), 1: Parcel.milled(20.0, 6.0)}, tank.contents)
    steps = 0
    while tank.contents:
        pour(tank.take(0.1), out)
        steps += 1
    assert steps < 200
    assert [out[0].fruit, out[1].fruit] == pytest.approx([30.0, 20.0])


def test_a_mixture_knows_its_age() -> None:
    """Mean and spread of the milling times survive mixing and splitting."""
    tank = Tank()
    pour({0: Parcel.milled(1.0, 10.0)}, tank.contents)
    pour({0: Parcel.milled(3.0, 30.0)}, tank.contents)
    part = tank.take(0.25)[0]
    assert part.tag == pytest.approx(1.0)
    assert part.tag_t / part.tag == pytest.approx(25.0)
    assert part.tag_tt / part.tag - 25.0**2 == pytest.approx(75.0)


def test_a_pipe_delays_and_changes_nothing() -> None:
    """What goes in comes out so many seconds later, and the pipe knows when it is empty."""
    pipe = Plug(3)
    first: Parcels = {0: Parcel.milled(1.0, 1.0)}
    assert [pipe.push(p) for p in (first, {}, {}, {})] == [{}, {}, {}, first]
    assert pipe.empty
