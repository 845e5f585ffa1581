"""Somebody wrote down the wrong thing, and later the right one: both stay, the figures follow the right one."""

from press_stories import Story, Told, known, load, play
from tumpline.pressing.entries import Correct, Vat


def shift(*, wrong_vat: bool) -> tuple[Told, Story]:
    """Two loads and two vats, the second vat written as `C` by mistake, and corrected where it was."""
    story = Story().start().write(load("41", 600.0)).write(load("42", 600.0, grower="Long Acre"))
    story.write(Vat("A")).put_on("41").idle(25).run(500).put_on("42")
    mistaken = f"entry-{len(story.events)}"
    story.write(Vat("C" if wrong_vat else "B")).run(500)
    if wrong_vat:
        story.write(Correct(mistaken, {"vat": "B"}))
    return play(story.idle(300).end().events), story


def test_juice_goes_to_the_vat_it_should_have_been_said_to_go_to() -> None:
    """The summary is what it would have been without the mistake; the correction is kept, with who made it."""
    corrected, _ = shift(wrong_vat=True)
    right, _ = shift(wrong_vat=False)
    assert corrected.summary.vats == right.summary.vats
    assert corrected.summary.loads == right.summary.loads
    (told,) = corrected.events("entry.corrected")
    assert (told.data["was"], told.data["fields"], told.data["by"]) == ({"vat": "C"}, {"vat": "B"}, "Ned")
    (kept,) = corrected.summary.corrections
    assert (kept.kind, kept.before, kept.after, kept.by) == ("vat", {"vat": "C"}, {"vat": "B"}, "Ned")


def test_a_load_s_mass_corrected_is_the_one_in_the_summary() -> None:
    """The weighbridge ticket was misread."""
    story = Story().start().write(load("41", 6000.0)).put_on("41").idle(20)
    story.run(540).write(Correct("entry-1", {"net_kg": 600.0})).idle(300).end()
    told = play(story.events)
    assert told.summary.loads[0].net == 600.0
    assert known(told.summary.loads[0].milled).value > 590.0
    assert told.raised == []


def test_a_correction_of_nothing_is_refused() -> None:
    """Whoever mistypes the id is told so."""
    told = play(Story().start().idle(10).write(Correct("vat-000000000000", {"vat": "B"})).idle(10).events)
    (refused,) = told.events("entry.refused")
    assert "vat-000000000000" in str(refused.data["reason"])
