"""A press line as its caller sees it: one event in, effects out."""

from itertools import pairwise

import msgspec
import pytest

from press_stories import RATED, START, Story, load, params, play
from tumpline.pressing.effects import KeepFigures, KeepReading, Quality, ShowLive
from tumpline.pressing.entries import LoadOff, Note, Trailer, Vat
from tumpline.pressing.events import EntryRefused, ReadingTaken, TimePassed
from tumpline.pressing.line import PressLine


def test_a_reading_is_kept_with_its_quality() -> None:
    """Every reading of a fitted signal is to be stored once, in SI, a duplicate not at all."""
    line, reading = PressLine(params()), ReadingTaken("juice/flow", START, 0.0008, START + 0.2)
    kept = [e for e in line.handle(reading) if isinstance(e, KeepReading)]
    assert kept == [KeepReading("juice/flow", START, 0.0008, Quality.GOOD)]
    assert line.handle(reading) == []


def test_a_line_asks_to_be_called_again_a_second_later() -> None:
    """Before the first reading there is nothing to wait for; then there is a look every second."""
    line = PressLine(params())
    assert line.next_deadline() is None
    line.handle(ReadingTaken("juice/flow", START + 0.4, 0.0008, START + 0.6))
    assert line.next_deadline() == START + 1.0
    line.handle(TimePassed(START + 1.0))
    assert line.next_deadline() == START + 2.0


def test_time_does_not_run_backwards() -> None:
    """Passing a time that has already been is no event at all."""
    line = PressLine(params())
    line.handle(ReadingTaken("juice/flow", START + 10.0, 0.0008, START + 10.0))
    assert line.handle(TimePassed(START + 5.0)) == []


def test_the_live_view_is_due_as_often_as_the_settings_say() -> None:
    """Every second or every minute of event time."""
    story = Story().idle(120)
    for every in (1.0, 60.0):
        told = play(story.events, msgspec.structs.replace(params(), live_every=every), finish=False)
        due = [e.at for e in told.effects if isinstance(e, ShowLive)]
        assert [b - a for a, b in pairwise(due)] == [every] * (len(due) - 1)
        assert len(due) == pytest.approx(120.0 / every, abs=1.0)


def test_figures_are_kept_every_five_seconds_in_the_units_people_use() -> None:
    """4 t/h, 46.7 L/min and 700 L/t, with the interval of the yield around it."""
    told = play(Story().run(900).events, finish=False)
    kept = [e for e in told.effects if isinstance(e, KeepFigures)]
    assert {b.at - a.at for a, b in pairwise(kept)} == {5.0}
    figures = kept[-1].figures
    assert figures["throughput_t_per_h"] == pytest.approx(4.0)
    assert figures["juice_l_per_min"] == pytest.approx(46.67, abs=0.01)
    assert figures["pressure_bar"] == pytest.approx(1.4)
    assert figures["yield_l_per_t"] == pytest.approx(700.0, rel=0.005)
    assert figures["yield_low"] < 700.0 < figures["yield_high"]


def test_entries_are_told_as_events_of_their_kind() -> None:
    """Each entry that moves fruit, juice or pomace can be found again."""
    story = Story().idle(5).write(load("41", 4000.0)).put_on("41").write(Vat("A")).write(Trailer("green"))
    told = play(story.write(LoadOff("41")).write(Note("quiet")).events)
    for kind, key, name in (
        ("load.taken", "load", "41"),
        ("load.on", "load", "41"),
        ("vat.switched", "vat", "A"),
        ("trailer.switched", "trailer", "green"),
        ("load.off", "load", "41"),
    ):
        (event,) = told.events(kind)
        assert event.data[key] == name


def test_an_entry_that_could_not_be_read_is_told_with_its_reason() -> None:
    """Whoever sent it can find out why nothing happened."""
    told = play([EntryRefused("load", START, "net_kg is missing; a number of kilograms was expected.")])
    (refused,) = told.events("entry.refused")
    assert refused.data["kind"] == "load"
    assert "net_kg" in str(refused.data["reason"])


def test_finishing_sums_up_what_is_open_once() -> None:
    """When nothing more comes the open shift is summed up, and a second finish has nothing left to say."""
    told = play(Story().start().run(300, fruit=RATED).events)
    assert told.summary.shift == "early"
    assert told.line.finish() == []
