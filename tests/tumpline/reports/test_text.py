"""A shift summed up for a terminal."""

import msgspec

from records import SUMMARY
from tumpline.pressing.records import Summary
from tumpline.reports.text import summary_text
from tumpline.wire.documents import CAUTION, summary_document


def told(summary: Summary = SUMMARY, timezone: str = "Europe/London") -> list[str]:
    """The lines of the text, with every run of blanks as one."""
    return [" ".join(line.split()) for line in summary_text(summary_document(summary), timezone).splitlines()]


def test_it_begins_with_whose_shift_it_was_and_when_on_the_clock_of_the_works() -> None:
    """Seven in Greenwich is eight on the wall in October."""
    assert told()[:2] == ["line-1, shift early", "2026-10-14 08:00 BST to 2026-10-14 16:00 BST"]
    assert told(timezone="UTC")[1] == "2026-10-14 07:00 UTC to 2026-10-14 15:00 UTC"


def test_a_figure_stands_with_its_unit_and_interval() -> None:
    """Nobody reads a figure without how far it can be trusted."""
    assert "fruit 4200 kg (4143 to 4257)" in told()
    assert "yield 714 L/t (705 to 724)" in told()


def test_what_is_not_known_is_said_with_the_reason() -> None:
    """An unknown figure is no 0 and no blank."""
    assert "potential alcohol not known: the sugar of the juice is not measured" in told()


def test_loads_stops_and_alarms_are_listed() -> None:
    """Each load has its grower and yield, each stop its length and reason, each alarm its time and cause."""
    text = told()
    assert "load L-7 Coppice Farm: 4200 kg (4143 to 4257)" in text
    assert "stop at 08:30 5 min 00 s, blocked, blocked mill" in text
    assert "mill-blocked 08:30: Fruit and water still come but the throughput has collapsed." in text
    assert "pressing 7 h 00 min" in text


def test_a_stop_that_nobody_explained_is_not_explained() -> None:
    """A stop without an end or a reason says so."""
    stop = msgspec.structs.replace(SUMMARY.stops[0], end=None, reason=None)
    text = told(msgspec.structs.replace(SUMMARY, stops=(stop,)))
    assert "stop at 08:30 not over, blocked, no reason given" in text


def test_a_meter_that_does_not_fit_is_named() -> None:
    """Where the balance suspects a meter, the text says which; else it says nothing of it."""
    suspect = msgspec.structs.replace(SUMMARY.balance, suspect="juice/flow")
    words = "The meters do not agree; juice/flow fits the others least."
    assert words in told(msgspec.structs.replace(SUMMARY, balance=suspect))
    assert words not in told()


def test_it_ends_with_the_standing_notice() -> None:
    """Whoever acts on the page has read what it cannot promise."""
    assert told()[-1] == CAUTION
