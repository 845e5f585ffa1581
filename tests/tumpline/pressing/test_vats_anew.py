"""The vats of a shift that is over, reckoned anew from what the book still knows."""

import pytest

from press_stories import Story, known, load, params, play
from tumpline.pressing.book import Book
from tumpline.pressing.entries import Correct, Dip, Draw, Entry, Load, Sample, Vat, VatKnown
from tumpline.pressing.vats_anew import vats_anew, vats_in


@pytest.mark.parametrize(
    ("entry", "names"),
    [
        (Vat("A"), {"A"}),
        (VatKnown("A"), {"A"}),
        (Dip("A", 10.0), {"A"}),
        (Sample("juice", brix=12.0, vat="A"), {"A"}),
        (Sample("fruit", dry_matter_pct=16.0, load="L-7"), set()),
        (Draw("A", 10.0), set()),
        (Load("L-7", "Long Acre", 1.0, ()), set()),
    ],
)
def test_an_entry_speaks_of_its_vat(entry: Entry, names: set[str]) -> None:
    """One that moves juice between vats is another matter."""
    assert vats_in(entry) == names


def test_a_dip_put_right_is_what_the_vat_held_then() -> None:
    """The vat's contents at the end of that shift follow the right dip, what went in and the other vat stay."""
    story = Story().start("early").write(load("41", 600.0)).put_on("41").idle(20).write(Vat("A", 9000.0, 0.0)).run(300)
    story.idle(200).write(Dip("A", 900.0)).idle(100).write(Vat("B", 9000.0, 50.0)).idle(20).end().start("late").idle(60)
    entry = next(
        f"entry-{n}" for n, event in enumerate(story.events) if getattr(event, "entry", None) == Dip("A", 900.0)
    )
    first, anew, *_ = play(story.write(Correct(entry, {"volume_l": 800.0})).idle(20).events).summaries
    before, after = ({vat.vat: vat for vat in summary.vats} for summary in (first, anew))
    assert known(before["A"].held).value == pytest.approx(0.9, rel=1e-3)
    assert known(after["A"].held).value == pytest.approx(0.8, rel=1e-3)
    assert known(after["A"].juice).value == pytest.approx(known(before["A"].juice).value)
    assert after["B"] == before["B"]
    assert not any("first told" in note for note in anew.notes)


def test_a_shift_whose_juice_is_settled_keeps_its_vats() -> None:
    """What is no longer known stretch by stretch cannot be given to another vat."""
    (summary,) = play(Story().start().write(Vat("A")).run(120).idle(300).end().events).summaries
    assert vats_anew(summary, Book(), params(), {"A"}) is None
