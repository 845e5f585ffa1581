"""Vats over a whole shift: whose juice is in them, what moved, what cannot be, and what the next shift begins with."""

import pytest

from press_stories import RATED, YIELD, Story, known, load, play
from tumpline.pressing.entries import Dip, Draw, Load, LoadOn, Proof, Sample, Transfer, Variety, Vat
from tumpline.pressing.line import PressLine
from tumpline.pressing.records import Unknown

TEN_MINUTES = 600 * RATED * YIELD
"""m³ of juice."""


def two_loads() -> Story:
    """Ten minutes of 41 and ten of 42 into vat A, which was empty."""
    story = Story().start().write(load("41", 700.0)).write(load("42", 700.0, grower="Long Acre"))
    story.write(Vat("A", capacity_l=5000.0, contents_l=0.0)).put_on("41").idle(20).run(600).put_on("42").idle(20).run(
        600
    )
    return story.idle(300)


def test_a_vat_says_whose_juice_it_holds_and_sums_to_what_was_metered() -> None:
    """Half of it each load's, within the interval; the parts are the whole."""
    summary = play(two_loads().end().events).summary
    (vat,) = summary.vats
    held = {part.load: known(part.amount) for part in vat.holds}
    assert {part.grower for part in vat.holds} == {"Coppice Farm", "Long Acre"}
    for amount in held.values():
        assert amount.figure().low < TEN_MINUTES < amount.figure().high
        assert amount.value == pytest.approx(TEN_MINUTES, rel=0.03)
    assert sum(amount.value for amount in held.values()) == pytest.approx(known(summary.juice).value, rel=1e-9)
    assert vat.contents == pytest.approx(known(vat.held).value)


def test_what_is_moved_to_another_vat_takes_its_loads_along_into_the_next_shift() -> None:
    """A third of A goes to B and some of B is drawn off; the shift after that goes on from there."""
    story = two_loads().write(Dip("B", 0.0)).write(Transfer("A", "B", 300.0)).idle(10)
    story.write(Draw("B", 100.0, to="The Plough")).idle(10).end().start("late").write(Vat("B")).write(load("43", 700.0))
    early, late = play(story.put_on("43").idle(20).run(600).idle(300).end().events).summaries
    assert [(m.vat, m.to_vat, m.taken_by, round(1000 * known(m.volume).value)) for m in early.moves] == [
        ("A", "B", None, 300),
        ("B", None, "The Plough", 100),
    ]
    (vat,) = late.vats
    held = {part.load: known(part.amount).value for part in vat.holds}
    assert held["41"] + held["42"] == pytest.approx(0.2, abs=0.001)  # and what still dripped
    assert held["43"] == pytest.approx(TEN_MINUTES, abs=0.002)
    assert known(vat.juice).value == pytest.approx(TEN_MINUTES, abs=0.002)


def test_the_figures_of_a_vat_follow_its_loads() -> None:
    """Sharp and bittersweet in equal parts: acid (2.5 + 8.5)/2 = 5.5, tannin (2.6 + 0.4)/2 = 1.5 g/L, a sharp vat."""
    story = Story().start().write(Vat("A", contents_l=0.0))
    for name, acidity, tannin in (("41", 2.5, 2.6), ("42", 8.5, 0.4)):
        story.write(Load(name, "Coppice Farm", 700.0, (Variety("Coppice Red", 1.0),), 12.0, acidity, tannin))
    story.put_on("41").idle(20).run(600).put_on("42").idle(20).run(600).idle(300)
    (vat,) = play(story.end().events).summary.vats
    assert vat.acidity == pytest.approx(5.5, abs=0.1)
    assert vat.tannin == pytest.approx(1.5, abs=0.05)
    assert (vat.brix, vat.fruit_class, vat.ph) == (pytest.approx(12.0), "sharp", None)


def test_a_sample_of_the_vat_counts_before_the_loads() -> None:
    """Measured at the end: that is what it is."""
    story = two_loads().write(Sample("juice", acidity_g_per_l=4.9, vat="A")).write(Sample("juice", ph=3.4, vat="A"))
    (vat,) = play(story.idle(10).end().events).summary.vats
    assert (vat.acidity, vat.ph) == (pytest.approx(4.9), 3.4)


def test_what_cannot_be_so_is_refused_and_changes_nothing() -> None:
    """A load nobody weighed in, a dip over the brim, more drawn off than there was: each in a sentence."""
    story = two_loads()
    for entry in (LoadOn("44"), Dip("A", 6000.0), Draw("A", 4000.0), Load("41", "Withy Bottom", 800.0, ())):
        story.write(entry)
    told = play(story.idle(10).end().events)
    assert [event.data["kind"] for event in told.events("entry.refused")] == ["load-on", "dip", "draw", "load"]
    assert "There is no load 44 in the book; the last ones are 41, 42." in str(told.events("entry.refused")[0].data)
    assert told.summary.vats == play(two_loads().idle(10).end().events).summary.vats
    assert [record.load for record in told.summary.loads] == ["41", "42"]


def test_a_meter_proved_in_the_shift_has_its_factor_in_the_summary() -> None:
    """The meter reads 2 % high, so it counts more than is known to have gone through: a factor of 1/1.02."""
    story = Story(gains={"juice/flow": 1.02}).start().write(Vat("A")).idle(20).run(600)
    start = story.now
    story.run(600)
    litres = 1000.0 * TEN_MINUTES
    story.write(Proof("juice/flow", start, story.now, volume_l=litres, limits_pct=0.2)).idle(300)
    (proof,) = play(story.end().events).summary.proofs
    assert known(proof.factor).value == pytest.approx(1.0 / 1.02, abs=0.002)
    assert known(proof.factor).figure().low < 1.0 / 1.02 < known(proof.factor).figure().high


def test_a_vat_nobody_told_the_contents_of_stays_unknown() -> None:
    """Its juice of this shift is known, what it holds is not."""
    (vat,) = play(Story().start().write(Vat("A")).idle(20).run(600).idle(300).end().events).summary.vats
    assert (vat.contents, known(vat.juice).value) == (None, pytest.approx(TEN_MINUTES, abs=0.002))
    assert isinstance(vat.held, Unknown)


def test_a_line_put_away_between_shifts_knows_its_vats() -> None:
    """Vats, transfers and corrections are in the snapshot."""
    story = two_loads().write(Dip("B", 0.0)).write(Transfer("A", "B", 300.0)).end()
    told = play(story.events, finish=False)
    again = PressLine.restore(told.line.params, told.line.snapshot())
    more = Story(now=story.now).start("late").write(Vat("B")).idle(20).run(300).idle(300).end().events
    assert [told.line.handle(event) for event in more] == [again.handle(event) for event in more]
