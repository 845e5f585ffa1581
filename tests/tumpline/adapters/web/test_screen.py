"""What one screen shows at one moment."""

import re

import pytest

from fake_line import MINUTE, NOW, live, signals, stop, stopped
from page_style import style
from tumpline.adapters.web.answers import Answer
from tumpline.adapters.web.panels import Span
from tumpline.adapters.web.screen import Screen, common, floor
from tumpline.pressing.records import Condition, Live
from tumpline.runtime.board import LineBoard

STYLE = style()


def screen(view: Live | None, *, now: float = NOW, answer: Answer | None = None) -> Screen:
    """The screen of a line with that view."""
    board = LineBoard("line-1")
    if view is not None:
        board.show(view)
    screen = common(board, STYLE, now=now)
    parts = floor(board, STYLE, Span.HALF_HOUR, answer, now=now)
    return Screen(screen.old, screen.heard, screen.parts | {key: part.text for key, part in parts.items()})


def text(part: str) -> str:
    """A part without its markup."""
    return " ".join(re.sub("<[^>]+>", " ", part).split())


def test_the_band_says_what_and_how_long_and_why() -> None:
    """One word, a duration, a sentence."""
    assert text(screen(live()).parts["band"]) == "Pressing 1 h 42 Fruit is milled and juice flows."


def test_no_two_conditions_look_alike() -> None:
    """Every condition has a shape of its own and a word of its own."""
    bands = [screen(live(condition=condition)).parts["band"] for condition in Condition]
    shapes = {"".join(re.findall("<(?:path|circle)[^>]*>", band)) for band in bands}
    words = {text(band).split(" 1 h")[0] for band in bands}
    assert len(shapes) == len(words) == len(Condition)


def test_what_needs_somebody_does_not_look_like_what_flows() -> None:
    """Flowing, standing, blocked, washing and not known differ in their kind of fill."""
    chosen = (Condition.PRESSING, Condition.STOPPED, Condition.BLOCKED, Condition.WASHING, Condition.UNKNOWN)
    kinds = {re.search('class="banner ([^"]*)"', screen(live(condition=c)).parts["band"])[1] for c in chosen}  # type: ignore[index]  # the band has a class, or the test fails
    assert len(kinds) == len(chosen)


@pytest.mark.parametrize(
    ("view", "now"),
    [(live(), NOW + 184.0), (live(at=NOW + 184.0, signals=signals(fresh=False)), NOW + 184.0)],
    ids=["no view comes", "no meter is heard"],
)
def test_silence_is_no_data(view: Live, now: float) -> None:
    """Old figures are marked as old, with the time of the last reading and how long ago that was."""
    made = screen(view, now=now)
    assert (made.old, made.heard) == (True, "10:24:07")
    assert text(made.parts["gone"]) == "No data 3 min Last heard 10:24:07. The figures below are old."


def test_a_line_never_heard_is_no_data() -> None:
    """Before the first view nothing is claimed."""
    made = screen(None)
    assert (made.old, made.heard, made.parts["band"]) == (True, "", "")
    assert text(made.parts["gone"]) == "No data Nothing heard from this line yet."


def test_a_stop_without_a_reason_is_asked_about() -> None:
    """The site's own reasons are one touch away, and one's own words two."""
    ask = screen(stopped()).parts["ask"]
    assert text(ask) == "Why does it stand since 10:18? no fruit break Something else…"
    assert 'name="stop" value="stop-7"' in ask


def test_a_stop_that_is_over_is_still_asked_about() -> None:
    """The question then says from when to when."""
    ask = screen(live(stop=stop(end=NOW - MINUTE))).parts["ask"]
    assert text(ask).startswith("Why did it stand from 10:18 to 10:23?")


def test_a_stop_with_a_reason_is_quiet() -> None:
    """Nothing is asked, the reason is in the band, and the band no longer calls."""
    made = screen(live(condition=Condition.STOPPED, stop=stop(reason="break")))
    assert made.parts["ask"] == ""
    assert "Break; fruit is milled" in made.parts["band"]
    assert "calm" in made.parts["band"]


def test_meters_that_are_not_heard_are_named() -> None:
    """The line at the foot says which."""
    lost = signals()[:3] + signals(fresh=False)[3:]
    assert text(screen(live(signals=lost)).parts["link"]) == "Live, 10:24:07. Not heard: juice/flow."


def test_an_imperial_site_is_told_whose_gallons_and_tons() -> None:
    """The words alone have several meanings."""
    board = LineBoard("line-1")
    board.show(live())
    link = common(board, style(imperial=True), now=NOW).parts["link"]
    assert text(link) == "Live, 10:24:07. 4 signals heard. gal: imperial gallons; ton: long tons."


def test_ids_from_outside_stay_inside_their_address() -> None:
    """A stop's id cannot leave the link it is part of."""
    ask = screen(live(stop=stop(id='"><script>&x=1'))).parts["ask"]
    assert "<script>" not in ask
    assert "stop=%22%3E%3Cscript%3E%26x%3D1" in ask
