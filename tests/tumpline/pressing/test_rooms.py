"""How much room is left in what takes the juice and the pomace."""

import pytest

from press_stories import RATED, YIELD, Story, params, play
from tumpline.pressing.entries import Trailer, Vat
from tumpline.pressing.events import ReadingTaken
from tumpline.pressing.params import Accuracy, Quantity, SignalParams

LEVEL = SignalParams("vat/A/volume", Quantity.VOLUME, 0.0, 10.0, Accuracy(fixed=0.02))
WEIGHT = SignalParams("pomace/trailer", Quantity.MASS, 0.0, 6000.0, Accuracy(fixed=10.0))


def shift(minutes: int) -> Story:
    """So many minutes of pressing into a vat of a cubic metre and onto a trailer of a tonne."""
    story = (
        Story().start().write(Vat("A", capacity_l=1000.0, contents_l=200.0)).write(Trailer("T1", capacity_kg=1000.0))
    )
    return story.idle(20).run(60 * minutes)


def test_a_vat_without_a_level_is_known_from_the_book_and_the_meter() -> None:
    """What was in it and what was metered since; it is told before it runs over, with its name."""
    told = play(shift(18).events)
    (alarm,) = told.alarms("vat-nearly-full")
    assert alarm.subject == "A"
    assert alarm.raised is not None
    poured = (alarm.raised - shift(0).now - 120.0) * RATED * YIELD * 1000.0
    assert 200.0 + poured < 1000.0
    assert "gas detection" in (alarm.caution or "")


def test_a_vat_with_a_level_is_known_by_it() -> None:
    """Whatever the book says was in it."""
    story = shift(3)
    events = [*story.events, ReadingTaken("vat/A/volume", story.now, 0.96, story.now)]
    more = shift(3).run(90).events[len(events) - 1 :]
    levels = [ReadingTaken("vat/A/volume", e.at, 0.96, e.at + 0.3) for e in more if isinstance(e, ReadingTaken)][::5]
    told = play(sorted([*events, *more, *levels], key=lambda e: getattr(e, "arrived", 0.0)), params(LEVEL))
    assert told.alarms("vat-nearly-full")[0].value == pytest.approx(96.0)


def test_a_trailer_without_a_scale_is_known_by_what_is_not_juice() -> None:
    """Three tenths of the fruit: a tonne of it after fifty minutes, told before that."""
    assert "trailer-nearly-full" not in play(shift(30).events).raised
    (alarm,) = play(shift(50).events).alarms("trailer-nearly-full")
    assert alarm.subject == "T1"


def test_a_trailer_on_a_scale_is_known_by_its_weight() -> None:
    """A heavy one is told at once."""
    events = shift(3).events
    weights = [ReadingTaken("pomace/trailer", e.at, 950.0, e.at + 0.3) for e in events if isinstance(e, ReadingTaken)][
        ::5
    ]
    told = play(sorted([*events, *weights], key=lambda e: getattr(e, "arrived", 0.0)), params(WEIGHT))
    assert told.alarms("trailer-nearly-full")[0].value == pytest.approx(95.0)


def test_where_nobody_said_how_big_it_is_nothing_is_said() -> None:
    """A vat without a capacity is never nearly full."""
    story = Story().start().write(Vat("A", contents_l=200.0)).idle(20).run(1500)
    assert "vat-nearly-full" not in play(story.events).raised
