"""The shift book as the crew keeps it."""

import pytest

from simulated import DAY, Run, run


@pytest.fixture
def day() -> Run:
    """Three hours with several loads."""
    return run(**DAY)


def test_every_entry_says_when_and_who(day: Run) -> None:
    """Entries carry their time and a name, and come in the order things happened."""
    assert all(fields["by"] and fields["at"] for _, fields in day.book)
    times = [day.seconds(fields) for _, fields in day.book]
    assert times == sorted(times)


def test_a_shift_is_opened_and_closed(day: Run) -> None:
    """The first entry opens the shift with vat and trailer, the last one closes it after the juice has run."""
    assert [kind for kind, _ in day.book[:4]] == ["shift-start", "vat", "trailer", "load"]
    assert day.book[-1][0] == "shift-end"
    assert day.entries("shift-start")[0]["shift"] == day.entries("shift-end")[0]["shift"] == day.truth["shift"]
    last_juice = max(at for at, value in day.readings["juice/flow"] if value > 0.0)
    assert day.seconds(day.entries("shift-end")[0]) > last_juice


def test_loads_are_weighed_in_before_they_run(day: Run) -> None:
    """Each load is weighed in, to the 10 kg, before its fruit goes into the flume."""
    on = {entry["load"]: day.seconds(entry) for entry in day.entries("load-on")}
    true = {load["load"]: load["fruit_kg"] for load in day.truth["loads"]}
    assert len(on) == len(true) >= 3
    for load in day.entries("load"):
        assert day.seconds(load) < on[load["load"]]
        assert load["net_kg"] % 10 == 0
        assert load["net_kg"] == pytest.approx(true[load["load"]], rel=5e-3, abs=10.0)
        assert sum(variety["share"] for variety in load["varieties"]) == pytest.approx(1.0)


def test_a_load_goes_on_before_its_fruit_reaches_the_mill(day: Run) -> None:
    """A load is on 10 to 30 seconds before the mill gets its first fruit, and off before it gets the last."""
    starts = [day.truth["edges"][0], *(end for _, end in day.truth["gaps"])]
    ends = [*(start for start, _ in day.truth["gaps"]), day.truth["edges"][-1]]
    for on, start in zip(day.entries("load-on"), starts, strict=True):
        assert 9.0 <= start - day.seconds(on) <= 32.0
    for off, end in zip(day.entries("load-off"), ends, strict=True):
        assert 5.0 <= end - day.seconds(off) <= 60.0


def test_half_the_fruit_goes_to_another_vat(day: Run) -> None:
    """Half way the vat is changed, about when the next load's juice comes; the vats read what ran into them."""
    first, second = day.entries("vat")
    assert (first["vat"], second["vat"]) == ("V1", "V2")
    end = day.truth["end"]
    for vat, told in (("V1", first), ("V2", second)):
        (truth,) = [v for v in day.truth["vats"] if v["vat"] == vat]
        taken = sum(part["juice_l"] for part in truth["from"])
        read = day.mean(f"vat/{vat}/volume", end - 60.0, end) - day.truth["meter_biases"][f"vat/{vat}/volume"]["offset"]
        assert read == pytest.approx(told["contents_l"] + taken, abs=20.0)


def test_what_is_nearly_full_is_told(day: Run) -> None:
    """The truth has when a trailer came to be nine tenths full, before the crew changed it."""
    changed = {entry["trailer"]: day.seconds(entry) for entry in day.entries("trailer") if "net_kg" in entry}
    trailers = [told for told in day.truth["filled"] if told["kind"] == "trailer"]
    full = {told["name"]: told["nine_tenths_at"] for told in trailers if told["nine_tenths_at"]}
    assert full and all(0.0 < changed[name] - at < 900.0 for name, at in full.items())
    assert all(told["four_fifths_at"] < full.get(told["name"], day.truth["end"]) for told in trailers)


def test_what_was_written_of_a_load_is_told() -> None:
    """The truth keeps what the crew wrote beside what truly was; where nobody measured, nothing is written."""
    for seed in range(1, 9):
        made = run(seed=seed, hours=0.5, life="full")
        for entry, load in zip(made.entries("load"), made.truth["loads"], strict=True):
            assert load["written"] == {key: entry.get(key) for key in ("net_kg", "brix", "dry_matter_pct")}


def test_trailers_leave_weighed(day: Run) -> None:
    """A trailer leaves with its weight written down, near the pomace it truly carried."""
    left = {entry["trailer"]: entry["net_kg"] for entry in day.entries("trailer") if "net_kg" in entry}
    for trailer in day.truth["trailers"]:
        carried = sum(part["pomace_kg"] for part in trailer["from"])
        assert left[trailer["trailer"]] == pytest.approx(carried, rel=5e-3, abs=10.0)


def test_a_later_day_of_a_season_has_vats_of_its_own() -> None:
    """They count on from the one that is named, and are empty when they are begun."""
    first, second = run(hours=1.5, signals="juice/flow", tidy=True, first_vat=7).entries("vat")
    assert [(entry["vat"], entry["contents_l"]) for entry in (first, second)] == [("V7", 0), ("V8", 0)]
