"""What the vats hold at any time, from what was poured and what was said."""

import itertools

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tumpline.pressing.entries import Dip, Draw, Entry, Sample, Transfer, Vat, VatKnown
from tumpline.pressing.quantities import Estimate, limits
from tumpline.pressing.residence import BIN
from tumpline.pressing.stock import UNNAMED, Stock
from tumpline.pressing.switches import Switches
from tumpline.pressing.vats import KEPT, Cellar, Owner, Pours

BIN_OF_JUICE = 0.01
"""m³ in each bin of these shifts."""


def pours(cellar: Cellar, *owners: Owner, start: float = 0.0, vats: dict[float, str] | None = None) -> Pours:
    """One bin of juice of each owner, into V1 unless `vats` says from when on into which."""
    to_vat = Switches()
    for at, vat in (vats or {start: "V1"}).items():
        to_vat.add(at, vat)
    found = Pours()
    juice = [BIN_OF_JUICE] * len(owners)
    found.extend(juice, owners, juice, start=start, to_vat=to_vat, cellar=cellar)
    return found


def litres(stock: Stock) -> dict[str, float]:
    """By load."""
    return {load: pytest.approx(1000.0 * stock.part(load).value) for load in stock.parts}


def test_juice_is_of_the_loads_in_it() -> None:
    """Ten bins of A, two mixed ones and eight of B."""
    cellar = Cellar()
    poured = pours(cellar, *["A"] * 10, {"A": 0.7, "B": 0.3}, {"A": 0.2, "B": 0.8}, *["B"] * 8)
    assert litres(cellar.stocks(poured)["V1"]) == {"A": 109.0, "B": 91.0}
    assert {load: part.amount for load, part in poured.into("V1").items()} == pytest.approx({"A": 0.109, "B": 0.091})


def test_where_loads_mix_the_residence_time_makes_them_less_sure() -> None:
    """
    From A to B within the vat, at 10 L in 5 s: ten seconds more or less move 20 L from one to the other, and none of
    the vat's whole.
    """
    cellar = Cellar()
    cellar.write(0.0, Vat("V1", contents_l=0.0))
    poured = pours(cellar, *["A"] * 10, {"A": 0.5, "B": 0.5}, *["B"] * 10).worth(Estimate(1.0), 10.0)
    stock = cellar.stocks(poured)["V1"]
    assert stock.part("A").u == pytest.approx(0.020)
    assert stock.volume.u == 0.0


def test_the_meter_s_limits_are_common_to_all_that_was_poured() -> None:
    """1 % of 100 L and of another 100 L in the next shift are 1 % of 200 L."""
    cellar = Cellar()
    cellar.write(0.0, Vat("V1", contents_l=0.0))
    meter = Estimate(1.0, (limits("accuracy of juice/flow", 0.01),))
    cellar.close(pours(cellar, *["A"] * 10).worth(meter, 0.0), 100.0)
    second = pours(cellar, *["B"] * 10, start=100.0).worth(meter, 0.0)
    volume = cellar.stocks(second)["V1"].volume
    assert volume.value == pytest.approx(0.2)
    assert volume.figure().high == pytest.approx(0.2 + 0.95 * 0.002)


def test_a_dip_in_the_middle_counts_from_its_time() -> None:
    """50 L in, dipped at 60 L, 50 L more: 110 L, and the 10 L that were found are in proportion of what was there."""
    cellar = Cellar()
    cellar.write(0.0, Vat("V1", capacity_l=4000.0, contents_l=0.0))
    cellar.write(5 * BIN, Dip("V1", 60.0))
    stock = cellar.stocks(pours(cellar, *["A"] * 5, *["B"] * 5))["V1"]
    assert litres(stock) == {"A": 60.0, "B": 50.0}
    assert stock.whole


def test_a_transfer_takes_the_loads_along() -> None:
    """Half of V1 goes to V2, which then gets juice of its own."""
    cellar = Cellar()
    cellar.write(0.0, Vat("V1", contents_l=0.0))
    cellar.write(1.0, VatKnown("V2", contents_l=0.0))
    cellar.write(10 * BIN, Transfer("V1", "V2", 50.0))
    poured = pours(cellar, *["A"] * 6, *["B"] * 4, *["B"] * 10, vats={0.0: "V1", 10 * BIN: "V2"})
    stocks = cellar.stocks(poured)
    assert litres(stocks["V1"]) == {"A": 30.0, "B": 20.0}
    assert litres(stocks["V2"]) == {"A": 30.0, "B": 120.0}


def test_what_is_drawn_off_is_gone() -> None:
    """A vat drawn to the last drop holds nothing of anybody."""
    cellar = Cellar()
    cellar.write(0.0, Vat("V1", contents_l=0.0))
    cellar.write(10 * BIN, Draw("V1", 60.0, to="The Plough"))
    assert litres(cellar.stocks(pours(cellar, *["A"] * 10))["V1"]) == {"A": 40.0}
    cellar.write(10 * BIN, Draw("V1", 40.0))
    assert cellar.stocks(pours(cellar, *["A"] * 10))["V1"].volume.value == pytest.approx(0.0, abs=1e-9)


def test_a_vat_switched_back_to_stays_known() -> None:
    """Nobody says its contents again, and they are still there the next shift."""
    cellar = Cellar()
    cellar.write(0.0, Vat("V1", contents_l=200.0))
    cellar.close(pours(cellar, *["A"] * 10), 50.0)
    cellar.write(60.0, Vat("V1"))
    assert litres(cellar.stocks(pours(cellar, *["B"] * 10, start=60.0))["V1"]) == {
        UNNAMED: 200.0,
        "A": 100.0,
        "B": 100.0,
    }


def test_a_figure_of_a_vat_is_its_sample_and_what_came_after() -> None:
    """50 L sampled at 4.0 g/L, 50 L more of a load of 6.0 g/L: 5.0 g/L."""
    cellar = Cellar()
    cellar.write(5 * BIN, Sample("juice", acidity_g_per_l=4.0, vat="V1"))
    stock = cellar.stocks(pours(cellar, *["A"] * 5, *["B"] * 5))["V1"]
    assert stock.figure("acidity", {"B": 6.0}) == pytest.approx(5.0)


def test_what_was_said_about_an_earlier_shift_is_still_put_right() -> None:
    """A dip of two days ago, taken back and written with another figure, changes what the vat holds now."""
    cellar = Cellar()
    cellar.write(0.0, Vat("V1", contents_l=0.0))
    cellar.close(pours(cellar, *["A"] * 10), 50.0)
    cellar.write(60.0, Dip("V1", 90.0))
    cellar.close(pours(cellar, *["B"] * 10, start=100.0), 2 * 86400.0)
    cellar.unwrite(60.0, Dip("V1", 90.0))
    cellar.write(60.0, Dip("V1", 99.0))
    cellar.rename("B", "C")
    assert litres(cellar.stocks(Pours())["V1"]) == {"A": 99.0, "C": 100.0}
    cellar.reroute(0.0, "V1", "V9")
    assert litres(cellar.stocks(Pours())["V9"]) == {"A": 100.0, "C": 100.0}


def test_what_is_older_than_a_fortnight_is_settled_and_still_there() -> None:
    """Nothing is kept of the time but what is in the vats."""
    cellar = Cellar()
    cellar.write(0.0, Vat("V1", contents_l=0.0))
    for day in range(30):
        cellar.write(86400.0 * day + 1.0, Dip("V1", 10.0 * day))
        cellar.close(pours(cellar, "A", start=86400.0 * day + 5.0), 86400.0 * (day + 1))
    assert litres(cellar.stocks(Pours())["V1"]) == {"A": 300.0}
    assert len(cellar.pours) <= 16
    assert all(t.at > 29 * 86400.0 - KEPT - 86400.0 for t in cellar.told)
    assert cellar.loads() == {"A"}


_SAID: list[tuple[float, Entry]] = [
    (2.5 * BIN, Dip("V1", 31.0)),
    (6 * BIN, Transfer("V1", "V2", 20.0)),
    (8 * BIN, Dip("V2", 55.0)),
    (12 * BIN, Draw("V2", 30.0)),
    (15 * BIN, Transfer("V2", "V1", 25.0)),
]


@given(st.permutations(_SAID), st.lists(st.sampled_from("ABC"), min_size=20, max_size=20))
def test_the_order_in_which_things_are_written_down_changes_nothing(
    said: list[tuple[float, Entry]], owners: list[str]
) -> None:
    """Each takes its place by its own time, whatever fruit there was."""
    results = []
    for order in (_SAID, said):
        cellar = Cellar()
        cellar.write(0.0, Vat("V1", capacity_l=1000.0, contents_l=0.0))
        cellar.write(0.0, Dip("V2", 10.0))
        for at, entry in order:
            cellar.write(at, entry)
        stocks = cellar.stocks(pours(cellar, *owners))
        results.append({vat: {load: stock.part(load).value for load in stock.parts} for vat, stock in stocks.items()})
    assert results[0] == results[1]
    whole = sum(itertools.chain.from_iterable(held.values() for held in results[0].values()))
    # V1: 31 L dipped, 180 L poured after that, 20 L out, 25 L in. V2: 55 L dipped, 30 L and 25 L out.
    assert whole == pytest.approx(0.031 + 0.180 - 0.020 + 0.025 + 0.055 - 0.030 - 0.025)


def test_a_sliver_of_a_load_may_be_none_at_all() -> None:
    """
    The vat is changed 20 s before the last of A is through: 4 L of it among 400 of B in V2 may be none, or 8, and B as
    many more or less; how a load's end trails off is known less well than when it comes.
    """
    cellar = Cellar()
    owners: list[Owner] = [*["A"] * 10, {"A": 0.4, "B": 0.6}, *["B"] * 39]
    poured = pours(cellar, *owners, vats={0.0: "V1", 50.0: "V2"})
    sliver, most = (poured.into("V2")[load] for load in ("A", "B"))
    assert (sliver.amount, sliver.blur) == (pytest.approx(0.004), pytest.approx(0.004))
    assert most.blur == pytest.approx(0.004)


def test_where_the_vat_changes_while_loads_mix_both_vats_are_less_sure() -> None:
    """Ten seconds more or less from mill to juice: what V1 may have got of B is missing in V2."""
    cellar = Cellar()
    owners: list[Owner] = [*["A"] * 10, {"A": 0.5, "B": 0.5}, *["B"] * 10]
    poured = pours(cellar, *owners, vats={0.0: "V1", 50.0: "V2"}).worth(Estimate(1.0), 10.0)
    assert poured.into("V1")["A"].blur == pytest.approx(0.020)
    assert poured.into("V2")["A"].blur == pytest.approx(0.020 + 0.005)


def test_what_was_said_to_have_moved_is_doubted_move_by_move() -> None:
    """1000 L out of V1 and 200 L out of V2 again, each good to 1 %: the 800 L left are good to 10 and 2 L, not to 8."""
    cellar = Cellar()
    cellar.write(0.0, VatKnown("V1", contents_l=3000.0))
    cellar.write(0.0, VatKnown("V2", contents_l=0.0))
    cellar.write(1.0, Transfer("V1", "V2", 1000.0))
    cellar.write(2.0, Draw("V2", 200.0))
    volume = cellar.stocks(Pours())["V2"].volume
    assert (volume.value, volume.u) == (pytest.approx(0.8), pytest.approx((0.010**2 + 0.002**2) ** 0.5 / 3.0**0.5))


def test_a_sump_mixes_what_comes_before_it_is_pumped_to_the_vat() -> None:
    """
    A comes for ten bins and B for ten, 10 L each; the pump empties the sump after the sixth bin (60 L of A), after the
    fourteenth (40 L of each) and at the end (60 L of B). V2 takes over after the twelfth bin: it gets 40 L of A, which
    was through before, and V1 holds what was pumped and not what had come.
    """
    cellar = Cellar()
    came, owners = [BIN_OF_JUICE] * 20, ["A"] * 10 + ["B"] * 10
    metered = [0.0] * 20
    metered[5], metered[13], metered[19] = 0.06, 0.08, 0.06
    poured, to_vat = Pours(), Switches([0.0, 60.0], ["V1", "V2"])
    for bins in (9, 20):
        poured.extend(came[:bins], owners, metered, start=0.0, to_vat=to_vat, cellar=cellar)
    poured.finish()
    assert {load: part.amount for load, part in poured.into("V1").items()} == pytest.approx({"A": 0.06})
    assert {load: part.amount for load, part in poured.into("V2").items()} == pytest.approx({"A": 0.04, "B": 0.10})


@given(st.lists(st.tuples(st.sampled_from("ABC"), st.floats(0.0, 0.02)), min_size=1, max_size=60), st.integers(1, 9))
def test_all_that_came_is_in_the_vats_load_by_load(bins: list[tuple[str, float]], every: int) -> None:
    """However a pump cuts the juice into bursts: each load's litres are what came of it."""
    came, owners = [volume for _, volume in bins], [load for load, _ in bins]
    metered = [0.0] * len(came)
    for j in range(len(came)):
        if j % every == every - 1 or j == len(came) - 1:
            metered[j] = sum(came[: j + 1]) - sum(metered)
    poured = Pours()
    poured.extend(came, owners, metered, start=0.0, to_vat=Switches([0.0, 100.0], ["V1", "V2"]), cellar=Cellar())
    poured.finish()
    for load in "ABC":
        given_away = sum(stretch.parts.get(load, 0.0) for stretch in poured.stretches)
        assert given_away == pytest.approx(sum(v for o, v in bins if o == load), abs=1e-9)
