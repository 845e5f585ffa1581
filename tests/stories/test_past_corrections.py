"""Last week's load was written down wrong: its summary is told anew, and nobody's litres move."""

import json
from pathlib import Path

import pytest

from press_stories import Story, known, load, play
from settings_files import good
from tapes import lines, write
from tumpline.pressing.entries import Correct, Vat
from tumpline.pressing.events import EntryMade
from tumpline.pressing.line import PressLine
from tumpline.pressing.records import Summary
from tumpline.replay import replay
from tumpline.wire.entries import read_entry


def two_shifts(*, current: bool = True) -> Story:
    """A load in one shift, another in the next."""
    story = (
        Story(current=current).start("early").write(load("41", 600.0)).put_on("41").idle(20).run(240).idle(300).end()
    )
    return story.start("late").write(load("42", 600.0)).put_on("42").idle(20).run(120)


def test_the_shift_that_rests_on_it_is_told_anew_and_no_other() -> None:
    """With the new grower and mass, the old litres, and who changed what when."""
    story = two_shifts().write(Correct("entry-1", {"net_kg": 640.0, "grower": "Long Acre"})).run(60).idle(300).end()
    first, anew, late = play(story.events).summaries
    assert (first.shift, anew.shift, late.shift) == ("early", "early", "late")
    assert (first.loads[0].grower, anew.loads[0].grower) == ("Coppice Farm", "Long Acre")
    assert anew.loads[0].net == 640.0
    assert (anew.juice, anew.loads[0].juice) == (first.juice, first.loads[0].juice)
    (correction,) = anew.corrections
    assert (correction.before["net_kg"], correction.after["net_kg"], correction.by) == (600.0, 640.0, "Ned")


def in_vats(summary: Summary) -> dict[str, tuple[float, dict[str, float]]]:
    """By vat: m³ that went in, and whose it holds."""
    return {
        vat.vat: (known(vat.juice).value, {part.load: known(part.amount).value for part in vat.holds})
        for vat in summary.vats
    }


def test_juice_that_was_written_to_the_wrong_vat_is_brought_to_the_right_one() -> None:
    """The shift is told as it would have been without the mistake, and so is one that found the wrong vat's juice."""

    def story(vat: str) -> Story:
        story = Story().start("early").write(load("41", 600.0)).put_on("41").idle(20).write(Vat("A", 9000.0, 0.0))
        story.run(200)
        story.write(Vat(vat, 9000.0, 0.0)).run(200).idle(300).end()
        return (
            story.start("late").write(load("42", 600.0)).put_on("42").idle(20).write(Vat("B")).run(200).idle(300).end()
        )

    right = {summary.shift: in_vats(summary) for summary in play(story("B").events).summaries}
    mistaken = story("C")
    entry = next(
        f"entry-{n}"
        for n, event in enumerate(mistaken.events)
        if getattr(event, "entry", None) == Vat("C", 9000.0, 0.0)
    )
    summaries = play(mistaken.write(Correct(entry, {"vat": "B"})).events).summaries
    assert set(in_vats(summaries[0])) == {"A", "C"}
    told = {summary.shift: in_vats(summary) for summary in summaries}
    assert set(told["early"]) == {"A", "B"}
    for shift, vats in right.items():
        for vat, (juice, holds) in vats.items():
            assert told[shift][vat] == (pytest.approx(juice), pytest.approx(holds))


def test_a_line_that_was_restored_meanwhile_remembers_what_it_told() -> None:
    """The correction comes after the program has ended and begun again."""
    story = two_shifts()
    line = PressLine(play(story.events).line.params)
    for event in story.events:
        line.handle(event)
    line = PressLine.restore(line.params, line.snapshot())
    story.write(Correct("entry-1", {"net_kg": 640.0}))
    effects = line.handle(story.events[-1])
    assert [effect.summary.shift for effect in effects if hasattr(effect, "summary")] == ["early"]


def test_a_recording_with_the_correction_gives_what_stands_now(tmp_path: Path) -> None:
    """Replayed, each shift has one summary: the one that was told last."""
    story = two_shifts(current=False)
    ticket = next(json.loads(line) for line in lines(story) if "/book/load" in line)
    made = read_entry("load", ticket["payload"].encode(), arrived=story.now, latest=story.now)
    assert isinstance(made, EntryMade)
    story.write(Correct(made.id, {"grower": "Long Acre"})).run(60).idle(300).end()
    wires = [line.wire("tumpline") for line in good(tmp_path).lines]
    early, late = replay(write(tmp_path / "shift.ndjson", lines(story)), wires).summaries
    assert (early.shift, early.loads[0].grower, late.shift) == ("early", "Long Acre", "late")
