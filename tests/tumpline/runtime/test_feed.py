"""A row of the journal means the same whenever it is worked through."""

import pytest

from runtime_fakes import Rig, message
from tumpline.pressing.effects import Effect, TellEvent
from tumpline.pressing.events import Event, ReadingTaken, TimePassed
from tumpline.runtime.feed import LineFailedError
from tumpline.runtime.ports import Row
from wire_line import ARRIVED


def _tell(event: Event) -> list[Effect]:
    return [TellEvent("load.on", ARRIVED, {"load": "14"})]


def test_a_message_reaches_its_line_alone(rig: Rig) -> None:
    """One line's readings never count for another."""
    (row,) = rig.journal.number([message(b"12.5", line="line-2")])
    rig.feed.row(row)
    assert rig.lines["line-2"].heard == [ReadingTaken("juice/brix", ARRIVED, 12.5, ARRIVED)]
    assert rig.line.heard == []
    assert rig.feed.through == row.seq


def test_time_that_went_on_goes_on_again(rig: Rig) -> None:
    """A replay notices a stop in silence at the same moment; a line no longer in the settings is passed over."""
    for row in (rig.journal.time_row("line-1", ARRIVED + 30.0), rig.journal.time_row("line-9", ARRIVED + 31.0)):
        rig.feed.row(row)
    assert rig.line.heard == [TimePassed(ARRIVED + 30.0)]
    assert rig.feed.through == 2


def test_what_is_in_a_lines_state_already_is_left_out(rig: Rig) -> None:
    """After a restart nothing is counted twice, although lines were stored at different moments."""
    rig.known.update({"line-1": 3, "line-2": 1})
    for row in rig.journal.number([message(line=line) for line in ("line-1", "line-2") * 2]):
        rig.feed.row(row)
    rig.feed.row(rig.journal.time_row("line-1", ARRIVED + 30.0))
    assert [type(event) for event in rig.line.heard] == [TimePassed]
    assert len(rig.lines["line-2"].heard) == 2


def test_what_was_told_before_is_not_told_again(rig: Rig) -> None:
    """While catching up a line comes to know what it knew, and nobody is told once more."""
    rig.line.answer = _tell
    first, second = rig.journal.number([message(b'{"by": "Ada", "load": "14"}', name="book/load-on"), message(b"?")])
    rig.feed.row(first, keep=False)
    rig.feed.row(second, keep=False)
    assert len(rig.line.heard) == 2
    assert not rig.dispatch.gathered
    rig.feed.row(rig.journal.time_row("line-1", ARRIVED + 30.0))
    assert rig.dispatch.gathered


def test_what_cannot_be_used_is_kept_with_its_reason(rig: Rig) -> None:
    """Whoever looks for a missing reading finds its bytes and a sentence that says what was wrong."""
    (row,) = rig.journal.number([message(b"wet")])
    rig.feed.row(row)
    (refused,) = rig.dispatch.take(row.seq).refused
    assert (refused.line, refused.subject, refused.payload) == ("line-1", "juice/brix", b"wet")
    assert refused.reason.startswith("juice/brix: ")


def test_other_topics_are_nothing_to_a_line(rig: Rig) -> None:
    """What others publish beside us, and what we publish ourselves, changes nothing."""
    for number, topic in enumerate(("tumpline/line-1/live", "weather/temperature", "tumpline/line-9/signal/x"), 1):
        rig.feed.row(Row(number, ARRIVED, topic, b"{}", "line-1"))
    assert [line.heard for line in rig.lines.values()] == [[], []]
    assert not rig.dispatch.gathered
    assert rig.feed.through == 3


def test_a_bug_names_its_row(rig: Rig) -> None:
    """The sentence says which message and what went wrong, and that row does not count as worked through."""

    def fail(event: Event) -> list[Effect]:
        raise KeyError("vat")

    rig.feed.row(*rig.journal.number([message()]))
    rig.line.answer = fail
    (row,) = rig.journal.number([message()])
    with pytest.raises(LineFailedError, match=r"^Row 2 of the journal could not be worked through: KeyError: 'vat'\.$"):
        rig.feed.row(row)
    assert rig.feed.through == 1
